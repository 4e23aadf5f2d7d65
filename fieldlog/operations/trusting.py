"""Who may sign: keys that the shop trusts as a person's, and keys that it believes no more."""

from datetime import date, datetime
from pathlib import Path

from msgspec import Struct
from msgspec.structs import replace

from fieldlog.domain.records import Person
from fieldlog.errors import RefusedError
from fieldlog.operations.setting_up import add_person
from fieldlog.operations.shop import Shop, check_known, people
from fieldlog.operations.signing import checked_principal, read_public_key
from fieldlog.store.signers import PublicKey, Signer, read_revoked, read_signers, revoke, trust


class PersonKeys(Struct, frozen=True, kw_only=True):
    """A person and what is known of the keys that may sign for them, a sentence a key."""

    person: Person
    keys: tuple[str, ...]


def trust_key(
    shop: Shop, name: str, file: Path, *, until: date | None, sign_with: str = "", by: str, now: datetime
) -> Signer:
    """Record in allowed_signers that the public key in this file may sign for a person of the shop.

    Said again with another `until`, it replaces what was recorded. `sign_with` goes into the person's record
    as the private key file to sign with. NotFoundError for an unknown name or file, InputError for a file
    that holds no public key, RefusedError for a revoked key or one that is trusted as somebody else's.
    """
    check_known(shop, by)
    principal, key = checked_principal(shop, name), read_public_key(file)
    if key in read_revoked(shop.root):
        raise RefusedError(f"{key.fingerprint} is revoked: make a new key")
    others = [
        held.principal for held in read_signers(shop.root) if held.key == key and held.principal != principal
    ]
    if others:
        raise RefusedError(f"{key.fingerprint} signs for {others[0]} already: a key is one person's")
    signer = Signer(principal=principal, key=key, until=until)
    trust(shop.root, signer)
    held = people(shop)[name]
    if sign_with and held.key_file != sign_with:
        add_person(shop, replace(held, key_file=sign_with), by=by, now=now)
    return signer


def revoke_key(shop: Shop, file: Path) -> PublicKey:
    """Record that nothing which this key signed, before or after, is believed any more."""
    key = read_public_key(file)
    revoke(shop.root, key)
    return key


def signers_by_person(shop: Shop) -> list[PersonKeys]:
    """Everybody of the shop, by name, with their keys."""
    signers, revoked = read_signers(shop.root), read_revoked(shop.root)
    found = []
    for name, person in sorted(people(shop).items()):
        own = [signer for signer in signers if signer.principal == "_".join(name.split())]
        found.append(PersonKeys(person=person, keys=tuple(_key_words(signer, revoked) for signer in own)))
    return found


def _key_words(signer: Signer, revoked: list[PublicKey]) -> str:
    until = f", may sign until {signer.until.isoformat()}" if signer.until else ", may sign"
    state = ", revoked" if signer.key in revoked else until
    return f"{signer.key.type} {signer.key.fingerprint}{state}"
