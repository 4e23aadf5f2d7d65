"""Describing a defect: kept while typed, and asked for what a later reader needs."""

from pathlib import Path

import pytest

from fieldlog.domain.records import AnswerKind, DefectGrade, InspectionKind
from fieldlog.operations.drafting import InspectionDraft, kept_drafts, read_inspection
from fieldlog.operations.shop import Shop
from fieldlog.tui.screens.defect import defect_fields
from fieldlog.tui.work import InspectionWork
from tests.tui.builder import (
    at_the_keys,
    begun_work,
    finished_work,
    in_terminal,
    last_inspection,
    ready_shop,
    with_hoist,
)
from tests.tui.hands import Hands


@pytest.fixture
def shop(tmp_path: Path) -> Shop:
    return ready_shop(tmp_path)


@pytest.fixture
def work(shop: Shop) -> InspectionWork:
    return begun_work(shop, with_hoist(shop), InspectionKind.FREQUENT)


async def _open(hands: Hands, work: InspectionWork) -> None:
    hands.app.open_inspection(work)
    await hands.settle()
    await hands.go_to_item("lower-guide")
    await hands.press("d")


def _kept(shop: Shop) -> InspectionDraft:
    return read_inspection(kept_drafts(shop)[0])


@in_terminal
async def test_the_form_names_the_item_and_when_it_is_a_defect(shop: Shop, work: InspectionWork) -> None:
    async with at_the_keys(shop) as hands:
        await _open(hands, work)
        assert hands.heading() == "SW-0001-0   defect: Lower guide: openings and edges"
        item = next(item for item in work.assessment().items if item.id == "lower-guide")
        assert f"Defect when: {item.defect_when}" in hands.flat()
        assert [field.name for field in defect_fields(item) if field.required] == ["what", "grade", "serious"]


@in_terminal
async def test_a_described_defect_answers_its_item_and_is_on_disk(shop: Shop, work: InspectionWork) -> None:
    async with at_the_keys(shop) as hands:
        await _open(hands, work)
        await hands.type(
            "opening oval<enter>east side<enter>w<enter><enter>new guide<enter>y<enter>the foreman"
        )
        await hands.press("f10")
        assert hands.page == "InspectionPage"
        assert hands.row("lower-guide") == "DEFECT Lower guide: openings and edges opening oval"
    kept = _kept(shop)
    defect = kept.defects["lower-guide"]
    assert kept.answers["lower-guide"].answer is AnswerKind.DEFECT
    assert (defect.what, defect.where, defect.remedy) == ("opening oval", "east side", "new guide")
    assert (defect.grade, defect.serious, defect.told) == (DefectGrade.WATCH, True, "the foreman")


@in_terminal
async def test_escape_keeps_what_was_typed_and_coming_back_shows_it(shop: Shop, work: InspectionWork) -> None:
    async with at_the_keys(shop) as hands:
        await _open(hands, work)
        await hands.type("opening ov<escape>")
        assert _kept(shop).defects["lower-guide"].what == "opening ov"
        await hands.go_to_item("lower-guide")
        await hands.press("d")
        assert hands.field("what").value == "opening ov"


@in_terminal
async def test_a_key_pressed_in_error_and_escape_leave_no_defect(shop: Shop, work: InspectionWork) -> None:
    async with at_the_keys(shop) as hands:
        await _open(hands, work)
        await hands.press("escape")
        assert hands.row("lower-guide").startswith(".")
    assert _kept(shop).defects == {}


@in_terminal
async def test_it_is_not_taken_without_saying_what_is_wrong(shop: Shop, work: InspectionWork) -> None:
    async with at_the_keys(shop) as hands:
        await _open(hands, work)
        await hands.press("f10")
        assert hands.page == "DefectPage"
        assert hands.message() == "Not saved: 1 field needs a look. What is wrong: What is wrong is missing"


@in_terminal
async def test_a_dated_grade_asks_for_its_day(shop: Shop, work: InspectionWork) -> None:
    async with at_the_keys(shop) as hands:
        await _open(hands, work)
        await hands.fill(what="opening oval", grade="stops use from a date")
        await hands.press("f10")
        assert "Stops from: name the day from which use stops" in hands.message()
        assert hands.app.focused is hands.field("stops_on")
        await hands.type("24.12.2026<f10>")
        assert "24.12.2026" in hands.beside("stops_on")
        await hands.fill(stops_on="2026-12-24")
        await hands.press("f10")
        assert hands.page == "InspectionPage"
    assert _kept(shop).defects["lower-guide"].stops_on == "2026-12-24"


@in_terminal
async def test_f3_steps_the_grade_from_the_gravest_on(shop: Shop, work: InspectionWork) -> None:
    async with at_the_keys(shop) as hands:
        await _open(hands, work)
        assert hands.field("grade").value == "stops use now"
        await hands.go_to_field("grade")
        seen = []
        for _ in DefectGrade:
            await hands.press("f3")
            seen.append(hands.field("grade").value)
        assert seen == ["stops use from a date", "watch", "noted", "stops use now"]


@in_terminal
async def test_another_answer_throws_the_description_away_only_when_asked_twice(
    shop: Shop, work: InspectionWork
) -> None:
    async with at_the_keys(shop) as hands:
        await _open(hands, work)
        await hands.type("opening oval<f10>")
        await hands.go_to_item("lower-guide")
        await hands.press("o")
        assert hands.message() == (
            "A defect is described here: the same key again throws its description away."
        )
        await hands.press("s")
        assert _kept(shop).defects["lower-guide"].what == "opening oval"
        await hands.press("s")
        assert hands.row("lower-guide").startswith("not seen")
    assert _kept(shop).defects == {}


@in_terminal
async def test_a_defect_described_at_a_measured_item_is_sealed_whatever_its_figures_say(shop: Shop) -> None:
    work = finished_work(shop, with_hoist(shop))
    async with at_the_keys(shop) as hands:
        hands.app.open_inspection(work)
        await hands.settle()
        await hands.go_to_item("chain-elongation")
        await hands.type("dtwo links nicked<f10>")
        assert hands.row("chain-elongation").startswith("DEFECT")
        await hands.press("f10")
        assert "two links nicked" in hands.text()
        await hands.press("f10")
    (defect,) = last_inspection(shop, work.opened.hoist.id).defects
    assert (defect.item, defect.what) == ("chain-elongation", "two links nicked")
