"""Who may sign: keys that the shop trusts as a person's, and keys that it believes no more.

What ssh-keygen goes by, allowed_signers and revoked_keys, is not sealed; so each change is a record in the
shop's people logbook as well, and verify compares the two (trusting_checks.py). Of a key that may sign the
record comes first and of a revoked one the file, so that whatever breaks off in between errs on the safe
side; the same command again completes it.
"""

from datetime import date, datetime
from pathlib import Path

from msgspec import Struct
from msgspec.structs import replace

from fieldlog.domain.records import KeyDeed, Person, SigningKey
from fieldlog.errors import FieldlogError, InputError, NotFoundError, RefusedError, StoreError
from fieldlog.operations.recorded_keys import RecordedKeys, recorded_keys
from fieldlog.operations.setting_up import add_person
from fieldlog.operations.shop import Shop, check_known, new_uid, people
from fieldlog.operations.signing import append_in_turn, checked_principal, read_public_key
from fieldlog.store.signers import PublicKey, Signer, parse_key, read_revoked, read_signers, revoke, trust

FINGERPRINT = "SHA256:"


class PersonKeys(Struct, frozen=True, kw_only=True):
    """A person and what is known of the keys that may sign for them, a sentence a key."""

    person: Person
    keys: tuple[str, ...]


def trust_key(
    shop: Shop,
    name: str,
    key: str | Path,
    *,
    until: date | None,
    sign_with: str = "",
    by: str,
    now: datetime,
) -> Signer:
    """Record, sealed and in allowed_signers, that a public key may sign for a person of the shop.

    `key` is a file, or the fingerprint of a key that the store knows. Said again with another `until`, it
    replaces what was recorded. `sign_with` goes into the person's record as the private key file to sign
    with. NotFoundError for an unknown name or key, InputError for a file that holds no public key,
    RefusedError for a revoked key or one that is trusted as somebody else's.
    """
    check_known(shop, by)
    signer = Signer(principal=checked_principal(shop, name), key=_key(shop, key), until=until)
    body = _record(KeyDeed.MAY_SIGN, signer.key, signer.principal, name, until)

    def tell() -> None:
        known = _recorded(shop)
        _check_free(shop, signer, known)
        last = known.trusted.get((body.key, body.principal))
        if last is None or last.body != body:
            append_in_turn(shop, "people", body, by=by, now=now, uid=new_uid())

    trust(shop.root, signer, before=tell, files=shop.logbooks.files)
    held = people(shop)[name]
    if sign_with and held.key_file != sign_with:
        add_person(shop, replace(held, key_file=sign_with), by=by, now=now)
    return signer


def revoke_key(shop: Shop, key: str | Path, *, by: str, now: datetime) -> PublicKey:
    """Record, in revoked_keys and sealed, that nothing which this key signed is believed any more.

    `key` as in `trust_key`. StoreError where the key stands in revoked_keys from now on, but the record
    could not be sealed.
    """
    check_known(shop, by)
    gone = _key(shop, key)

    def tell() -> None:
        known = _recorded(shop)
        if str(gone) in known.revoked:
            return
        try:
            principal, name = _whose(shop, gone, known)
            body = _record(KeyDeed.REVOKED, gone, principal, name, None)
            append_in_turn(shop, "people", body, by=by, now=now, uid=new_uid())
        except FieldlogError as fault:
            done = f"{gone.fingerprint} is revoked, but the record that tells it was not sealed"
            raise StoreError(f"{done} ({fault}): put that right and revoke it again") from fault

    revoke(shop.root, gone, after=tell, files=shop.logbooks.files)
    return gone


def signers_by_person(shop: Shop) -> list[PersonKeys]:
    """Everybody of the shop, by name, with their keys."""
    signers = read_signers(shop.root)
    revoked = {*_recorded(shop).revoked, *(str(key) for key in read_revoked(shop.root))}
    found = []
    for name, person in sorted(people(shop).items()):
        own = [signer for signer in signers if signer.principal == "_".join(name.split())]
        found.append(PersonKeys(person=person, keys=tuple(_key_words(signer, revoked) for signer in own)))
    return found


def _key_words(signer: Signer, revoked: set[str]) -> str:
    until = f", may sign until {signer.until.isoformat()}" if signer.until else ", may sign"
    state = ", revoked" if str(signer.key) in revoked else until
    return f"{signer.key.type} {signer.key.fingerprint}{state}"


def _record(deed: KeyDeed, key: PublicKey, principal: str, name: str, until: date | None) -> SigningKey:
    return SigningKey(
        deed=deed, key=str(key), fingerprint=key.fingerprint, principal=principal, name=name, until=until
    )


def _recorded(shop: Shop) -> RecordedKeys:
    return recorded_keys(shop.logbooks.read("people").entries)


def _check_free(shop: Shop, signer: Signer, known: RecordedKeys) -> None:
    """RefusedError for a key that is revoked or somebody else's, by record or by the files."""
    if signer.key in read_revoked(shop.root) or str(signer.key) in known.revoked:
        raise RefusedError(f"{signer.key.fingerprint} is revoked: make a new key")
    others = [held.principal for held in read_signers(shop.root) if held.key == signer.key]
    others += [principal for key, principal in known.trusted if key == str(signer.key)]
    for other in others:
        if other != signer.principal:
            raise RefusedError(f"{signer.key.fingerprint} signs for {other} already: a key is one person's")


def _whose(shop: Shop, key: PublicKey, known: RecordedKeys) -> tuple[str, str]:
    """The principal and the name of whose key it was; empty where it was nobody's."""
    for (text, principal), told in known.trusted.items():
        if text == str(key):
            return principal, told.body.name
    for signer in read_signers(shop.root):
        if signer.key == key:
            names = [name for name in people(shop) if "_".join(name.split()) == signer.principal]
            return signer.principal, names[0] if names else ""
    return "", ""


def _key(shop: Shop, named: str | Path) -> PublicKey:
    """The public key in a file, or the one of that fingerprint that the store knows."""
    if isinstance(named, Path) or not named.startswith(FINGERPRINT):
        return read_public_key(Path(named).expanduser())
    told = _recorded(shop)
    keys = {signer.key for signer in read_signers(shop.root)} | set(read_revoked(shop.root))
    for text in (*(key for key, _ in told.trusted), *told.revoked):
        try:
            keys.add(parse_key(text, "a record"))
        except InputError:
            continue  # not sealed by fieldlog
    for key in keys:
        if key.fingerprint == named:
            return key
    raise NotFoundError(f"no key {named[:60]} is known here: name the file that ends in .pub")
