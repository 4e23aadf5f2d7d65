"""What an inspection saw and measured, as values.

A record has no behaviour; questions about it are functions elsewhere. Lengths are millimetres, masses
kilograms, both Decimal. A new field needs a default, so that lines written before it still open.
"""

from datetime import date
from decimal import Decimal
from typing import ClassVar

from msgspec import Struct

from fieldlog.domain.criteria import Finding
from fieldlog.domain.hoist_records import ChainSize
from fieldlog.domain.vocabulary import AnswerKind, Basis, DefectGrade, InspectionKind


class Answer(Struct, frozen=True, kw_only=True):
    """One checklist item answered."""

    item: str
    answer: AnswerKind
    note: str = ""


class ChainReading(Struct, frozen=True, kw_only=True):
    """A gauge length at one place of the working length, as typed and in millimetres.

    With basis 'gauge' there is no figure: `both_ends_touch` tells what the go/no-go gauge did.
    Where it was read several times, `repeats` holds each reading [mm] and `value_mm` is their mean.
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
    repeats: tuple[Decimal, ...] = ()


class DiameterReading(Struct, frozen=True, kw_only=True):
    """Two diameters at right angles at the most worn place."""

    place: str
    d1_mm: Decimal
    d2_mm: Decimal
    instrument: str = ""


class HookReading(Struct, frozen=True, kw_only=True):
    """A hook's throat opening and twist as seen; `which` is upper or lower.

    `new_mm` is the throat as new where it is not the one registered with the hoist. `section_new_mm` and
    `section_mm` are the height of the section in the saddle, unworn and where it is worn most.
    """

    which: str = "lower"
    throat_mm: Decimal | None = None
    twist_deg: Decimal = Decimal(0)
    crack: bool = False
    new_mm: Decimal | None = None
    section_new_mm: Decimal | None = None
    section_mm: Decimal | None = None
    instrument: str = ""


class PitchReading(Struct, frozen=True, kw_only=True):
    """The inside length of one link and, where it was taken, its wire diameter [mm]."""

    place: str
    pitch_mm: Decimal
    diameter_mm: Decimal | None = None
    instrument: str = ""


class UnusedLinks(Struct, frozen=True, kw_only=True):
    """A gauge length over links of the same chain that never ran, such as those kept beyond the stop."""

    links: int
    basis: Basis = Basis.INSIDE
    length_mm: Decimal
    instrument: str = ""


class Defect(Struct, frozen=True, kw_only=True):
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


class Inspection(Struct, frozen=True, kw_only=True):
    """One inspection as sealed; `findings` are the verdicts of that day under `rulebook` and `edition`.

    `capacity_seen_kg` and `chain_seen` are what nameplate and chain said on that day, where they were read.
    """

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
    pitches: tuple[PitchReading, ...] = ()
    unused: UnusedLinks | None = None
    capacity_seen_kg: Decimal | None = None
    chain_seen: ChainSize | None = None
