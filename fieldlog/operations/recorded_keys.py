"""What the shop's people logbook tells of SSH keys: which may sign for whom, and which are revoked."""

from collections.abc import Iterable, Mapping
from datetime import datetime

from msgspec import Struct

from fieldlog.domain.records import Entry, KeyDeed, SigningKey


class Told(Struct, frozen=True, kw_only=True):
    """A record of a key with who sealed it and when."""

    body: SigningKey
    by: str
    at: datetime


class RecordedKeys(Struct, frozen=True, kw_only=True):
    """`trusted` is the last record of each key and principal, `revoked` the first one of each key.

    Both go by the key's text as OpenSSH writes it. A key that was revoked once stays so, whatever came
    after: two sessions may have trusted and revoked it at the same moment.
    """

    trusted: Mapping[tuple[str, str], Told]
    revoked: Mapping[str, Told]


def recorded_keys(entries: Iterable[Entry]) -> RecordedKeys:
    """What these lines of the people logbook tell."""
    trusted: dict[tuple[str, str], Told] = {}
    revoked: dict[str, Told] = {}
    for entry in entries:
        body = entry.body
        if not isinstance(body, SigningKey):
            continue
        told = Told(body=body, by=entry.by, at=entry.at)
        if body.deed is KeyDeed.REVOKED:
            revoked.setdefault(body.key, told)
        else:
            trusted[(body.key, body.principal)] = told
    return RecordedKeys(trusted=trusted, revoked=revoked)
