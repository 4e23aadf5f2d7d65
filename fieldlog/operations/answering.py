"""What each checklist item is answered with in the end, and the defects that go into the record."""

from collections.abc import Mapping
from datetime import date

from fieldlog.domain.criteria import Finding, Verdict
from fieldlog.domain.functions import is_function, judge_function
from fieldlog.domain.logbook import open_defects
from fieldlog.domain.records import Answer, AnswerKind, Defect, DefectGrade, Inspection
from fieldlog.domain.rules import ChecklistItem, Rulebook
from fieldlog.errors import InputError, Problem
from fieldlog.operations.assessing import ANSWER_OF, Assessment, sealed_answers
from fieldlog.operations.assessing_parts import findings_for, gravest
from fieldlog.operations.drafting import DefectDraft, InspectionDraft
from fieldlog.operations.shop import OpenHoist
from fieldlog.units import parse_date

# Every chain hoist has a chain, so there is nothing that would make these two not applicable.
ALWAYS_THERE = ("elongation", "diameter")


def measured_findings(item: ChecklistItem, assessment: Assessment) -> tuple[Finding, ...]:
    """All findings that answer a measured item: a hook item has one of each hook."""
    hooks = tuple(found for found in (assessment.hook, assessment.upper_hook) if found is not None)
    return findings_for(item, assessment.worst, assessment.diameter, hooks, assessment.pitches)


def measured_finding(item: ChecklistItem, assessment: Assessment) -> Finding | None:
    """The governing finding of a measured item."""
    found = measured_findings(item, assessment)
    return gravest(found) if found else None


def implied_answer(item: ChecklistItem, assessment: Assessment) -> AnswerKind | None:
    """The answer that the figures of a measured item give, or None where none are typed.

    Undecided is answered 'not seen', so that it can never count as a pass.
    """
    finding = measured_finding(item, assessment)
    return None if finding is None else ANSWER_OF[finding.verdict]


def answers_of(content: InspectionDraft, assessment: Assessment) -> dict[str, Answer]:
    """Every item's answer: its figures go before what was pressed, but never hide a defect that was seen."""
    answers = sealed_answers(content)
    for item in assessment.items:
        implied = implied_answer(item, assessment)
        if implied is not None and not says_defect(content, item):
            note = content.answers[item.id].note if item.id in content.answers else ""
            answers[item.id] = Answer(item=item.id, answer=implied, note=note)
    return answers


def says_defect(content: InspectionDraft, item: ChecklistItem) -> bool:
    """Whether the technician answered this item with a defect."""
    held = content.answers.get(item.id)
    return held is not None and held.answer is AnswerKind.DEFECT


def answer_problems(
    content: InspectionDraft, assessment: Assessment, answers: Mapping[str, Answer], done_on: date | None
) -> list[Problem]:
    """Items without an answer, measured ones passed without figures, defects that are not described."""
    problems = [
        Problem(place=item.title, wrong="has no answer yet")
        for item in assessment.items
        if item.id not in answers
    ]
    for item in assessment.items:
        finding = measured_finding(item, assessment)
        if item.id in answers and finding is None:
            problems += _without_figures(item, answers[item.id].answer)
        if _is_described(content, item, finding):
            problems += _defect_problems(content.defects.get(item.id, DefectDraft()), item.title, done_on)
    return problems


def _without_figures(item: ChecklistItem, answer: AnswerKind) -> list[Problem]:
    todo = "Measure, or answer 'not seen'."
    if item.measure and answer is AnswerKind.OK:
        return [Problem(place=item.title, wrong="asks for figures before it can be ok.", todo=todo)]
    if item.measure in ALWAYS_THERE and answer is AnswerKind.NOT_APPLICABLE:
        return [Problem(place=item.title, wrong="applies to every chain hoist.", todo=todo)]
    return []


def _is_described(content: InspectionDraft, item: ChecklistItem, finding: Finding | None) -> bool:
    """Whether a typed defect goes into the record; beside a discard verdict only where one was typed."""
    if not says_defect(content, item):
        return False
    held = content.defects.get(item.id, DefectDraft())
    return finding is None or finding.verdict is not Verdict.DISCARD or bool(held.what.strip())


def _defect_problems(draft: DefectDraft, title: str, done_on: date | None) -> list[Problem]:
    problems = []
    if not draft.what.strip():
        problems.append(Problem(place=title, wrong="say what the defect is"))
    if draft.grade is DefectGrade.STOPS_FROM:
        try:
            stops_on = parse_date(draft.stops_on, "the day from which use stops")
        except InputError as error:
            return [*problems, Problem(place=title, wrong=str(error))]
        if done_on is not None and stops_on < done_on:
            wrong = f"use would stop on {stops_on.isoformat()}, before the inspection."
            problems.append(Problem(place=title, wrong=wrong, todo=f"Choose '{DefectGrade.STOPS_NOW}'."))
    return problems


def defects_of(opened: OpenHoist, content: InspectionDraft, assessment: Assessment) -> tuple[Defect, ...]:
    """Typed defects, and one that stops use for each discard verdict that no open defect tells yet."""
    number = _next_number(opened)
    defects: list[Defect] = []
    for item in assessment.items:
        for found in measured_findings(item, assessment):
            if found.verdict is Verdict.DISCARD and not _told(opened, item, found):
                defects.append(_discard_defect(number + len(defects), item, found))
        finding = measured_finding(item, assessment)
        if _is_described(content, item, finding):
            defects.append(_typed_defect(number + len(defects), item, content.defects[item.id]))
    return tuple(defects)


def _next_number(opened: OpenHoist) -> int:
    """One above every defect in the logbook, also of inspections that were struck out: no ID comes twice."""
    bodies = [entry.body for entry in opened.history.entries]
    found = [defect.id for body in bodies if isinstance(body, Inspection) for defect in body.defects]
    return 1 + max((int(name[1:]) for name in found if name[1:].isdecimal()), default=0)


def _told(opened: OpenHoist, item: ChecklistItem, finding: Finding) -> bool:
    return any(
        state.defect.item == item.id
        and state.defect.grade is DefectGrade.STOPS_NOW
        and state.defect.what.startswith(f"{finding.component}: ")
        for state in open_defects(opened.history)
    )


def _discard_defect(number: int, item: ChecklistItem, finding: Finding) -> Defect:
    what = f"{finding.component}: {finding.why}"
    return Defect(id=f"D{number}", item=item.id, what=what, grade=DefectGrade.STOPS_NOW)


def _typed_defect(number: int, item: ChecklistItem, draft: DefectDraft) -> Defect:
    stops_on = None
    if draft.grade is DefectGrade.STOPS_FROM:
        stops_on = parse_date(draft.stops_on, "the day from which use stops")
    return Defect(
        id=f"D{number}",
        item=item.id,
        what=draft.what.strip(),
        where=draft.where.strip(),
        grade=draft.grade,
        stops_on=stops_on,
        remedy=draft.remedy.strip(),
        serious=draft.serious,
        told=draft.told.strip(),
    )


def functions_of(
    content: InspectionDraft, assessment: Assessment, answers: Mapping[str, Answer], rulebook: Rulebook
) -> tuple[Finding, ...]:
    """The findings in words on brake, limits, overload device and the like, from their answers."""
    found = []
    for item in assessment.items:
        if not is_function(item) or item.measure or item.id not in answers:
            continue
        draft = content.defects.get(item.id, DefectDraft()) if says_defect(content, item) else None
        grade = None if draft is None else draft.grade
        what = "" if draft is None else draft.what.strip()
        finding = judge_function(item, answers[item.id], rulebook, grade, what)
        if finding is not None:
            found.append(finding)
    return tuple(found)
