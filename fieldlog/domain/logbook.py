"""Folds the records of a hoist's logbook into its history, and names what is wrong in it.

Folding knows no day: what depends on today (overdue, closed by a date) is asked of the result. The history
itself stands in `history`, and is given out here too.
"""

from collections.abc import Sequence
from datetime import date

from msgspec.structs import replace

from fieldlog.domain.chain import DIAMETER, ELONGATION, PITCH
from fieldlog.domain.corrections import by_day, strike_problems, struck_lines
from fieldlog.domain.criteria import Finding, Verdict, governing
from fieldlog.domain.functions import item_of
from fieldlog.domain.gauge_length import Unused
from fieldlog.domain.history import (
    ChainLife,
    DefectState,
    History,
    Seen,
    Stop,
    WearPoint,
    open_defects,
    undecided,
    unread_stops,
)
from fieldlog.domain.records import (
    Answer,
    ChainFitted,
    ChainReading,
    DefectGrade,
    Entry,
    ExpertConditions,
    Hoist,
    HoursLogged,
    Inspection,
    LabelPrinted,
    LoadTest,
    Mending,
    Notice,
    Retired,
    ReturnToService,
    SetIdle,
    Withdrawal,
)
from fieldlog.domain.running import hours_faults
from fieldlog.errors import Problem

__all__ = [
    "ChainLife",
    "DefectState",
    "History",
    "Seen",
    "Stop",
    "WearPoint",
    "fold",
    "open_defects",
    "undecided",
]


class _Folding:
    """The state while folding; turned into a History at the end."""

    def __init__(self) -> None:
        self.hoist: Hoist | None = None
        self.inspections: list[tuple[Entry, Inspection]] = []
        self.defects: dict[str, DefectState] = {}
        self.chain: ChainLife | None = None
        self.earlier: list[ChainLife] = []
        self.stops: list[Stop] = []
        self.seen: dict[str, tuple[Answer, date]] = {}
        self.findings: dict[str, Finding] = {}
        self.discards: dict[str, Stop] = {}
        self.last_readings: tuple[ChainReading, ...] = ()
        self.load_path_opened = False
        self.moved_on: date | None = None
        self.labels: list[tuple[Entry, LabelPrinted]] = []
        self.hours: list[HoursLogged] = []
        self.idle: list[SetIdle] = []
        self.conditions: list[ExpertConditions] = []
        self.load_tests: list[tuple[Entry, LoadTest]] = []
        self.notices: list[tuple[Entry, Notice]] = []
        self.retired: tuple[Entry, Retired] | None = None
        self.problems: list[Problem] = []


def _registration(state: _Folding, body: Hoist) -> None:
    before = state.hoist
    # A later record tells a move or a correction; the hoist is known here since the first one.
    state.hoist = body if before is None else replace(body, registered_on=before.registered_on)
    state.retired = None
    if before is not None and (before.site, before.place) != (body.site, body.place):
        state.moved_on = body.registered_on
    if state.chain is None:
        state.chain = ChainLife(number=1, size=body.chain, fitted_on=body.registered_on)
    elif state.chain.number == 1:
        # No chain was fitted yet, so the nameplate as corrected says which one hangs there.
        state.chain = replace(state.chain, size=body.chain)


def _stops_of(held: DefectState) -> tuple[Stop, ...]:
    """The stop that a defect of its grade means, if any; one whose date is missing stops at once."""
    dated = held.defect.stops_on or held.seen_on
    begins = {DefectGrade.STOPS_NOW: held.seen_on, DefectGrade.STOPS_FROM: dated}
    day = begins.get(held.defect.grade)
    reason = f"{held.defect.id}: {held.defect.what}"
    return () if day is None else (Stop(from_on=day, reason=reason, entry=held.entry),)


def _inspection(state: _Folding, entry: Entry, body: Inspection) -> None:
    state.inspections.append((entry, body))
    for answer in body.answers:
        state.seen[answer.item] = (answer, body.done_on)
    for component, found in governing(body.findings).items():
        state.findings[component] = found
        state.discards.pop(component, None)
        # What failed in words is stopped by its defect, which can be mended; a figure is measured anew.
        if found.verdict is Verdict.DISCARD and not item_of(found):
            reason = f"{component}: {found.why}"
            state.discards[component] = Stop(from_on=body.done_on, reason=reason, entry=entry.number)
    for defect in body.defects:
        held = DefectState(defect=defect, seen_on=body.done_on, entry=entry.number)
        state.defects[defect.id] = held
        state.stops.extend(_stops_of(held))
    state.stops.extend(_untold(state))
    if body.readings:
        state.last_readings = body.readings
    if body.unused is not None and state.chain is not None:
        unused = Unused(links=body.unused.links, basis=body.unused.basis, length_mm=body.unused.length_mm)
        state.chain = replace(state.chain, unused=unused)
    _add_wear(state, body)


def _untold(state: _Folding) -> list[Stop]:
    """Findings of discard stop the hoist; those that an open stopping defect tells are not told twice."""
    told = {
        held.defect.what
        for held in state.defects.values()
        if held.mended_on is None and held.defect.grade is DefectGrade.STOPS_NOW
    }
    return [stop for stop in state.discards.values() if stop.reason not in told]


def _add_wear(state: _Folding, body: Inspection) -> None:
    """The worst growth of this inspection, as a share of what was allowed: readings may span other links."""
    points = [
        WearPoint(day=body.done_on, growth_mm=found.value, allowed_mm=found.limit)
        for found in body.findings
        if found.component == ELONGATION and found.value is not None and found.limit and found.limit > 0
    ]
    if points and state.chain is not None:
        worst = max(points, key=lambda point: point.growth_mm / point.allowed_mm)
        state.chain = replace(state.chain, wear=(*state.chain.wear, worst))


def _mend(state: _Folding, ids: Sequence[str], day: date, work: str, place: str) -> None:
    for defect_id in ids:
        held = state.defects.get(defect_id)
        if held is None:
            state.problems.append(
                Problem(place=place, wrong=f"mends {defect_id}, which this logbook does not know.")
            )
        elif held.mended_on is None:
            state.defects[defect_id] = replace(held, mended_on=day, mended_by=work)
            if held.defect.grade is DefectGrade.STOPS_FROM:
                # Mended before its day came, it never stops the hoist.
                spared = [stop for stop in _stops_of(held) if day < stop.from_on]
                state.stops = [stop for stop in state.stops if stop not in spared]
            _forget_words(state, held.defect.item)


def _forget_words(state: _Folding, item: str) -> None:
    """What was found in words at an item holds no longer once all defects there are mended."""
    still = any(held.mended_on is None and held.defect.item == item for held in state.defects.values())
    if not still:
        state.findings = {name: found for name, found in state.findings.items() if item_of(found) != item}


def _mending(state: _Folding, entry: Entry, body: Mending) -> None:
    _mend(state, body.defects, body.done_on, body.work, f"line {entry.number}")
    state.load_path_opened = state.load_path_opened or body.load_path


def _chain_fitted(state: _Folding, entry: Entry, body: ChainFitted) -> None:
    if state.chain is not None:
        state.earlier.append(state.chain)
    baseline = None
    if body.baseline_mm is not None and body.baseline_links is not None:
        baseline = Unused(links=body.baseline_links, basis=body.baseline_basis, length_mm=body.baseline_mm)
    state.chain = ChainLife(
        number=len(state.earlier) + 1, size=body.chain, fitted_on=body.done_on, baseline=baseline
    )
    state.last_readings = ()
    for component in (ELONGATION, DIAMETER, PITCH):
        state.findings.pop(component, None)
        state.discards.pop(component, None)
    state.load_path_opened = True
    _mend(state, body.defects_mended, body.done_on, "chain set fitted", f"line {entry.number}")


def _load_test(state: _Folding, entry: Entry, body: LoadTest) -> None:
    """A test passed proves the load path; one not passed stops the hoist and asks for another."""
    state.load_tests.append((entry, body))
    state.findings.update(governing(body.findings))
    state.load_path_opened = not body.passed
    if not body.passed:
        stop = Stop(from_on=body.done_on, reason="the load test was not passed", entry=entry.number)
        state.stops.append(stop)


def _step(state: _Folding, entry: Entry) -> None:
    match entry.body:
        case Hoist() as body:
            _registration(state, body)
        case Inspection() as body:
            _inspection(state, entry, body)
        case Mending() as body:
            _mending(state, entry, body)
        case ChainFitted() as body:
            _chain_fitted(state, entry, body)
        case Withdrawal() as body:
            stop = Stop(from_on=body.done_on, reason=f"withdrawn: {body.reason}", entry=entry.number)
            state.stops.append(stop)
        case ReturnToService() as body:
            state.stops = [stop for stop in state.stops if stop.from_on > body.done_on]
            state.load_path_opened = False
        case LoadTest() as body:
            _load_test(state, entry, body)
        case LabelPrinted() as body:
            state.labels.append((entry, body))
        case _:
            _use(state, entry)


def _use(state: _Folding, entry: Entry) -> None:
    """How much the hoist runs, whether it may go on, and who was told of its defects."""
    match entry.body:
        case HoursLogged() as body:
            state.hours.append(body)
        case SetIdle() as body:
            state.idle.append(body)
        case ExpertConditions() as body:
            state.conditions.append(body)
        case Notice() as body:
            state.notices.append((entry, body))
        case Retired() as body:
            state.retired = (entry, body)


def _standing_stops(state: _Folding) -> tuple[Stop, ...]:
    """Stops that hold. No return lifts one whose defect is open still, or whose part is still discard."""
    defects = [stop for held in state.defects.values() if held.mended_on is None for stop in _stops_of(held)]
    return tuple(dict.fromkeys((*_retired_stop(state), *state.stops, *defects, *_untold(state))))


def _retired_stop(state: _Folding) -> tuple[Stop, ...]:
    if state.retired is None:
        return ()
    entry, body = state.retired
    return (Stop(from_on=body.done_on, reason=f"retired: {body.why}", entry=entry.number),)


def fold(entries: Sequence[Entry]) -> History:
    """The history of one hoist from its entries in the order they were sealed; struck ones do not count."""
    state = _Folding()
    struck = struck_lines(entries)
    state.problems.extend(strike_problems(entries))
    counting = [entry for entry in entries if entry.line not in struck]
    for entry in by_day(counting):
        _step(state, entry)
    state.problems.extend(Problem(place="hours", wrong=wrong) for wrong in hours_faults(state.hours))
    return History(
        hoist=state.hoist,
        entries=tuple(entries),
        inspections=tuple(state.inspections),
        defects=tuple(state.defects.values()),
        chain=state.chain,
        earlier_chains=tuple(state.earlier),
        stops=(*_standing_stops(state), *unread_stops(counting)),
        seen={item: Seen(answer=answer, day=day) for item, (answer, day) in state.seen.items()},
        findings=state.findings,
        last_readings=state.last_readings,
        load_path_opened=state.load_path_opened,
        moved_on=state.moved_on,
        labels=tuple(state.labels),
        struck=struck,
        problems=tuple(state.problems),
        hours=tuple(state.hours),
        idle=tuple(state.idle),
        conditions=tuple(state.conditions),
        load_tests=tuple(state.load_tests),
        notices=tuple(state.notices),
        retired=None if state.retired is None else state.retired[1],
    )
