"""Figures answer the items that ask for them, none passes without them, and no defect seen is lost."""

from datetime import date
from pathlib import Path
from typing import Any

import pytest

from fieldlog.domain.criteria import Verdict
from fieldlog.domain.records import AnswerKind, Defect, DefectGrade, Inspection, InspectionKind, StruckOut
from fieldlog.errors import IncompleteError
from fieldlog.operations.answering import implied_answer, measured_finding
from fieldlog.operations.assessing import assess
from fieldlog.operations.drafting import AnswerDraft, DefectDraft
from fieldlog.operations.hoist_page import hoist_page
from fieldlog.operations.inspecting import preview
from fieldlog.operations.servicing import mend
from fieldlog.operations.shop import Shop, append
from tests.operations.builder import (
    ADA,
    NOW,
    RULE,
    TODAY,
    begin,
    body_of,
    fill,
    inspect,
    ready_shop,
    register,
)
from tests.operations.service import MENDING

FIRST = InspectionKind.FIRST_USE
KEPT = ("165.4", "166.1", "165.9")
WATCHED = ("165.4", "167.1", "165.9")
UNDECIDED = ("165.4", "167.44", "165.9")
WORN = ("165.4", "167.6", "165.9")  # over 167.475 mm: 1.5 % of 165 mm (DOE-STD-1090-96 ch. 8)
LATCH = DefectDraft(
    what=" latch bent ",
    where="lower hook",
    grade=DefectGrade.WATCH,
    remedy="new latch",
    serious=True,
    told="the shift lead",
)


@pytest.fixture
def shop(tmp_path: Path) -> Shop:
    return ready_shop(tmp_path)


def answer_of(body: Inspection, item: str) -> AnswerKind:
    return next(answer.answer for answer in body.answers if answer.item == item)


def problems(shop: Shop, **typed: Any) -> dict[str, str]:
    """Place and sentence of what stands in the way of sealing."""
    with pytest.raises(IncompleteError) as refused:
        inspect(shop, register(shop).id, **typed)
    return {problem.place: problem.wrong for problem in refused.value.problems}


@pytest.mark.parametrize(
    ("readings", "answer"),
    [
        (KEPT, AnswerKind.OK),
        (WATCHED, AnswerKind.OK),
        (UNDECIDED, AnswerKind.NOT_SEEN),
        (WORN, AnswerKind.DEFECT),
    ],
)
def test_a_measured_items_answer_follows_its_figures(
    shop: Shop, readings: tuple[str, ...], answer: AnswerKind
) -> None:
    opened, _, content = begin(shop, register(shop).id)
    fill(shop, opened, content, readings=readings)
    assessment = assess(shop, opened, content, today=TODAY)
    item = next(item for item in assessment.items if item.measure == "elongation")
    assert implied_answer(item, assessment) is answer
    content.answers[item.id] = AnswerDraft(answer=AnswerKind.NOT_SEEN, note="in the dark")
    ready = preview(shop, opened, content, today=TODAY)
    assert ready.body is not None
    assert answer_of(ready.body, item.id) is answer
    assert next(a.note for a in ready.body.answers if a.item == item.id) == "in the dark"


def test_an_item_without_figures_implies_nothing(shop: Shop) -> None:
    opened, _, content = begin(shop, register(shop).id)
    assessment = assess(shop, opened, content, today=TODAY)
    assert all(implied_answer(item, assessment) is None for item in assessment.items)
    assert all(measured_finding(item, assessment) is None for item in assessment.items)


@pytest.mark.parametrize("item", ["chain-elongation", "chain-diameter", "hook-throat"])
def test_ok_without_figures_is_no_pass(shop: Shop, item: str) -> None:
    opened, _, content = begin(shop, register(shop).id)
    fill(shop, opened, content)
    for reading in content.readings:
        reading.text = ""
    content.d1 = content.d2 = content.hook.throat = ""
    measured = ("chain-elongation", "chain-diameter", "hook-throat")
    content.answers |= {name: AnswerDraft(answer=AnswerKind.NOT_SEEN) for name in measured}
    content.answers[item].answer = AnswerKind.OK
    (problem,) = preview(shop, opened, content, today=TODAY).problems
    assert (problem.wrong, problem.todo) == (
        "asks for figures before it can be ok.",
        "Measure, or answer 'not seen'.",
    )


# Every chain hoist has a chain; a hook may be of a kind that has no throat.
@pytest.mark.parametrize(
    ("item", "taken"), [("chain-elongation", False), ("chain-diameter", False), ("hook-throat", True)]
)
def test_a_chain_is_never_not_applicable(shop: Shop, item: str, taken: bool) -> None:
    opened, _, content = begin(shop, register(shop).id)
    fill(shop, opened, content)
    if item == "chain-elongation":
        for reading in content.readings:
            reading.text = ""
    elif item == "chain-diameter":
        content.d1 = content.d2 = ""
    else:
        content.hook.throat = ""
    content.answers[item] = AnswerDraft(answer=AnswerKind.NOT_APPLICABLE)
    found = preview(shop, opened, content, today=TODAY).problems
    assert (found == ()) is taken


def test_every_item_without_an_answer_is_named(shop: Shop) -> None:
    opened, _, content = begin(shop, register(shop).id)
    assessment = assess(shop, opened, content, today=TODAY)
    found = preview(shop, opened, content, today=TODAY)
    assert found.body is None
    assert [problem.place for problem in found.problems] == [item.title for item in assessment.items]
    assert {problem.wrong for problem in found.problems} == {"has no answer yet"}


def test_a_typed_defect_is_sealed_with_all_that_was_typed(shop: Shop) -> None:
    body = body_of(inspect(shop, register(shop).id, defects={"hook-latch": LATCH}))
    assert body.defects == (
        Defect(
            id="D1",
            item="hook-latch",
            what="latch bent",
            where="lower hook",
            grade=DefectGrade.WATCH,
            remedy="new latch",
            serious=True,
            told="the shift lead",
        ),
    )
    assert answer_of(body, "hook-latch") is AnswerKind.DEFECT


@pytest.mark.parametrize("defect", [DefectDraft(), DefectDraft(what="   ")])
def test_a_defect_that_is_not_described_is_asked_for(shop: Shop, defect: DefectDraft) -> None:
    assert problems(shop, defects={"hook-latch": defect}) == {
        "Safety latch closes and springs": "say what the defect is"
    }


def test_a_defect_answered_without_a_description_at_all(shop: Shop) -> None:
    assert set(problems(shop, answers={"hook-latch": AnswerKind.DEFECT}).values()) == {
        "say what the defect is"
    }


@pytest.mark.parametrize(
    ("stops_on", "taken"),
    [("2026-11-24", False), ("2026-11-25", True), ("2026-12-01", True), ("", False), ("1.12.2026", False)],
)
def test_a_dated_defect_has_a_day_from_the_inspection_on(shop: Shop, stops_on: str, taken: bool) -> None:
    dated = DefectDraft(what="guide worn", grade=DefectGrade.STOPS_FROM, stops_on=stops_on)
    if not taken:
        assert len(problems(shop, defects={"lower-guide": dated})) == 1
        return
    (defect,) = body_of(inspect(shop, register(shop).id, defects={"lower-guide": dated})).defects
    assert defect.stops_on == date.fromisoformat(stops_on)


def test_a_day_that_does_not_belong_to_the_grade_is_left_out(shop: Shop) -> None:
    noted = DefectDraft(what="paint off", grade=DefectGrade.NOTED, stops_on="2026-12-01")
    (defect,) = body_of(inspect(shop, register(shop).id, defects={"labels": noted})).defects
    assert defect.stops_on is None


def test_a_discard_verdict_makes_a_stopping_defect(shop: Shop) -> None:
    body = body_of(inspect(shop, register(shop).id, readings=WORN))
    (defect,) = body.defects
    assert (defect.id, defect.item, defect.grade) == ("D1", "chain-elongation", DefectGrade.STOPS_NOW)
    assert defect.what == "load chain elongation: at hook end: grown 2.6 of 2.475 mm allowed"


def test_it_is_not_doubled_on_the_next_inspection(shop: Shop) -> None:
    hoist = register(shop)
    inspect(shop, hoist.id, readings=WORN)
    again = body_of(inspect(shop, hoist.id, InspectionKind.PERIODIC, readings=("165.4", "167.9", "165.9")))
    assert again.defects == ()
    assert answer_of(again, "chain-elongation") is AnswerKind.DEFECT
    assert [state.defect.id for state in hoist_page(shop, hoist.id, TODAY).defects] == ["D1"]


def test_it_is_told_anew_once_it_was_called_mended(shop: Shop) -> None:
    hoist = register(shop)
    inspect(shop, hoist.id, readings=WORN)
    mend(shop, hoist.id, MENDING | {"defects": "D1"}, by=ADA, now=NOW, today=TODAY)
    (defect,) = body_of(inspect(shop, hoist.id, InspectionKind.PERIODIC, readings=WORN)).defects
    assert defect.id == "D2"


def test_a_milder_defect_at_the_same_item_does_not_hide_a_discard_verdict(shop: Shop) -> None:
    hoist = register(shop)
    watched = DefectDraft(what="load chain elongation: near its limit", grade=DefectGrade.WATCH)
    inspect(shop, hoist.id, defects={"chain-elongation": watched})
    (defect,) = body_of(inspect(shop, hoist.id, InspectionKind.PERIODIC, readings=WORN)).defects
    assert (defect.id, defect.grade) == ("D2", DefectGrade.STOPS_NOW)


def test_figures_that_keep_do_not_hide_a_defect_that_was_seen(shop: Shop) -> None:
    seen = DefectDraft(what="stiff links near the hook")
    body = body_of(inspect(shop, register(shop).id, readings=KEPT, defects={"chain-elongation": seen}))
    assert answer_of(body, "chain-elongation") is AnswerKind.DEFECT
    assert [(defect.what, defect.grade) for defect in body.defects] == [
        ("stiff links near the hook", DefectGrade.STOPS_NOW)
    ]


def test_beside_a_discard_verdict_a_typed_defect_stands_too(shop: Shop) -> None:
    seen = DefectDraft(what="stiff links near the hook", grade=DefectGrade.NOTED)
    body = body_of(inspect(shop, register(shop).id, readings=WORN, defects={"chain-elongation": seen}))
    assert [(defect.id, defect.grade) for defect in body.defects] == [
        ("D1", DefectGrade.STOPS_NOW),
        ("D2", DefectGrade.NOTED),
    ]


def test_a_discard_verdict_needs_no_words(shop: Shop) -> None:
    pressed = {"chain-elongation": AnswerKind.DEFECT}
    body = body_of(inspect(shop, register(shop).id, readings=WORN, answers=pressed))
    assert len(body.defects) == 1


def test_an_undecided_reading_makes_no_defect_and_no_pass(shop: Shop) -> None:
    body = body_of(inspect(shop, register(shop).id, readings=UNDECIDED, instrument=RULE))
    assert body.defects == ()
    assert Verdict.UNDECIDED in [finding.verdict for finding in body.findings]
    assert answer_of(body, "chain-elongation") is AnswerKind.NOT_SEEN


def test_worn_wire_and_an_opened_hook_stop_the_hoist_too(shop: Shop) -> None:
    """4.5 of 5 mm is 90 % (DGUV Information 209-021); 33 of 30 is 10 % more (Korea, OSH Rule art. 96)."""
    opened, _, content = begin(shop, register(shop).id)
    fill(shop, opened, content)
    content.d1, content.d2, content.hook.throat = "4.4", "4.6", "33"
    ready = preview(shop, opened, content, today=TODAY)
    assert ready.body is not None
    assert {defect.item for defect in ready.body.defects} == {"chain-diameter", "hook-throat"}
    assert {defect.grade for defect in ready.body.defects} == {DefectGrade.STOPS_NOW}


def test_no_defect_number_comes_twice_not_even_after_a_correction(shop: Shop) -> None:
    hoist = register(shop)
    entry = inspect(shop, hoist.id, defects={"hook-latch": LATCH, "labels": LATCH})
    strike = StruckOut(line=entry.line, why="the other hoist")
    append(shop, hoist.id, strike, by=ADA, now=NOW, head=entry.line)
    (defect,) = body_of(inspect(shop, hoist.id, FIRST, defects={"hook-latch": LATCH})).defects
    assert defect.id == "D3"
