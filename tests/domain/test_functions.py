"""Brake, limits and overload device become findings in words, discard only where graded as stopping."""

import pytest

from fieldlog.domain.criteria import Verdict
from fieldlog.domain.functions import is_function, item_of, judge_function
from fieldlog.domain.records import Answer, AnswerKind, DefectGrade
from tests.domain.build import finding, item, rulebook

GENERAL = rulebook()
BRAKE = item("brake", section="limits", title="Brake holds, no drift")


@pytest.mark.parametrize(
    ("name", "section", "taken"),
    [("brake", "limits", True), ("emergency-stop", "power", True), ("oil", "power", False)],
)
def test_which_items_are_about_a_function(name: str, section: str, taken: bool) -> None:
    assert is_function(item(name, section=section)) is taken


@pytest.mark.parametrize(
    ("answer", "grade", "verdict"),
    [
        (AnswerKind.OK, None, Verdict.KEEP),
        (AnswerKind.NOT_SEEN, None, Verdict.UNDECIDED),
        (AnswerKind.DEFECT, DefectGrade.STOPS_NOW, Verdict.DISCARD),
        (AnswerKind.DEFECT, DefectGrade.STOPS_FROM, Verdict.WATCH),
        (AnswerKind.DEFECT, DefectGrade.WATCH, Verdict.WATCH),
        (AnswerKind.DEFECT, DefectGrade.NOTED, Verdict.WATCH),
    ],
)
def test_the_verdict_follows_answer_and_grade(
    answer: AnswerKind, grade: DefectGrade | None, verdict: Verdict
) -> None:
    found = judge_function(BRAKE, Answer(item="brake", answer=answer), GENERAL, grade, "slips")
    assert found is not None
    assert found.verdict is verdict
    assert (found.value, found.limit, found.unit) == (None, None, "")
    assert (found.source, found.rulebook, found.edition) == (
        "usual in workshops (common practice, no source)",
        GENERAL.name,
        GENERAL.edition,
    )
    assert item_of(found) == "brake"


def test_what_does_not_apply_is_no_finding() -> None:
    answer = Answer(item="brake", answer=AnswerKind.NOT_APPLICABLE)
    assert judge_function(BRAKE, answer, GENERAL) is None


def test_a_figures_finding_comes_from_no_item() -> None:
    assert item_of(finding(Verdict.KEEP)) == ""
