"""Sealing an inspection: what must be there first, the record it becomes, and what follows from it."""

from collections.abc import Mapping
from datetime import date, datetime

from msgspec import Struct
from msgspec.structs import replace

from fieldlog.domain.criteria import Finding
from fieldlog.domain.logbook import fold
from fieldlog.domain.plausibility import question_all
from fieldlog.domain.records import Answer, AnswerKind, Basis, ChainReading, Draft, Entry, Inspection
from fieldlog.domain.verdict import Standing, Summary, fitness_on, summarise
from fieldlog.errors import IncompleteError, InputError, Problem
from fieldlog.operations.answering import (
    answer_problems,
    answers_of,
    defects_of,
    functions_of,
    implied_answer,
    measured_finding,
)
from fieldlog.operations.assessing import Assessment, assess, lengths, typed_diameter, typed_hook
from fieldlog.operations.assessing_parts import typed_pitches, typed_unused, typed_upper_hook
from fieldlog.operations.drafting import InspectionDraft
from fieldlog.operations.questioning import plate_seen
from fieldlog.operations.shop import OpenHoist, Shop, append, check_may_seal, open_hoist
from fieldlog.units import parse_date

__all__ = [
    "LEAST_PLACES",
    "Preview",
    "implied_answer",
    "measured_finding",
    "preview",
    "problems_before_seal",
    "seal_after_others",
    "seal_inspection",
    "sealed_since",
]

LEAST_PLACES = 3


class Preview(Struct, frozen=True, kw_only=True):
    """What would be sealed and what would follow, or what stands in the way.

    `questions` are those problems that a person may confirm, by putting them into the draft's `confirmed`.
    `head` is the line that the hoist's logbook ended with when this was worked out.
    """

    body: Inspection | None
    problems: tuple[Problem, ...]
    not_seen: tuple[str, ...]
    after: Summary | None
    standing: Standing | None
    questions: tuple[str, ...] = ()
    head: str = ""


def _read_day(text: str, today: date) -> tuple[date | None, list[Problem]]:
    try:
        day = parse_date(text, "the day of the inspection")
    except InputError as error:
        return None, [Problem(place="day", wrong=str(error))]
    if day > today:
        return day, [Problem(place="day", wrong=f"{day.isoformat()} lies in the future")]
    return day, []


def _reading_problems(assessment: Assessment) -> list[Problem]:
    confirm = "Confirm it or correct it."
    problems = [
        Problem(place=f"reading at {view.place}", wrong=view.problem)
        for view in assessment.readings
        if view.problem
    ]
    problems += [
        Problem(place=f"reading at {view.place}", wrong=question, todo=confirm)
        for view in assessment.readings
        for question in view.questions
    ]
    problems += [Problem(place="question", wrong=asked, todo=confirm) for asked in assessment.questions]
    problems += _place_problems(assessment)
    told = {
        "diameter": assessment.diameter_problem,
        "hook": assessment.hook_problem,
        "upper hook": assessment.upper_hook_problem,
        "single pitch": assessment.pitch_problem,
        "unused links": assessment.unused_problem,
        "nameplate": assessment.plate_problem,
    }
    return problems + [Problem(place=place, wrong=wrong) for place, wrong in told.items() if wrong]


def _place_problems(assessment: Assessment) -> list[Problem]:
    """Too few places; one that is named twice or not at all counts once."""
    taken = [view.place.strip().lower() for view in assessment.readings if view.verdict is not None]
    if not taken or len(set(taken)) >= LEAST_PLACES:
        return []
    return [
        Problem(
            place="readings",
            wrong=f"{len(set(taken))} of at least {LEAST_PLACES} different places measured.",
            todo="The worst place governs: measure more, one at the usual working height.",
        )
    ]


def problems_before_seal(
    content: InspectionDraft, assessment: Assessment, answers: Mapping[str, Answer], today: date
) -> tuple[Problem, ...]:
    """Everything that must be settled before this inspection can be sealed."""
    day, problems = _read_day(content.done_on, today)
    problems += _reading_problems(assessment)
    problems += answer_problems(content, assessment, answers, day)
    return tuple(problems)


def _readings(content: InspectionDraft, assessment: Assessment) -> tuple[ChainReading, ...]:
    shared = assessment.gauging
    of_all = tuple(q for q in question_all(lengths(assessment.readings)) if q in assessment.confirmed)
    return tuple(
        replace(
            view.verdict.reading,
            instrument="" if shared.basis is Basis.GAUGE else content.instrument.strip(),
            instrument_state=shared.instrument_note,
            questions_confirmed=view.confirmed + of_all,
        )
        for view in assessment.readings
        if view.verdict is not None
    )


def _findings(assessment: Assessment) -> tuple[Finding, ...]:
    chain = [view.verdict.finding for view in assessment.readings if view.verdict is not None]
    others = (assessment.diameter, assessment.hook, assessment.upper_hook)
    return (*chain, *(finding for finding in others if finding is not None), *assessment.pitches)


def _remark(content: InspectionDraft, assessment: Assessment) -> str:
    """What the technician remarked, and the questions that were confirmed and belong to no reading."""
    of_all = question_all(lengths(assessment.readings))
    confirmed = [f"Confirmed: {asked}" for asked in assessment.confirmed if asked not in of_all]
    return "\n".join(part for part in (content.remark.strip(), *confirmed) if part)


def _body(
    opened: OpenHoist, content: InspectionDraft, assessment: Assessment, answers: Mapping[str, Answer]
) -> Inspection:
    hooks, diameter = (typed_hook(content), typed_upper_hook(content)), typed_diameter(content)
    capacity, chain = plate_seen(content)
    functions = functions_of(content, assessment, answers, opened.rulebook)
    return Inspection(
        occasion=content.occasion,
        done_on=parse_date(content.done_on, "the day of the inspection"),
        rulebook=opened.rulebook.name,
        edition=opened.rulebook.edition,
        answers=tuple(answers[item.id] for item in assessment.items),
        readings=_readings(content, assessment),
        diameters=() if diameter is None else (diameter,),
        hooks=tuple(hook for hook in hooks if hook is not None),
        defects=defects_of(opened, content, assessment),
        findings=_findings(assessment) + functions,
        remark=_remark(content, assessment),
        pitches=typed_pitches(content),
        unused=typed_unused(content, assessment.gauging),
        capacity_seen_kg=capacity,
        chain_seen=chain,
    )


def preview(shop: Shop, opened: OpenHoist, content: InspectionDraft, *, today: date) -> Preview:
    """What sealing would write and lead to; `body` is None while problems stand in the way."""
    assessment = assess(shop, opened, content, today=today)
    answers = answers_of(content, assessment)
    problems = problems_before_seal(content, assessment, answers, today)
    not_seen = tuple(
        item.title
        for item in assessment.items
        if item.id in answers and answers[item.id].answer is AnswerKind.NOT_SEEN
    )
    if problems:
        return Preview(
            body=None,
            problems=problems,
            not_seen=not_seen,
            after=None,
            standing=None,
            questions=assessment.questions,
            head=opened.head,
        )
    body = _body(opened, content, assessment, answers)
    after = summarise(fold((*opened.history.entries, _as_if_sealed(opened, body))), opened.rulebook)
    standing = fitness_on(after, today)
    return Preview(
        body=body, problems=(), not_seen=not_seen, after=after, standing=standing, head=opened.head
    )


def _as_if_sealed(opened: OpenHoist, body: Inspection) -> Entry:
    last = opened.history.entries[-1]
    return replace(last, number=last.number + 1, prev=last.line, line="", uid="", body=body)


def seal_inspection(
    shop: Shop, draft: Draft, content: InspectionDraft, *, by: str, now: datetime, today: date
) -> Entry:
    """Seal the inspection as one line under the technician's name and drop the draft.

    IncompleteError lists what is missing; ConflictError leaves the draft as it is, so that it can be
    sealed after what the other technician wrote. A draft that was sealed already is not doubled.
    """
    opened = open_hoist(shop, draft.about)
    for entry in opened.history.entries:
        if entry.uid == draft.uid:
            # Sent again, so that the store makes sure that the disk has it.
            append(shop, draft.about, entry.body, by=by, now=now, head=draft.head, uid=draft.uid)
            shop.drafts.remove(draft.uid)
            return entry
    check_may_seal(shop, by, today, content.occasion)
    ready = preview(shop, opened, content, today=today)
    if ready.body is None:
        raise IncompleteError("this inspection can not be sealed yet", ready.problems)
    entry = append(shop, draft.about, ready.body, by=by, now=now, head=draft.head, uid=draft.uid)
    shop.drafts.remove(draft.uid)
    return entry


def sealed_since(shop: Shop, draft: Draft) -> tuple[Entry, ...]:
    """What others sealed into the hoist's logbook since this draft was begun."""
    entries = open_hoist(shop, draft.about).history.entries
    for position, entry in enumerate(entries):
        if entry.line == draft.head:
            return entries[position + 1 :]
    return entries


def seal_after_others(draft: Draft, *, seen: str) -> Draft:
    """The draft as following what others have sealed, up to the line of the hash that a person has `seen`.

    What was sealed after that line refuses the seal again.
    """
    return replace(draft, head=seen)
