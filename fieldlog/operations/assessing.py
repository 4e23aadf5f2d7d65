"""The live view of an inspection: every reading against its limit, every question, what is still open."""

from collections.abc import Iterator
from contextlib import suppress
from datetime import date
from decimal import Decimal
from typing import Any

from msgspec import Struct
from msgspec.structs import replace

from fieldlog.domain.chain import ChainVerdict, Unused, judge_reading
from fieldlog.domain.checklist import Progress, items_for, open_items, progress
from fieldlog.domain.criteria import SEVERITY, Finding, Verdict
from fieldlog.domain.gauge_length import reference_for, unused_for
from fieldlog.domain.plausibility import question_all, question_reading
from fieldlog.domain.records import Answer, AnswerKind
from fieldlog.domain.rules import ChecklistItem
from fieldlog.domain.trend import Trend
from fieldlog.errors import InputError
from fieldlog.operations.assessing_parts import (
    Parts,
    findings_for,
    gravest,
    judge_parts,
    measured_unused,
    typed_diameter,
    typed_hook,
)
from fieldlog.operations.drafting import InspectionDraft, ReadingDraft
from fieldlog.operations.foreseeing import foresee
from fieldlog.operations.gauging import Gauging, gauging, last_value, typed_reading, work_day
from fieldlog.operations.questioning import question_book, question_day, question_plate, question_unused
from fieldlog.operations.shop import OpenHoist, Shop, need_settings

__all__ = [
    "ANSWER_OF",
    "Assessment",
    "ReadingView",
    "assess",
    "lengths",
    "sealed_answers",
    "typed_diameter",
    "typed_hook",
    "view_reading",
]

ANSWER_OF = {
    Verdict.KEEP: AnswerKind.OK,
    Verdict.WATCH: AnswerKind.OK,
    Verdict.UNDECIDED: AnswerKind.NOT_SEEN,
    Verdict.DISCARD: AnswerKind.DEFECT,
}


class ReadingView(Struct, frozen=True, kw_only=True):
    """One reading as it stands: judged, or with a sentence why it can not be taken yet.

    `questions` are those not confirmed, `confirmed` those that were asked of this figure and answered;
    `last_mm` is last time's value at this place.
    """

    place: str
    verdict: ChainVerdict | None = None
    problem: str = ""
    questions: tuple[str, ...] = ()
    confirmed: tuple[str, ...] = ()
    last_mm: Decimal | None = None


class Assessment(Struct, frozen=True, kw_only=True):
    """The whole inspection as it stands.

    `questions` are those about the whole of it that are not confirmed, `confirmed` those that are. `hook` is
    the lower one; `trend` the wear of the chain with today's worst reading.
    """

    gauging: Gauging
    readings: tuple[ReadingView, ...]
    worst: ChainVerdict | None
    spread_mm: Decimal | None
    questions: tuple[str, ...]
    diameter: Finding | None
    diameter_problem: str
    hook: Finding | None
    hook_problem: str
    items: tuple[ChecklistItem, ...]
    open: tuple[ChecklistItem, ...]
    progress: tuple[Progress, ...]
    confirmed: tuple[str, ...] = ()
    upper_hook: Finding | None = None
    upper_hook_problem: str = ""
    pitches: tuple[Finding, ...] = ()
    pitch_problem: str = ""
    unused_problem: str = ""
    plate_problem: str = ""
    trend: Trend | None = None


def view_reading(
    shop: Shop, opened: OpenHoist, draft: ReadingDraft, shared: Gauging, unused: Unused | None = None
) -> ReadingView:
    """One reading against its limit, while it is typed; `unused` was measured on this visit."""
    last = last_value(opened, draft.place, shared.links, shared.basis)
    try:
        reading = typed_reading(draft, shared)
        if reading is None or shared.problem:
            return ReadingView(place=draft.place, problem=shared.problem if reading else "", last_mm=last)
        verdict = judge_reading(
            reading,
            shared.size,
            opened.rulebook,
            opened.hoist.drive,
            book=shared.book,
            unused=_unused(opened, shared.links, unused),
            instrument=shared.instrument,
            stricter_rule_governs=need_settings(shop).stricter_rule_governs,
        )
    except InputError as error:
        problem = " ".join((*_slip_words(draft, shared, unused), str(error)))
        return ReadingView(place=draft.place, problem=problem, last_mm=last)
    asked = _questions_of(verdict, shared, last)
    return ReadingView(
        place=draft.place,
        verdict=verdict,
        questions=tuple(question for question in asked if question not in draft.confirmed),
        confirmed=tuple(question for question in asked if question in draft.confirmed),
        last_mm=last,
    )


def _slip_words(draft: ReadingDraft, shared: Gauging, unused: Unused | None) -> tuple[str, ...]:
    """What is wrong with a figure that no tool reaches is rather a slip at the keys than the tool."""
    with suppress(InputError):
        reading = typed_reading(draft, shared)
        if reading is not None and reading.value_mm is not None:
            reference = reference_for(shared.size, shared.links, shared.basis, shared.book, unused)
            return question_reading(reading.value_mm, reference, shared.size)
    return ()


def _unused(opened: OpenHoist, links: int, today: Unused | None) -> Unused | None:
    """The unused length that serves as reference: as fitted, or as measured on the links beyond the stop."""
    chain = opened.history.chain
    if chain is None:
        return today
    return unused_for(links, chain.baseline, today or chain.unused)


def _questions_of(verdict: ChainVerdict, shared: Gauging, last: Decimal | None) -> tuple[str, ...]:
    reading = verdict.reading
    if reading.value_mm is None:
        return ()
    then = shared.last_guards_mm.get(reading.place, verdict.guard_mm)
    return question_reading(
        reading.value_mm, verdict.reference, shared.size, last_mm=last, doubt_mm=verdict.guard_mm + then
    )


def _severity(verdict: ChainVerdict) -> tuple[int, Decimal]:
    growth = verdict.growth_mm if verdict.growth_mm is not None else Decimal(0)
    return SEVERITY[verdict.finding.verdict], growth


def _worst(views: tuple[ReadingView, ...]) -> ChainVerdict | None:
    return max((view.verdict for view in views if view.verdict is not None), key=_severity, default=None)


def lengths(views: tuple[ReadingView, ...]) -> list[Decimal]:
    """The readings that are figures [mm]."""
    return [
        view.verdict.reading.value_mm
        for view in views
        if view.verdict is not None and view.verdict.reading.value_mm is not None
    ]


def _spread(values: list[Decimal]) -> Decimal | None:
    return max(values) - min(values) if len(values) > 1 else None


def sealed_answers(content: InspectionDraft) -> dict[str, Answer]:
    """The answers given so far, as they would be sealed."""
    return {
        item: Answer(item=item, answer=draft.answer, note=draft.note)
        for item, draft in content.answers.items()
        if draft.answer is not None
    }


def _by_figures(
    items: tuple[ChecklistItem, ...], worst: ChainVerdict | None, parts: Parts
) -> Iterator[tuple[str, Answer]]:
    """The answers that figures give to the items that ask for them."""
    for item in items:
        found = findings_for(item, worst, parts.diameter.finding, parts.hooks, parts.pitches.findings)
        if found:
            yield item.id, Answer(item=item.id, answer=ANSWER_OF[gravest(found).verdict])


def assess(shop: Shop, opened: OpenHoist, content: InspectionDraft, *, today: date) -> Assessment:
    """The inspection as it stands; nothing is written."""
    day = work_day(content, today)
    shared = gauging(shop, opened, content, day)
    unused, unused_problem = measured_unused(content, shared)
    views = tuple(view_reading(shop, opened, draft, shared, unused) for draft in content.readings)
    views, worst, trend = _foreseen(opened, content, views, day)
    parts = judge_parts(shop, opened, content, shared.size, worst)
    plate, plate_problem = question_plate(opened, content)
    values = lengths(views)
    asked = (
        *question_day(opened, day),
        *question_all(values),
        *question_book(opened, shared, bool(values)),
        *question_unused(opened, unused, shared.size),
        *parts.questions,
        *plate,
    )
    items = items_for(opened.hoist, content.occasion, opened.rulebook)
    answers = sealed_answers(content) | dict(_by_figures(items, worst, parts))
    return Assessment(
        gauging=shared,
        readings=views,
        worst=worst,
        spread_mm=_spread(values),
        questions=tuple(question for question in asked if question not in content.confirmed),
        items=items,
        open=open_items(items, answers),
        progress=progress(items, answers),
        confirmed=tuple(question for question in asked if question in content.confirmed),
        unused_problem=unused_problem,
        plate_problem=plate_problem,
        trend=trend,
        **_of_parts(parts),
    )


def _of_parts(parts: Parts) -> dict[str, Any]:
    return {
        "diameter": parts.diameter.finding,
        "diameter_problem": parts.diameter.problem,
        "hook": parts.lower.finding,
        "hook_problem": parts.lower.problem,
        "upper_hook": parts.upper.finding,
        "upper_hook_problem": parts.upper.problem,
        "pitches": parts.pitches.findings,
        "pitch_problem": parts.pitches.problem,
    }


def _foreseen(
    opened: OpenHoist, content: InspectionDraft, views: tuple[ReadingView, ...], day: date
) -> tuple[tuple[ReadingView, ...], ChainVerdict | None, Trend]:
    """The readings with the worst of them to be watched where the trend asks for it."""
    worst = _worst(views)
    trend, seen = foresee(opened, worst, content.occasion, day)
    told = tuple(
        replace(view, verdict=seen) if view.verdict is not None and view.verdict is worst else view
        for view in views
    )
    return told, seen, trend
