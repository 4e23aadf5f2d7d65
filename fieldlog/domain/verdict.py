"""From findings and defects to the hoist's fitness for service on a day, and what stands in its way."""

from datetime import date
from decimal import Decimal
from enum import StrEnum

from msgspec import Struct

from fieldlog.domain.chain import ELONGATION
from fieldlog.domain.criteria import Verdict
from fieldlog.domain.due_dates import COUNTS_FOR
from fieldlog.domain.history import DefectState, History, Stop, measured, open_defects, undecided
from fieldlog.domain.idle import idle_left, idle_words
from fieldlog.domain.load_test import LOAD_TEST
from fieldlog.domain.records import AnswerKind, DefectGrade, Drive, Hoist, InspectionKind
from fieldlog.domain.rules import Rulebook
from fieldlog.domain.running import periods_of
from fieldlog.domain.schedule import Due, dues
from fieldlog.domain.service_life import life_conditions, life_of, life_stops, shown_percent, used_up

STOPPING = (DefectGrade.STOPS_NOW, DefectGrade.STOPS_FROM)


class Fitness(StrEnum):
    """May the hoist be used?"""

    IN_SERVICE = "in service"
    LIMITED = "limited"
    OUT_OF_SERVICE = "out of service"


class Summary(Struct, frozen=True, kw_only=True):
    """What lists, search and due dates need of one hoist. It knows no day; ask `fitness_on`."""

    id: str
    maker: str
    model: str
    serial: str
    drive: Drive
    capacity_kg: Decimal
    dn_mm: Decimal
    pn_mm: Decimal
    site: str
    place: str
    rulebook: str
    stops: tuple[Stop, ...]
    conditions: tuple[str, ...]
    watch: tuple[str, ...]
    sticker_refusals: tuple[str, ...]
    dues: tuple[Due, ...]
    used_pct: Decimal | None
    open_defects: int
    entries: int
    head: str
    life_pct: Decimal | None = None
    retired_on: date | None = None


class Standing(Struct, frozen=True, kw_only=True):
    """Fitness on a day with the sentences that explain it."""

    fitness: Fitness
    reasons: tuple[str, ...]


def is_safety_item(item_id: str, rulebook: Rulebook) -> bool:
    """Whether an item affects safety; one this edition does not know is taken as if it did."""
    return all(item.safety for item in rulebook.items if item.id == item_id)


def is_safety_defect(state: DefectState, rulebook: Rulebook) -> bool:
    """A defect that stops use, carries a risk of serious injury, or stands at a safety item."""
    defect = state.defect
    return defect.grade in STOPPING or defect.serious or is_safety_item(defect.item, rulebook)


def not_seen_safety(history: History, rulebook: Rulebook) -> tuple[str, ...]:
    """Titles of safety items whose latest answer is 'not seen'."""
    titles = {item.id: item.title for item in rulebook.items}
    return tuple(
        titles.get(item, item)
        for item, seen in history.seen.items()
        if seen.answer.answer is AnswerKind.NOT_SEEN and is_safety_item(item, rulebook)
    )


def was_examined(history: History) -> bool:
    """Whether an inspection that counts as the one before first use was sealed."""
    return any(body.occasion in COUNTS_FOR[InspectionKind.FIRST_USE] for _, body in history.inspections)


def _open_questions(history: History, rulebook: Rulebook) -> tuple[str, ...]:
    sentences = [f"undecided: {finding.component}, {finding.why}" for finding in undecided(history)]
    sentences += [f"not seen: {title}" for title in not_seen_safety(history, rulebook)]
    return tuple(sentences)


def _defect_conditions(history: History) -> tuple[str, ...]:
    return tuple(
        f"{s.defect.id}: {s.defect.what} (from {s.defect.stops_on.isoformat()} on: out of service)"
        for s in open_defects(history)
        if s.defect.grade is DefectGrade.STOPS_FROM and s.defect.stops_on is not None
    )


def _watch(history: History) -> tuple[str, ...]:
    findings = [f"{f.component}: {f.why}" for f in measured(history) if f.verdict is Verdict.WATCH]
    defects = [
        f"{s.defect.id}: {s.defect.what}"
        for s in open_defects(history)
        if s.defect.grade in (DefectGrade.WATCH, DefectGrade.NOTED)
    ]
    return tuple(findings + defects)


def _bars_sticker(state: DefectState, rulebook: Rulebook) -> bool:
    minor_too = rulebook.sticker is not None and not rulebook.sticker.with_minor_defects
    return minor_too or is_safety_defect(state, rulebook)


def sticker_refusals(history: History, rulebook: Rulebook) -> tuple[str, ...]:
    """Why no due sticker may be given; empty if one may.

    Defects that leave safety untouched stand in its way only where the rulebook says so.
    Source: DGUV Vorschrift 54, 23a (no sticker while defects that affect safety are open).
    """
    if not history.inspections:
        return ("no inspection is sealed yet",)
    sentences = [stop.reason for stop in history.stops]
    sentences += used_up(history, rulebook)
    sentences += [
        f"{state.defect.id}: {state.defect.what}"
        for state in open_defects(history)
        if _bars_sticker(state, rulebook)
    ]
    if not was_examined(history):
        sentences.append("the inspection before first use is missing")
    sentences += _open_questions(history, rulebook)
    return tuple(dict.fromkeys(sentences))


def _used_percent(history: History) -> Decimal | None:
    finding = history.findings.get(ELONGATION)
    if finding is None or finding.value is None or not finding.limit:
        return None
    return (finding.value / finding.limit * 100).quantize(Decimal("0.1"))


def _stops(history: History, rulebook: Rulebook) -> tuple[Stop, ...]:
    stops = (*history.stops, *life_stops(history, rulebook))
    if was_examined(history) or history.hoist is None:
        return stops
    missing = Stop(
        from_on=history.hoist.registered_on,
        reason="not in use yet: the inspection before first use is missing",
        entry=0,
    )
    return (missing, *stops)


def _idle(history: History, rulebook: Rulebook) -> tuple[str, ...]:
    left = idle_left(history.idle, _done(history), rulebook)
    return tuple(idle_words(rest, rules) for rest, rules in left)


def _done(history: History) -> list[tuple[InspectionKind, date]]:
    """Inspections by the day of the work."""
    done = [(body.occasion, body.done_on) for _, body in history.inspections]
    return sorted(done, key=lambda pair: pair[1])


def _dues(history: History, hoist: Hoist, rulebook: Rulebook) -> tuple[Due, ...]:
    """What is due next; nothing is once a hoist is retired."""
    if history.retired is not None:
        return ()
    return dues(
        hoist,
        rulebook,
        _done(history),
        moved_on=history.moved_on,
        periods=periods_of(history.hours, hoist.registered_on),
        idle=history.idle,
    )


def summarise(history: History, rulebook: Rulebook) -> Summary:
    """The summary of a registered hoist; `history.hoist` must be there."""
    hoist = history.hoist
    if hoist is None:
        raise ValueError("a logbook without a registration has no summary")
    life = life_of(history, rulebook)
    size = history.chain.size if history.chain is not None else hoist.chain
    return Summary(
        id=hoist.id,
        maker=hoist.maker,
        model=hoist.model,
        serial=hoist.serial,
        drive=hoist.drive,
        capacity_kg=hoist.capacity_kg,
        dn_mm=size.dn_mm,
        pn_mm=size.pn_mm,
        site=hoist.site,
        place=hoist.place,
        rulebook=hoist.rulebook,
        stops=_stops(history, rulebook),
        conditions=_defect_conditions(history)
        + _open_questions(history, rulebook)
        + life_conditions(history, rulebook)
        + _idle(history, rulebook),
        watch=_watch(history),
        sticker_refusals=sticker_refusals(history, rulebook),
        dues=_dues(history, hoist, rulebook),
        used_pct=_used_percent(history),
        open_defects=len(open_defects(history)),
        entries=len(history.entries),
        head=history.head,
        life_pct=None if life is None else shown_percent(life),
        retired_on=None if history.retired is None else history.retired.done_on,
    )


def fitness_on(summary: Summary, day: date) -> Standing:
    """Fitness on a day: the gravest reason governs. A dated stop holds from its day on, inclusive."""
    stopped = tuple(stop.reason for stop in summary.stops if stop.from_on <= day)
    if stopped:
        return Standing(fitness=Fitness.OUT_OF_SERVICE, reasons=tuple(dict.fromkeys(stopped)))
    if summary.conditions:
        return Standing(fitness=Fitness.LIMITED, reasons=summary.conditions)
    return Standing(fitness=Fitness.IN_SERVICE, reasons=summary.watch)


def missing_for_return(
    history: History, rulebook: Rulebook, *, guards_on_tools_out: bool, test: str = ""
) -> tuple[str, ...]:
    """What stands in the way of a return to service; empty if nothing does."""
    missing = [
        f"{state.defect.id} is not mended: {state.defect.what}"
        for state in open_defects(history)
        if state.defect.grade in STOPPING
    ]
    missing += [
        f"{finding.component} is discard, measure it again after the repair: {finding.why}"
        for finding in measured(history)
        if finding.verdict is Verdict.DISCARD and finding.component != LOAD_TEST
    ]
    missing += _open_questions(history, rulebook)
    missing += used_up(history, rulebook)
    if history.load_path_opened and not test.strip():
        missing.append("parts of the load path were changed: a load test is missing")
    if not guards_on_tools_out:
        missing.append("say that guards are on and tools are out")
    return tuple(missing)
