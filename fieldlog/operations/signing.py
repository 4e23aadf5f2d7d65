"""A technician's signature under what was sealed: by an SSH key, where there is one, and never in the way."""

import os
from datetime import datetime
from hashlib import sha256
from pathlib import Path

from msgspec import Struct

from fieldlog.domain.records import Entry, Signature
from fieldlog.errors import ConflictError, FieldlogError, InputError, NotFoundError
from fieldlog.operations.shop import Shop, append, people
from fieldlog.store.line_bytes import line_bytes
from fieldlog.store.signatures import agent_keys, sign, sign_with_agent
from fieldlog.store.signers import PublicKey, parse_key, principal_of, read_revoked, read_signers
from fieldlog.store.ssh_keys import SECONDS

KEY_FILE = "FIELDLOG_KEY"
_TRIES = 5


class Signed(Struct, frozen=True, kw_only=True):
    """The signature as sealed, or None and why the line stays unsigned."""

    entry: Entry | None
    why: str = ""


def sign_entry(shop: Shop, name: str, entry: Entry, *, by: str, now: datetime) -> Entry | None:
    """As `sign_sealed`; None where the line stays unsigned."""
    return sign_sealed(shop, name, entry, by=by, now=now).entry


def sign_sealed(
    shop: Shop, name: str, entry: Entry, *, by: str, now: datetime, seconds: float = SECONDS
) -> Signed:
    """Add the technician's signature over a line that was sealed just now, and acknowledged already.

    The key is the file that FIELDLOG_KEY or the person's record names, else one in the SSH agent that the
    store trusts as theirs. Never raises for want of a key, an agent or a place on the disk: the sealed line
    stands without a signature then, and `why` says so in one sentence. Takes at most twice `seconds`.
    """
    try:
        principal = principal_of(by)
        line = line_bytes(shop.logbooks, name, entry)
        key, text, why = _sign(shop, by, principal, line, seconds)
        if key is None:
            return Signed(entry=None, why=f"unsigned: {why}")
        body = Signature(line=entry.line, principal=principal, key=key.fingerprint, signature=text)
        return Signed(entry=_append(shop, name, body, by=by, now=now))
    except FieldlogError as fault:
        return Signed(entry=None, why=f"unsigned: {fault}")


def _append(shop: Shop, name: str, body: Signature, *, by: str, now: datetime) -> Entry:
    """Others may seal between a line and its signature, which names its line and may come later."""
    # The same line signed twice is one signature.
    uid = sha256(f"signature {body.line} {body.principal}".encode()).hexdigest()[:32]
    for _ in range(_TRIES - 1):
        try:
            head = shop.logbooks.read(name).head
            return append(shop, name, body, by=by, now=now, head=head, uid=uid)
        except ConflictError:
            continue
    return append(shop, name, body, by=by, now=now, head=shop.logbooks.read(name).head, uid=uid)


def _sign(
    shop: Shop, by: str, principal: str, line: bytes, seconds: float
) -> tuple[PublicKey | None, str, str]:
    """The key that signed and its signature; or None, an empty text and why there is none."""
    named = key_file(shop, by)
    if named is not None:
        own = parse_key(_read(_public(named)), str(_public(named)))
        text, why = sign(line, named, seconds=seconds)
        return (own if text else None), text, why
    key, why = _agent_key(shop, by, principal, seconds)
    if key is None:
        return None, "", why
    text, why = sign_with_agent(line, key, seconds=seconds)
    return (key if text else None), text, why


def key_file(shop: Shop, by: str) -> Path | None:
    """The key file that FIELDLOG_KEY or the person's record names, or None."""
    person = people(shop).get(by)
    named = os.environ.get(KEY_FILE, "") or ("" if person is None else person.key_file)
    return Path(named).expanduser() if named else None


def _public(path: Path) -> Path:
    return path if path.suffix == ".pub" else path.with_name(path.name + ".pub")


def _read(path: Path) -> str:
    try:
        return path.read_text(encoding="utf-8")
    except (OSError, UnicodeDecodeError) as fault:
        raise NotFoundError(f"the public key {path} can not be read ({fault})") from fault


def _agent_key(shop: Shop, by: str, principal: str, seconds: float) -> tuple[PublicKey | None, str]:
    """A key of the agent that the store trusts as this person's: any other would only be a problem later."""
    revoked = read_revoked(shop.root)
    trusted = [
        signer.key
        for signer in read_signers(shop.root)
        if signer.principal == principal and signer.key not in revoked
    ]
    if not trusted:
        return None, f"no key of {by} is trusted here (fieldlog people trust)"
    if not os.environ.get("SSH_AUTH_SOCK"):
        return None, f"no SSH agent, and no key file in {KEY_FILE}"
    held = agent_keys(seconds=seconds)
    found = [key for key in held if key in trusted]
    if not found:
        return None, f"the SSH agent holds no key that is trusted as {by}'s"
    return found[0], ""


def read_public_key(path: Path) -> PublicKey:
    """The public key in a file; NotFoundError where it can not be read, InputError where it holds none."""
    return parse_key(_read(path), str(path))


def checked_principal(shop: Shop, name: str) -> str:
    """How a person of the shop is called among the signers.

    NotFoundError for an unknown name, InputError where two people would be called alike.
    """
    known = people(shop)
    if name not in known:
        raise NotFoundError(f"{name or 'nobody'} is not among the shop's people: {', '.join(known)}")
    principal = principal_of(name)
    for other in known:
        if other != name and "_".join(other.split()) == principal:
            raise InputError(f"{name} and {other} would sign under one name: rename one of them")
    return principal
