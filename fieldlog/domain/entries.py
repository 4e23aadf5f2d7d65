"""What a logbook's line may hold, the line as read, and work that is not sealed yet."""

from datetime import datetime
from typing import Any, ClassVar, Self

from msgspec import Struct

from fieldlog.domain.fleet_records import Notice, Retired, TakenIn, TakenOver
from fieldlog.domain.hoist_records import Hoist
from fieldlog.domain.inspection_records import Inspection
from fieldlog.domain.seal_records import Signature
from fieldlog.domain.service_records import (
    ChainFitted,
    ExpertConditions,
    HoursLogged,
    LabelPrinted,
    LoadTest,
    Mending,
    ReturnToService,
    SetIdle,
    StruckOut,
    Withdrawal,
)
from fieldlog.domain.shop_records import Instrument, Person, PrinterOffset, ShopSettings, SigningKey, Site


class Unknown(Struct, frozen=True, kw_only=True):
    """A record of a kind this fieldlog does not know: kept and shown, never a crash."""

    kind: ClassVar[str] = "unknown"

    name: str
    data: dict[str, Any]


Body = (
    Hoist
    | Inspection
    | Withdrawal
    | ReturnToService
    | Mending
    | ChainFitted
    | LoadTest
    | HoursLogged
    | SetIdle
    | ExpertConditions
    | LabelPrinted
    | StruckOut
    | TakenOver
    | TakenIn
    | Retired
    | Notice
    | Signature
    | ShopSettings
    | Person
    | SigningKey
    | Instrument
    | Site
    | PrinterOffset
    | Unknown
)


class Entry(Struct, frozen=True, kw_only=True):
    """A sealed line of a logbook: its place in the chain, who sealed it and when, and the record.

    `line` is the SHA-256 of the exact bytes of the line with its newline, `prev` that of the line
    before; `number` counts from 1.
    """

    number: int
    line: str
    prev: str
    v: int
    uid: str
    by: str
    at: datetime
    body: Body


class Draft(Struct, frozen=True, kw_only=True):
    """Work that is not sealed yet. `fields` is what was typed, as plain JSON values.

    `about` is a hoist id, or empty for a new one; `head` the logbook's head when it was begun. `by` has it in
    hand; `begun_by` is who began it where that is somebody else.
    """

    uid: str
    kind: str
    about: str
    by: str
    begun: datetime
    saved: datetime
    head: str = ""
    begun_by: str = ""
    fields: dict[str, Any]

    @classmethod
    def fresh(cls, *, uid: str, kind: str, about: str, by: str, now: datetime, head: str = "") -> Self:
        """A draft with nothing typed yet."""
        return cls(uid=uid, kind=kind, about=about, by=by, begun=now, saved=now, head=head, fields={})
