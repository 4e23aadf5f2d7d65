"""Whether a report may say that the hoist is safe to use, and if not, why."""

from fieldlog.domain.history import NOT_TRUSTED
from fieldlog.domain.records import AnswerKind, InspectionKind
from fieldlog.domain.retention import BETWEEN
from fieldlog.domain.verdict import Fitness
from fieldlog.operations.due import in_time_until
from fieldlog.operations.reporting_visit import FIRST_HERE, Visit

INSTALLED_RIGHT = "installed-right"
NOT_SAID = (
    "No statement is made that the hoist is safe to use: there are objections to further use, as above."
)


def hindrances(visit: Visit) -> tuple[str, ...]:
    """Why the report can not say that the hoist is safe to use; empty where it can.

    The statement is made 'if such be the case' (LOLER Schedule 1, 6(b) and 7(b)): it is never the default.
    """
    if visit.struck:
        return (f"this inspection was struck out: {visit.struck}",)
    sentences = [visit.opened.problem] if visit.opened.problem else []
    if visit.standing.fitness is not Fitness.IN_SERVICE:
        reasons = [reason for reason in visit.standing.reasons if not reason.startswith(NOT_TRUSTED)]
        sentences += [_with_mending(reason, visit) for reason in reasons]
    day = visit.body.done_on
    sentences += [
        f"the {due.inspection} inspection was due on {due.due_on.isoformat()}"
        for due in visit.summary.dues
        if day > in_time_until(due, visit.opened.rulebook) or _still_first(due.inspection)
    ]
    sentences += [
        f"{state.defect.id}: {state.defect.what} (risk of serious injury)"
        for state in visit.defects
        if state.defect.serious and state.mended_on is None
    ]
    return tuple(dict.fromkeys(sentences + _not_installed(visit)))


def _with_mending(reason: str, visit: Visit) -> str:
    """A defect that is mended stops the hoist until it is returned to service; say that it is mended."""
    for state in visit.defects:
        if state.mended_on is not None and reason == f"{state.defect.id}: {state.defect.what}":
            return f"{reason} (mended {state.mended_on.isoformat()}, not returned to service yet)"
    return reason


def _still_first(kind: InspectionKind) -> bool:
    """An inspection before first use or after a move that is due stands before any use."""
    return kind in FIRST_HERE


def _not_installed(visit: Visit) -> list[str]:
    if visit.body.occasion not in FIRST_HERE:
        return []
    answers = {answer.item: answer.answer for answer in visit.body.answers}
    given = answers.get(INSTALLED_RIGHT)
    if given is AnswerKind.OK:
        return []
    return [f"that it is installed right at this place is answered '{given or 'not at all'}'"]


def positive_statement(visit: Visit) -> str:
    """That the hoist is safe to use, in the words of its occasion; empty where anything stands against it."""
    if hindrances(visit):
        return ""
    if visit.body.occasion in BETWEEN:
        return "Nothing recorded stands against further use: the hoist is safe to use."
    installed = "It has been installed correctly and" if visit.body.occasion in FIRST_HERE else "The hoist"
    return f"{installed} would be safe to operate. There are no objections to further use."
