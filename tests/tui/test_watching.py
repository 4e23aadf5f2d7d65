"""Lists show by themselves what other sessions change; cursor and questions stay where they are right."""

import re
from pathlib import Path

import pytest

from fieldlog.domain.records import Instrument
from fieldlog.operations.draft_hands import take_over
from fieldlog.operations.drafting import begin_form, kept_drafts, save_fields
from fieldlog.operations.setting_up import add_instrument
from fieldlog.operations.shop import Shop, open_shop
from tests.tui.builder import (
    ADA,
    BERT,
    MORNING,
    Clock,
    at_the_keys,
    draft_inspection,
    in_terminal,
    inspected,
    ready_shop,
    with_hoist,
)


@pytest.fixture
def shop(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Shop:
    monkeypatch.setattr("fieldlog.tui.watching.LOOK_EVERY_S", 0.05)
    return ready_shop(tmp_path)


def others(shop: Shop) -> Shop:
    """Another session on the same store."""
    return open_shop(shop.root)


def with_tool(shop: Shop, name: str) -> None:
    add_instrument(shop, Instrument(name=name, type="caliper-0.05"), by=BERT, now=MORNING)


@in_terminal
async def test_an_instrument_that_another_session_adds_is_listed_and_the_cursor_stays(shop: Shop) -> None:
    with_tool(shop, "b"), with_tool(shop, "c")
    async with at_the_keys(shop) as hands:
        await hands.type("t<down>")
        assert hands.table().current_key == "c"
        with_tool(others(shop), "a")
        await hands.until(lambda: "a" in [row.key for row in hands.table().rows])
        assert hands.table().current_key == "c"


@in_terminal
async def test_a_draft_that_another_session_begins_is_listed(shop: Shop) -> None:
    tag = with_hoist(shop)
    async with at_the_keys(shop) as hands:
        await hands.press("d")
        assert hands.message() == "Nothing was left open."
        draft_inspection(others(shop), tag, by=BERT)
        await hands.until(lambda: bool(hands.table().rows))
        assert BERT in hands.text()
        assert hands.message() == ""


@in_terminal
async def test_a_question_stands_while_others_work_on_but_not_when_its_own_draft_changes_hands(
    shop: Shop,
) -> None:
    """Ada is asked about one of Bert's drafts: another one of his is nothing to that question."""
    left = begin_form("idle", with_hoist(shop), by=BERT, now=MORNING)
    save_fields(shop, left, {"why": "no crane driver"}, now=MORNING)
    async with at_the_keys(shop) as hands:
        await hands.type("d<f8>")
        assert "F8 again" in hands.message()
        draft_inspection(others(shop), with_hoist(shop, serial="2"), by=BERT)
        await hands.until(lambda: len(hands.table().rows) == 2)
        assert hands.table().current_key == left.uid
        assert hands.screen.asked == ("discard", left.uid)
        other = others(shop)
        held = next(draft for draft in kept_drafts(other) if draft.uid == left.uid)
        take_over(other, held, by=ADA, now=MORNING)
        await hands.until(lambda: hands.screen.asked == ("", ""))
        assert hands.message() == "That draft changed meanwhile: look at it, then ask again."
        await hands.press("f8")
        assert "F8 again" in hands.message()
        assert len(kept_drafts(shop)) == 2


@in_terminal
async def test_what_is_due_changes_with_what_another_session_seals(shop: Shop) -> None:
    tag = with_hoist(shop)
    async with at_the_keys(shop) as hands:
        await hands.type("<enter>i")
        assert hands.page == "KindsPage"
        assert "2026-12-25" not in hands.text()
        inspected(others(shop), tag, by=BERT)
        await hands.until(lambda: "2026-12-25" in hands.text())


@in_terminal
async def test_a_covered_list_waits_until_it_is_seen_again(shop: Shop) -> None:
    with_tool(shop, "b")
    async with at_the_keys(shop) as hands:
        await hands.type("tn")
        with_tool(others(shop), "a")
        shown = hands.app.screen_stack[-2]
        await hands.pilot.pause(0.2)
        assert len(shown.query_one("#register").rows) == 1
        await hands.press("escape")
        assert len(hands.table().rows) == 2


@in_terminal
async def test_of_a_hoist_whose_logbook_is_gone_nothing_that_stood_there_is_left(shop: Shop) -> None:
    tag = with_hoist(shop)
    inspected(shop, tag)
    path = shop.root / "logbooks" / f"{tag}.jsonl"
    async with at_the_keys(shop) as hands:
        await hands.type("<enter>")
        assert "+ in service" in hands.heading()
        data = path.read_bytes()
        path.unlink()
        await hands.until(lambda: "X NOT KNOWN" in hands.heading())
        assert "in service" not in hands.text()
        path.write_bytes(data)
        await hands.until(lambda: "+ in service" in hands.heading())


@in_terminal
async def test_of_a_hoist_whose_last_line_is_cut_off_the_stop_is_shown(shop: Shop) -> None:
    """The register knows the line that is gone."""
    tag = with_hoist(shop)
    inspected(shop, tag)
    path = shop.root / "logbooks" / f"{tag}.jsonl"
    async with at_the_keys(shop) as hands:
        await hands.type("<enter>")
        path.write_bytes(b"".join(path.read_bytes().splitlines(keepends=True)[:-1]))
        await hands.until(lambda: "X OUT OF SERVICE" in hands.heading())
        assert "no longer holds the line" in hands.flat()


@in_terminal
async def test_the_day_goes_on(shop: Shop) -> None:
    tag = with_hoist(shop)
    inspected(shop, tag)
    clock = Clock()
    async with at_the_keys(shop, clock=clock) as hands:
        await hands.type("<enter>")
        assert "in 30 days" in hands.text()
        clock.forward(days=1)
        await hands.until(lambda: "in 29 days" in hands.text())


@in_terminal
async def test_a_draft_that_went_on_since_it_was_asked_about_is_not_taken_over(
    shop: Shop, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("fieldlog.tui.watching.LOOK_EVERY_S", 60)  # before the next look
    left = begin_form("idle", with_hoist(shop), by=BERT, now=MORNING)
    left = save_fields(shop, left, {"why": "no crane driver"}, now=MORNING)
    async with at_the_keys(shop) as hands:
        await hands.type("d<enter>")
        assert "Enter takes it over" in hands.message()
        save_fields(others(shop), left, {"why": "no crane driver until May"}, now=MORNING)
        await hands.press("enter")
        assert hands.message() == "That draft changed meanwhile: look at it, then ask again."
        assert [draft.by for draft in kept_drafts(shop)] == [BERT]
        await hands.press("enter")
        await hands.press("enter")
    assert [draft.by for draft in kept_drafts(shop)] == [ADA]


@in_terminal
async def test_enter_meant_for_a_row_that_is_gone_does_nothing_to_the_next_one(shop: Shop) -> None:
    tag = with_hoist(shop)
    draft, _ = draft_inspection(shop, tag)
    async with at_the_keys(shop) as hands:
        await hands.type("<enter>i")
        assert hands.table().cursor == 0
        others(shop).drafts.remove(draft.uid)
        await hands.until(lambda: hands.message().startswith("What stood at the cursor is gone"))
        await hands.press("enter")
        assert hands.page == "KindsPage"
        assert kept_drafts(shop) == []
        await hands.press("enter")
        assert hands.page == "InspectionPage"


@pytest.mark.parametrize(("key", "says"), [("d", "wear over time"), ("o", "wear along the chain")])
@in_terminal
async def test_a_picture_follows_the_logbook_and_is_not_left_standing_when_that_is_gone(
    shop: Shop, key: str, says: str
) -> None:
    tag = with_hoist(shop)
    inspected(shop, tag)
    path = shop.root / "logbooks" / f"{tag}.jsonl"
    async with at_the_keys(shop) as hands:
        await hands.type(f"<enter>{key}")
        assert says in hands.heading()
        before = hands.text()
        assert re.search(r"\d %", before)
        data = path.read_bytes()
        path.unlink()
        await hands.until(lambda: hands.text() != before)
        assert not re.search(r"\d %", hands.text())
        path.write_bytes(data)
        await hands.until(lambda: hands.text() == before)
