"""What was seen or done, as values. A record has no behaviour; questions about it are functions elsewhere.

Every body is sealed as one line of a logbook. Lengths are millimetres, masses kilograms, both Decimal.
A new field needs a default, so that lines written before it still open.
"""

from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from enum import StrEnum
from typing import Any, ClassVar, Self

from fieldlog.domain.criteria import Finding


class Drive(StrEnum):
    """What moves the hoist."""

    ELECTRIC = "electric"
    AIR = "air"
    HAND = "hand"


class ServiceClass(StrEnum):
    """How hard the hoist works. Source: DOE-STD-1090-96, 8.2.2."""

    NORMAL = "normal"
    HEAVY = "heavy"
    SEVERE = "severe"


class InspectionKind(StrEnum):
    """The occasions of an inspection."""

    FIRST_USE = "before first use"
    PRE_USE = "pre-use"
    FREQUENT = "frequent"
    PERIODIC = "periodic"
    AFTER_REPAIR = "after repair"
    AFTER_EVENT = "after an event"
    AFTER_MOVE = "after a move"


class AnswerKind(StrEnum):
    """The four answers to a checklist item; 'not seen' is never a pass."""

    OK = "ok"
    DEFECT = "defect"
    NOT_APPLICABLE = "not applicable"
    NOT_SEEN = "not seen"


class DefectGrade(StrEnum):
    """What a defect does to the use of the hoist."""

    STOPS_NOW = "stops use now"
    STOPS_FROM = "stops use from a date"
    WATCH = "watch"
    NOTED = "noted"


class Basis(StrEnum):
    """How the gauge length is taken: inside or outside the end links, or with a go/no-go gauge."""

    INSIDE = "inside"
    OUTSIDE = "outside"
    GAUGE = "gauge"


@dataclass(frozen=True, slots=True, kw_only=True)
class ChainSize:
    """Nominal diameter dn and nominal pitch pn (inside length of one link)."""

    dn_mm: Decimal
    pn_mm: Decimal
    grade: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class BookValue:
    """The hoist maker's own figures over `links` links, with the document they come from.

    A book may give the length as new, the discard length, or both.
    """

    links: int
    basis: Basis = Basis.INSIDE
    length_mm: Decimal | None = None
    discard_mm: Decimal | None = None
    document: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Hoist:
    """Nameplate and installation facts; `rulebook` is the regime of the place where it hangs."""

    kind: ClassVar[str] = "registration"

    id: str
    maker: str
    model: str
    serial: str
    year: int | None = None
    drive: Drive
    capacity_kg: Decimal
    falls: int
    lift_mm: Decimal
    chain: ChainSize
    book: BookValue | None = None
    hook_throat_mm: Decimal | None = None
    limit_switches: bool = False
    container: bool = False
    overload_device: bool = False
    trolley: bool = False
    lifts_persons: bool = False
    site: str
    place: str = ""
    service: ServiceClass = ServiceClass.NORMAL
    group: str = ""
    rulebook: str
    registered_on: date


@dataclass(frozen=True, slots=True, kw_only=True)
class Answer:
    """One checklist item answered."""

    item: str
    answer: AnswerKind
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class ChainReading:
    """A gauge length at one place of the working length, as typed and in millimetres.

    With basis 'gauge' there is no figure: `both_ends_touch` tells what the go/no-go gauge did.
    `instrument_state` keeps what the register said of the instrument on that day.
    """

    place: str
    links: int
    basis: Basis = Basis.INSIDE
    value_mm: Decimal | None = None
    both_ends_touch: bool | None = None
    typed: str = ""
    instrument: str = ""
    instrument_state: str = ""
    questions_confirmed: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class DiameterReading:
    """Two diameters at right angles at the most worn place."""

    place: str
    d1_mm: Decimal
    d2_mm: Decimal
    instrument: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class HookReading:
    """A hook's throat opening and twist as seen; `which` is upper or lower."""

    which: str = "lower"
    throat_mm: Decimal | None = None
    twist_deg: Decimal = Decimal(0)
    crack: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Defect:
    """A defect from the day it was seen; `id` is unique within the hoist's logbook."""

    id: str
    item: str
    what: str
    where: str = ""
    grade: DefectGrade
    stops_on: date | None = None
    remedy: str = ""
    serious: bool = False
    told: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Inspection:
    """One inspection as sealed; `findings` are the verdicts of that day under `rulebook` and `edition`."""

    kind: ClassVar[str] = "inspection"

    occasion: InspectionKind
    done_on: date
    rulebook: str
    edition: str
    answers: tuple[Answer, ...]
    readings: tuple[ChainReading, ...] = ()
    diameters: tuple[DiameterReading, ...] = ()
    hooks: tuple[HookReading, ...] = ()
    defects: tuple[Defect, ...] = ()
    findings: tuple[Finding, ...] = ()
    remark: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Withdrawal:
    """The hoist is taken out of service by a person."""

    kind: ClassVar[str] = "withdrawal"

    done_on: date
    reason: str
    lock: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class ReturnToService:
    """The hoist may be used again; the two statements are asked, never assumed."""

    kind: ClassVar[str] = "return"

    done_on: date
    guards_on_tools_out: bool
    locks_removed_by: str = ""
    test: str = ""
    remark: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Mending:
    """Defects mended: by which part or work, and who checked it."""

    kind: ClassVar[str] = "mending"

    done_on: date
    defects: tuple[str, ...]
    work: str
    checked_by: str
    load_path: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class ChainFitted:
    """A new chain life: chain, pocket wheel and both guides as one set, with its baseline reading."""

    kind: ClassVar[str] = "chain fitted"

    done_on: date
    chain: ChainSize
    length_mm: Decimal | None = None
    certificate: str = ""
    wheel_and_guides_too: bool = True
    why_part_only: str = ""
    why_other_size: str = ""
    baseline_links: int | None = None
    baseline_basis: Basis = Basis.INSIDE
    baseline_mm: Decimal | None = None
    defects_mended: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class LoadTest:
    """A load test: the load that was required and the one that was reached."""

    kind: ClassVar[str] = "load test"

    done_on: date
    required_kg: Decimal
    reached_kg: Decimal
    passed: bool
    remark: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class LabelPrinted:
    """Paper that left the shop: kind of label, what it said and the head it was printed from."""

    kind: ClassVar[str] = "label printed"

    done_on: date
    label: str
    template: str
    says: str
    head: str


@dataclass(frozen=True, slots=True, kw_only=True)
class StruckOut:
    """A sealed record that does not hold, named by the SHA-256 of its line, and why."""

    kind: ClassVar[str] = "struck out"

    line: str
    why: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ShopSettings:
    """The shop's own choices; the last record holds."""

    kind: ClassVar[str] = "settings"

    shop: str
    prefix: str
    rulebook: str
    stricter_rule_governs: bool = False
    address: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Person:
    """Somebody who may sit at the keys; the last record of a name holds.

    The addresses, and `self_employed` for one without an employer, are particulars that a report may need.
    """

    kind: ClassVar[str] = "person"

    name: str
    login: str = ""
    qualification: str = ""
    employer: str = ""
    may_seal: bool = True
    until: date | None = None
    address: str = ""
    employer_address: str = ""
    self_employed: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Instrument:
    """A measuring instrument; the last record of a name holds, earlier ones are its history."""

    kind: ClassVar[str] = "instrument"

    name: str
    type: str
    calibrated_on: date | None = None
    interval_months: int | None = None
    passed: bool = True
    certificate: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Site:
    """A place where hoists hang, with the rulebook that holds there and whose the hoists are."""

    kind: ClassVar[str] = "site"

    name: str
    address: str = ""
    rulebook: str = ""
    owner: str = ""
    owner_address: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Unknown:
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
    | LabelPrinted
    | StruckOut
    | ShopSettings
    | Person
    | Instrument
    | Site
    | Unknown
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry:
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


@dataclass(frozen=True, slots=True, kw_only=True)
class Draft:
    """Work that is not sealed yet. `fields` is what was typed, as plain JSON values.

    `about` is a hoist id, or empty for a new one; `head` the logbook's head when it was begun.
    """

    uid: str
    kind: str
    about: str
    by: str
    begun: datetime
    saved: datetime
    head: str = ""
    fields: dict[str, Any]

    @classmethod
    def fresh(cls, *, uid: str, kind: str, about: str, by: str, now: datetime, head: str = "") -> Self:
        """A draft with nothing typed yet."""
        return cls(uid=uid, kind=kind, about=about, by=by, begun=now, saved=now, head=head, fields={})
