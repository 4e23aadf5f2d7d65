"""The live view of an inspection: every reading against its limit, every question, what is still open."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from fieldlog.domain.chain import ChainVerdict, judge_diameter, judge_reading
from fieldlog.domain.checklist import Progress, items_for, open_items, progress
from fieldlog.domain.criteria import SEVERITY, Finding, Verdict, guard_band
from fieldlog.domain.hook import judge_hook
from fieldlog.domain.plausibility import question_all, question_reading
from fieldlog.domain.records import Answer, AnswerKind, DiameterReading, HookReading
from fieldlog.domain.rules import ChecklistItem, InstrumentType
from fieldlog.errors import InputError
from fieldlog.operations.drafting import InspectionDraft, ReadingDraft
from fieldlog.operations.gauging import Gauging, gauging, last_value, typed_reading, work_day
from fieldlog.operations.questioning import question_day, question_diameter, question_hook
from fieldlog.operations.shop import OpenHoist, Shop, need_settings
from fieldlog.units import parse_decimal, parse_length

ANSWER_OF = {
    Verdict.KEEP: AnswerKind.OK,
    Verdict.WATCH: AnswerKind.OK,
    Verdict.UNDECIDED: AnswerKind.NOT_SEEN,
    Verdict.DISCARD: AnswerKind.DEFECT,
}


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadingView:
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


@dataclass(frozen=True, slots=True, kw_only=True)
class Assessment:
    """The whole inspection as it stands.

    `questions` are those about the whole of it that are not confirmed, `confirmed` those that are.
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


def view_reading(shop: Shop, opened: OpenHoist, draft: ReadingDraft, shared: Gauging) -> ReadingView:
    """One reading against its limit, while it is typed."""
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
            unused=None if opened.history.chain is None else opened.history.chain.baseline,
            instrument=shared.instrument,
            stricter_rule_governs=need_settings(shop).stricter_rule_governs,
        )
    except InputError as error:
        return ReadingView(place=draft.place, problem=str(error), last_mm=last)
    asked = _questions_of(verdict, shared, last)
    return ReadingView(
        place=draft.place,
        verdict=verdict,
        questions=tuple(question for question in asked if question not in draft.confirmed),
        confirmed=tuple(question for question in asked if question in draft.confirmed),
        last_mm=last,
    )


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


def typed_diameter(content: InspectionDraft) -> DiameterReading | None:
    """Both diameters as values, or None where nothing is typed; InputError for what can not be read."""
    if not content.d1.strip() and not content.d2.strip():
        return None
    return DiameterReading(
        place=content.diameter_place,
        d1_mm=parse_length(content.d1, "mm", "d1").value,
        d2_mm=parse_length(content.d2, "mm", "d2").value,
        instrument=content.diameter_instrument.strip(),
    )


def typed_hook(content: InspectionDraft) -> HookReading | None:
    """The lower hook as a value, or None where nothing is typed; InputError for what can not be read."""
    hook = content.hook
    if not hook.throat.strip() and not hook.twist.strip() and not hook.crack:
        return None
    throat = parse_length(hook.throat, "mm", "the throat").value if hook.throat.strip() else None
    twist = parse_decimal(hook.twist, "the twist") if hook.twist.strip() else Decimal(0)
    return HookReading(throat_mm=throat, twist_deg=twist, crack=hook.crack)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Judged:
    """A finding, or why there is none, and the questions about its figures."""

    finding: Finding | None = None
    problem: str = ""
    questions: tuple[str, ...] = ()


def _diameter(opened: OpenHoist, content: InspectionDraft, shared: Gauging) -> _Judged:
    try:
        reading = typed_diameter(content)
        if reading is None:
            return _Judged()
        finding = judge_diameter(reading, shared.size, opened.rulebook.diameter, opened.rulebook)
    except InputError as error:
        return _Judged(problem=str(error))
    return _Judged(finding=finding, questions=question_diameter(reading, shared.size.dn_mm))


def _hook(opened: OpenHoist, content: InspectionDraft) -> _Judged:
    new = opened.hoist.hook_throat_mm
    try:
        reading = typed_hook(content)
        if reading is None:
            return _Judged()
        finding = judge_hook(reading, new, opened.rulebook.hook, opened.rulebook)
    except InputError as error:
        return _Judged(problem=str(error))
    return _Judged(finding=finding, questions=question_hook(reading, new))


def sealed_answers(content: InspectionDraft) -> dict[str, Answer]:
    """The answers given so far, as they would be sealed."""
    return {
        item: Answer(item=item, answer=draft.answer, note=draft.note)
        for item, draft in content.answers.items()
        if draft.answer is not None
    }


def _by_figures(
    items: tuple[ChecklistItem, ...], worst: ChainVerdict | None, diameter: _Judged, hook: _Judged
) -> Iterator[tuple[str, Answer]]:
    """The answers that figures give to the items that ask for them."""
    found = {
        "elongation": None if worst is None else worst.finding,
        "diameter": diameter.finding,
        "hook": hook.finding,
    }
    for item in items:
        finding = found.get(item.measure)
        if finding is not None:
            yield item.id, Answer(item=item.id, answer=ANSWER_OF[finding.verdict])


def assess(shop: Shop, opened: OpenHoist, content: InspectionDraft, *, today: date) -> Assessment:
    """The inspection as it stands; nothing is written."""
    day = work_day(content, today)
    shared = gauging(shop, opened, content, day)
    views = tuple(view_reading(shop, opened, draft, shared) for draft in content.readings)
    values, worst = lengths(views), _worst(views)
    diameter, hook = _diameter(opened, content, shared), _hook(opened, content)
    asked = question_day(opened, day) + question_all(values) + diameter.questions + hook.questions
    items = items_for(opened.hoist, content.occasion, opened.rulebook)
    answers = sealed_answers(content) | dict(_by_figures(items, worst, diameter, hook))
    return Assessment(
        gauging=shared,
        readings=views,
        worst=worst,
        spread_mm=_spread(values),
        questions=tuple(question for question in asked if question not in content.confirmed),
        diameter=diameter.finding,
        diameter_problem=diameter.problem,
        hook=hook.finding,
        hook_problem=hook.problem,
        items=items,
        open=open_items(items, answers),
        progress=progress(items, answers),
        confirmed=tuple(question for question in asked if question in content.confirmed),
    )


def doubt_of(instrument: InstrumentType, length_mm: Decimal) -> Decimal:
    """The guard band [mm] of an instrument at a length, for showing beside its name."""
    for step in instrument.steps:
        if length_mm <= step.up_to_mm:
            return guard_band(step.mpe_mm)
    return guard_band(instrument.steps[-1].mpe_mm)
