"""A technician's signature under what was sealed: by an SSH key, where there is one, and never in the way."""

import os
from collections.abc import Mapping
from datetime import UTC, date, datetime
from hashlib import sha256
from pathlib import Path
from typing import Any

from msgspec import Struct

from fieldlog.domain.records import Entry, Signature
from fieldlog.errors import ConflictError, FieldlogError, InputError, NotFoundError
from fieldlog.operations.recorded_keys import recorded_keys
from fieldlog.operations.shop import Shop, append, people
from fieldlog.store.line_bytes import line_bytes
from fieldlog.store.signatures import AgentKeys, ask_agent, check_signature, sign, sign_with_agent
from fieldlog.store.signers import PublicKey, Signer, parse_key, principal_of, read_revoked, read_signers
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
    stands without a signature then, and `why` says so in one sentence. The same where verify would not
    believe the key, which is unknown here as theirs, past its last day, or revoked: such a signature would
    be a problem for ever. An agent is waited for at most twice `seconds`.
    """
    try:
        principal = principal_of(by)
        line = line_bytes(shop.logbooks, name, entry)
        key, text, why = _sign(shop, _standing_of(shop, by, principal, entry.at), line, seconds)
        if key is None:
            return Signed(entry=None, why=f"unsigned: {why}")
        body = Signature(line=entry.line, principal=principal, key=key.fingerprint, signature=text)
        wrong = check_signature(shop.root, line, by, entry.at, body)
        if wrong:  # a .pub file may lie beside another private key
            return Signed(entry=None, why=f"unsigned: {wrong.removesuffix('.')}")
        # The same line signed twice is one signature.
        uid = sha256(f"signature {body.line} {body.principal}".encode()).hexdigest()[:32]
        return Signed(entry=append_in_turn(shop, name, body, by=by, now=now, uid=uid))
    except FieldlogError as fault:
        return Signed(entry=None, why=f"unsigned: {fault}")


def append_in_turn(shop: Shop, name: str, body: Any, *, by: str, now: datetime, uid: str) -> Entry:
    """Seal a record that may stand behind whatever others seal meanwhile; raises as `append` does."""
    for _ in range(_TRIES - 1):
        try:
            head = shop.logbooks.read(name).head
            return append(shop, name, body, by=by, now=now, head=head, uid=uid)
        except ConflictError:
            continue
    return append(shop, name, body, by=by, now=now, head=shop.logbooks.read(name).head, uid=uid)


class _Standing(Struct, frozen=True, kw_only=True):
    """Which keys may sign for a person on the day of a line [UTC], as verify will ask."""

    by: str
    own: tuple[Signer, ...]
    revoked: frozenset[str]
    day: date

    def doubt(self, key: PublicKey) -> str:
        """Why verify would not believe this key's signature, to go behind 'it'; empty where it would."""
        if str(key) in self.revoked:
            return "is revoked: make a new key"
        held = [signer.until for signer in self.own if signer.key == key]
        if not held:
            return f"is not trusted as {self.by}'s (fieldlog people trust)"
        ended = [until for until in held if until is not None and until < self.day]
        if len(ended) == len(held):
            return f"might sign until {max(ended).isoformat()} only (fieldlog people trust)"
        return ""


def _standing_of(shop: Shop, by: str, principal: str, at: datetime) -> _Standing:
    # revoked_keys could have been cut: what is revoked by record signs no more either
    told = recorded_keys(shop.logbooks.read("people").entries).revoked
    return _Standing(
        by=by,
        own=tuple(signer for signer in read_signers(shop.root) if signer.principal == principal),
        revoked=frozenset({*told, *(str(key) for key in read_revoked(shop.root))}),
        day=at.astimezone(UTC).date(),
    )


def _sign(shop: Shop, who: _Standing, line: bytes, seconds: float) -> tuple[PublicKey | None, str, str]:
    """The key that signed and its signature; or None, an empty text and why there is none."""
    named = key_file(shop, who.by)
    if named is not None:
        own = parse_key(_read(_public(named)), str(_public(named)))
        doubt = who.doubt(own)
        if doubt:
            return None, "", f"the key {own.fingerprint} of {named} {doubt}"
        text, why = sign(line, named, seconds=seconds)
        return (own if text else None), text, why
    key, why = _agent_key(who, seconds)
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


def _agent_key(who: _Standing, seconds: float) -> tuple[PublicKey | None, str]:
    """A key of the agent that may sign for this person: any other would only be a problem later."""
    doubts = {signer.key: who.doubt(signer.key) for signer in who.own}
    why = _no_use_asking(who, doubts)
    agent = AgentKeys(why=why) if why else ask_agent(seconds=seconds)
    known = [key for key in agent.keys if key in doubts]
    for key in known:
        if not doubts[key]:
            return key, ""
    if known:
        return None, f"the SSH agent's key {known[0].fingerprint} {doubts[known[0]]}"
    return None, agent.why or f"the SSH agent holds no key that is trusted as {who.by}'s"


def _no_use_asking(who: _Standing, doubts: Mapping[PublicKey, str]) -> str:
    """Why no agent need be asked for one of these keys; empty where it should be."""
    if not doubts:
        return f"no key of {who.by} is trusted here (fieldlog people trust)"
    if all(doubts.values()):
        key, doubt = list(doubts.items())[-1]
        return f"the key {key.fingerprint} of {who.by} {doubt}"
    return "" if os.environ.get("SSH_AUTH_SOCK") else f"no SSH agent, and no key file in {KEY_FILE}"


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
