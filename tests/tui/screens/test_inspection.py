"""The checklist: one key an item, figures asked where figures are due, everything kept at once."""

from pathlib import Path

import pytest

from fieldlog.domain.records import AnswerKind, InspectionKind
from fieldlog.operations.drafting import InspectionDraft, kept_drafts, read_inspection
from fieldlog.operations.shop import Shop
from fieldlog.tui.marks import CAUTION
from fieldlog.tui.work import InspectionWork
from tests.tui.builder import (
    ADA,
    BERT,
    at_the_keys,
    begun_work,
    finished_work,
    in_terminal,
    ready_shop,
    with_hoist,
)
from tests.tui.hands import Hands


@pytest.fixture
def shop(tmp_path: Path) -> Shop:
    return ready_shop(tmp_path)


@pytest.fixture
def work(shop: Shop) -> InspectionWork:
    return begun_work(shop, with_hoist(shop))


async def _open(hands: Hands, work: InspectionWork) -> None:
    hands.app.open_inspection(work)
    await hands.settle()


def _kept(shop: Shop) -> InspectionDraft:
    return read_inspection(kept_drafts(shop)[0])


def _now_at(hands: Hands) -> str:
    return hands.table().current_key


@in_terminal
async def test_single_keys_answer_and_go_to_the_next_open_item(shop: Shop, work: InspectionWork) -> None:
    async with at_the_keys(shop) as hands:
        await _open(hands, work)
        first = _now_at(hands)
        places = [first]
        for key in ("o", "n", "s"):
            await hands.press(key)
            places.append(_now_at(hands))
        assert len(set(places)) == 4
        assert [hands.row(item).split("  ")[0].split(" ")[0] for item in places[:3]] == ["ok", "n/a", "not"]
        assert "3 of 23 answered" in hands.heading()
        answers = _kept(shop).answers
        assert [answers[item].answer for item in places[:3]] == [
            AnswerKind.OK,
            AnswerKind.NOT_APPLICABLE,
            AnswerKind.NOT_SEEN,
        ]


@in_terminal
async def test_ok_is_refused_on_an_item_that_asks_for_figures(shop: Shop, work: InspectionWork) -> None:
    async with at_the_keys(shop) as hands:
        await _open(hands, work)
        await hands.go_to_item("chain-elongation")
        await hands.press("o")
        assert hands.message() == "This item asks for figures: m measures, s says that it was not seen."
        assert "chain-elongation" not in _kept(shop).answers
        assert hands.row("chain-elongation").endswith("m measures")
        await hands.press("enter")
        assert hands.page == "ReadingsPage"


@in_terminal
async def test_what_to_look_at_what_is_a_defect_and_the_caution_stand_whole_below(shop: Shop) -> None:
    """Those items of the longest checklist are shown that have the most to say."""
    work = begun_work(shop, with_hoist(shop, trolley="yes", falls="2"), InspectionKind.PERIODIC)
    async with at_the_keys(shop) as hands:
        await _open(hands, work)
        items = sorted(work.assessment().items, key=lambda i: -len(i.look_at + i.defect_when + i.caution))
        for item in items[:4]:
            await hands.go_to_item(item.id)
            shown = hands.flat()
            for words in (item.look_at, item.defect_when, item.caution):
                assert " ".join(words.split()) in shown, item.id
        assert CAUTION in hands.flat()


@in_terminal
async def test_a_note_is_kept_at_every_key_and_shown_at_its_item(shop: Shop, work: InspectionWork) -> None:
    async with at_the_keys(shop) as hands:
        await _open(hands, work)
        item = _now_at(hands)
        await hands.type("toily")
        assert _kept(shop).answers[item].note == "oily"
        await hands.type(" chain<enter>o")
        assert hands.row(item).endswith("oily chain")
        assert _kept(shop).answers[item].answer is AnswerKind.OK


@in_terminal
async def test_escape_in_a_note_goes_back_to_the_items_not_out_of_the_inspection(
    shop: Shop, work: InspectionWork
) -> None:
    async with at_the_keys(shop) as hands:
        await _open(hands, work)
        await hands.type("thalf<escape>")
        assert hands.page == "InspectionPage"
        assert hands.row(_now_at(hands)).endswith("half")


@in_terminal
async def test_figures_answer_their_item_with_verdict_and_reason(shop: Shop) -> None:
    work = finished_work(
        shop, with_hoist(shop), InspectionKind.PERIODIC, readings=("165.4", "167.0", "165.2")
    )
    async with at_the_keys(shop) as hands:
        await _open(hands, work)
        assert hands.row("chain-elongation").startswith("! watch")
        assert "at hook end: grown 2 of 2.475 mm allowed" in hands.row("chain-elongation")
        assert hands.row("chain-diameter").startswith("+ keep")
        assert hands.row("hook-throat").startswith("+ keep")


@in_terminal
async def test_a_measured_item_that_has_a_verdict_takes_ok_as_the_verdict_says(shop: Shop) -> None:
    work = finished_work(shop, with_hoist(shop), readings=("165.4", "167.5", "165.2"))
    async with at_the_keys(shop) as hands:
        await _open(hands, work)
        await hands.go_to_item("chain-elongation")
        await hands.press("o")
        assert hands.row("chain-elongation").startswith("X discard")


@in_terminal
async def test_sections_count_what_is_answered_and_the_end_is_said(shop: Shop, work: InspectionWork) -> None:
    async with at_the_keys(shop) as hands:
        await _open(hands, work)
        await hands.type("oooo")
        sections = [row.cells[0] for row in hands.table().rows if row.tone == "heading"]
        assert sections[0] == "Identity and nameplate   1 of 1"
        assert sections[1] == "Suspension and hooks   3 of 3"
        for _ in hands.screen.assessment.items:
            await hands.press("s")
        assert hands.message() == "Every item is answered. F10 shows what will be sealed."
        assert "23 of 23 answered" in hands.heading()


@in_terminal
async def test_leaving_keeps_the_draft_and_taking_up_stands_at_the_first_open_item(
    shop: Shop, work: InspectionWork
) -> None:
    async with at_the_keys(shop) as hands:
        await _open(hands, work)
        await hands.type("oo")
        left_at = _now_at(hands)
        await hands.press("escape")
        assert hands.message() == "The inspection of SW-0001-0 is kept as a draft."
        await hands.type("<enter>i<enter>")
        assert hands.page == "InspectionPage"
        assert _now_at(hands) == left_at
        assert "2 of 23 answered" in hands.heading()


@in_terminal
async def test_after_every_single_key_the_draft_on_disk_holds_all_that_was_pressed(
    shop: Shop, work: InspectionWork
) -> None:
    """So a kill between any two keys loses nothing; test_real_terminal kills for real."""
    async with at_the_keys(shop) as hands:
        await _open(hands, work)
        for key in (
            "o",
            "s",
            "t",
            "x",
            "y",
            "enter",
            "n",
            "d",
            "b",
            "e",
            "n",
            "t",
            "down",
            "l",
            "escape",
            "o",
        ):
            await hands.press(key)
            assert _kept(shop) == work.content
    assert [draft.what for draft in work.content.defects.values()] == ["bent"]
    assert len(work.content.answers) == 5


@in_terminal
async def test_discarding_is_asked_twice_and_moving_takes_the_question_back(
    shop: Shop, work: InspectionWork
) -> None:
    async with at_the_keys(shop) as hands:
        await _open(hands, work)
        await hands.press("f8")
        assert hands.message() == (
            "F8 again throws this inspection away for good. Escape keeps it as a draft."
        )
        await hands.press("down", "f8")
        assert len(kept_drafts(shop)) == 1
        await hands.press("f8")
        assert kept_drafts(shop) == []
        assert hands.page == "DueListPage"


@in_terminal
async def test_two_people_hold_a_draft_each_on_one_hoist_and_each_finds_their_own_answers(
    shop: Shop, work: InspectionWork
) -> None:
    item = work.assessment().items[0]
    work.answer(item, AnswerKind.OK)
    other = begun_work(shop, work.opened.hoist.id, by=BERT)
    other.answer(item, AnswerKind.NOT_SEEN)
    async with at_the_keys(shop, by=BERT) as hands:
        await hands.type("<enter>i")
        rows = [hands.row(row.key) for row in hands.table().rows[:2]]
        assert sorted(rows) == [
            f"frequent left open by {ADA} on 2026-11-25: take over, look",
            f"frequent left open by {BERT} on 2026-11-25: take it up",
        ]
        place = next(row.key for row in hands.table().rows if BERT in row.cells[2])
        hands.table().move_to(place)
        await hands.press("enter")
        assert hands.row(item.id).startswith("not seen")
    assert len(kept_drafts(shop)) == 2
