"""What a hoist's records add up to, as a value, and the plain questions about it."""

from collections.abc import Mapping, Sequence
from datetime import date
from decimal import Decimal

from msgspec import Struct, field
from msgspec.structs import replace

from fieldlog.domain.corrections import day_of_work
from fieldlog.domain.criteria import Finding, Verdict
from fieldlog.domain.functions import item_of
from fieldlog.domain.gauge_length import Unused
from fieldlog.domain.records import (
    Answer,
    ChainReading,
    ChainSize,
    Defect,
    Entry,
    ExpertConditions,
    Hoist,
    HoursLogged,
    Inspection,
    LabelPrinted,
    LoadTest,
    Notice,
    Retired,
    SetIdle,
    Unknown,
)
from fieldlog.errors import Problem

NOT_TRUSTED = "its record can not be trusted"


class DefectState(Struct, frozen=True, kw_only=True):
    """A defect and what became of it; `entry` is the number of the line that reported it."""

    defect: Defect
    seen_on: date
    entry: int
    mended_on: date | None = None
    mended_by: str = ""


class WearPoint(Struct, frozen=True, kw_only=True):
    """The worst growth of the chain found on a day, beside what was allowed [mm]."""

    day: date
    growth_mm: Decimal
    allowed_mm: Decimal


class ChainLife(Struct, frozen=True, kw_only=True):
    """One chain from fitting to removal: its size, baseline, unused links measured since, and wear."""

    number: int
    size: ChainSize
    fitted_on: date
    baseline: Unused | None = None
    wear: tuple[WearPoint, ...] = ()
    unused: Unused | None = None


class Stop(Struct, frozen=True, kw_only=True):
    """Use is stopped from a day on, until the hoist is returned to service."""

    from_on: date
    reason: str
    entry: int


class Seen(Struct, frozen=True, kw_only=True):
    """The latest answer to a checklist item and the day of it."""

    answer: Answer
    day: date


class History(Struct, frozen=True, kw_only=True):
    """What a hoist's records add up to. `stops` are those that no return has lifted.

    `entries` stand as they were sealed, all other records by the day of the work.
    """

    hoist: Hoist | None
    entries: tuple[Entry, ...] = ()
    inspections: tuple[tuple[Entry, Inspection], ...] = ()
    defects: tuple[DefectState, ...] = ()
    chain: ChainLife | None = None
    earlier_chains: tuple[ChainLife, ...] = ()
    stops: tuple[Stop, ...] = ()
    seen: Mapping[str, Seen] = field(default_factory=dict)
    findings: Mapping[str, Finding] = field(default_factory=dict)
    last_readings: tuple[ChainReading, ...] = ()
    load_path_opened: bool = False
    moved_on: date | None = None
    labels: tuple[tuple[Entry, LabelPrinted], ...] = ()
    struck: Mapping[str, str] = field(default_factory=dict)
    problems: tuple[Problem, ...] = ()
    hours: tuple[HoursLogged, ...] = ()
    idle: tuple[SetIdle, ...] = ()
    conditions: tuple[ExpertConditions, ...] = ()
    load_tests: tuple[tuple[Entry, LoadTest], ...] = ()
    notices: tuple[tuple[Entry, Notice], ...] = ()
    retired: Retired | None = None

    @property
    def head(self) -> str:
        """The hash of the last line, or 64 zeros for an empty logbook."""
        return self.entries[-1].line if self.entries else "0" * 64


def distrusted(history: History, why: str) -> History:
    """The history of a hoist whose record can not be relied on: it is stopped until that is put right.

    What stands behind a line that does not read may well be a withdrawal, of any day. The stop is told of the
    last good line; one without a registration is nobody's hoist and stays as it is.
    """
    if history.hoist is None or not history.entries:
        return history
    last = history.entries[-1]
    stop = Stop(from_on=_from_the_start(history.entries), reason=f"{NOT_TRUSTED}: {why}", entry=last.number)
    return replace(history, stops=(stop, *history.stops))


def _from_the_start(entries: Sequence[Entry]) -> date:
    """The first day on which anything can be said of a hoist."""
    return min(min(day_of_work(entry), entry.at.date()) for entry in entries)


def unread_stops(entries: Sequence[Entry]) -> tuple[Stop, ...]:
    """Stops for records of a later fieldlog: any may be a withdrawal of any day, so no return lifts them."""
    return tuple(
        Stop(
            from_on=_from_the_start(entries),
            reason=f"line {entry.number} ({entry.body.name[:30]}) is of a later fieldlog: read it with that",
            entry=entry.number,
        )
        for entry in entries
        if isinstance(entry.body, Unknown)
    )


def open_defects(history: History) -> tuple[DefectState, ...]:
    """Defects that are not mended."""
    return tuple(state for state in history.defects if state.mended_on is None)


def undecided(history: History) -> tuple[Finding, ...]:
    """The latest findings that are undecided; a function that was not seen is told as such, not here."""
    return tuple(f for f in measured(history) if f.verdict is Verdict.UNDECIDED)


def measured(history: History) -> tuple[Finding, ...]:
    """The latest findings but those in words, whose defects and answers speak for themselves."""
    return tuple(found for found in history.findings.values() if not item_of(found))
