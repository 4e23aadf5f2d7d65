"""Brake, limit switches, overload device and the like: what they did, told in words, becomes a finding."""

from fieldlog.domain.criteria import Finding, Verdict, cite
from fieldlog.domain.records import Answer, AnswerKind, DefectGrade
from fieldlog.domain.rules import ChecklistItem, Rulebook

SECTION = "limits"
# Items of other sections that tell of a function which holds or stops the load.
ELSEWHERE = ("emergency-stop", "pawl-ratchet", "brake-discs", "run-loaded")
CRITERION = "item:"
SAYS = {
    AnswerKind.OK: "tried and found in order",
    AnswerKind.DEFECT: "a defect",
    AnswerKind.NOT_SEEN: "not seen",
}


def is_function(item: ChecklistItem) -> bool:
    """Whether an item is about a function that stops or holds the load."""
    return item.section == SECTION or item.id in ELSEWHERE


def item_of(finding: Finding) -> str:
    """The id of the checklist item that a finding in words comes from; empty for every other finding."""
    return finding.criterion.removeprefix(CRITERION) if finding.criterion.startswith(CRITERION) else ""


def judge_function(
    item: ChecklistItem, answer: Answer, rulebook: Rulebook, grade: DefectGrade | None = None, what: str = ""
) -> Finding | None:
    """The finding on a function from its answer; None where the item does not apply.

    A defect is discard only where the technician graded it as stopping use now, else watch: whether a
    function still does its work is for a competent person to say, as no figure tells it. Not seen is
    undecided.
    """
    if answer.answer is AnswerKind.NOT_APPLICABLE:
        return None
    told = {AnswerKind.OK: Verdict.KEEP, AnswerKind.NOT_SEEN: Verdict.UNDECIDED}
    graded = Verdict.DISCARD if grade is DefectGrade.STOPS_NOW else Verdict.WATCH
    words = [SAYS[answer.answer], f"({grade})" if grade is not None else "", what or answer.note]
    return Finding(
        criterion=f"{CRITERION}{item.id}",
        component=item.title,
        verdict=told.get(answer.answer, graded),
        why=" ".join(word for word in words if word),
        source=cite(item.source),
        certainty=item.source.certainty,
        rulebook=rulebook.name,
        edition=rulebook.edition,
        steps=(f"looked at: {item.look_at}", f"a defect is: {item.defect_when}"),
    )
