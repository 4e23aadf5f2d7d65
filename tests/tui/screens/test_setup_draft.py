"""What was typed at the first start or into a setting survives Escape and a cut line, and can be dropped."""

import signal
from pathlib import Path

from fieldlog.operations.drafting import kept_drafts
from fieldlog.operations.shop import Shop, need_settings, open_shop, people
from tests.tui.builder import ADA, BERT, at_the_keys, in_terminal, ready_shop
from tests.tui.hands import Hands


async def _begin_first_start(root: Path) -> None:
    async with at_the_keys(open_shop(root), by="", login="ada") as hands:
        await hands.type("Saltmarsh Hoist Service<enter>sw")
        hands.app._leave_on_signal(signal.SIGHUP)


@in_terminal
async def test_a_first_start_goes_on_after_the_line_was_cut(tmp_path: Path) -> None:
    await _begin_first_start(tmp_path)
    async with at_the_keys(open_shop(tmp_path), by="", login="ada") as hands:
        assert hands.page == "SetupPage"
        assert (hands.field("shop").value, hands.field("prefix").value) == ("Saltmarsh Hoist Service", "sw")
        assert hands.message() == "Left open by ada on 2026-11-25: taken up. F8 throws it away."
        await hands.fill(person="Ada Fenn")
        await hands.press("f10")
        assert hands.page == "DueListPage", hands.message()
    shop = open_shop(tmp_path)
    assert need_settings(shop).shop == "Saltmarsh Hoist Service"
    assert list(people(shop)) == ["Ada Fenn"]
    assert kept_drafts(shop) == []


@in_terminal
async def test_what_was_typed_at_a_first_start_is_thrown_away_when_asked_twice(tmp_path: Path) -> None:
    await _begin_first_start(tmp_path)
    async with at_the_keys(open_shop(tmp_path), by="", login="ada") as hands:
        await hands.press("f8")
        assert hands.field("shop").value == "Saltmarsh Hoist Service"
        await hands.press("f8")
        assert (hands.page, hands.message()) == ("SetupPage", "Thrown away.")
        assert (hands.field("shop").value, hands.field("rulebook").value) == ("", "general")
    assert kept_drafts(open_shop(tmp_path)) == []


@in_terminal
async def test_a_first_start_that_nobody_typed_in_leaves_nothing(tmp_path: Path) -> None:
    async with at_the_keys(open_shop(tmp_path / "store"), by="", login="ada") as hands:
        await hands.press("down", "escape")
        assert hands.message().endswith("nothing is written yet.")
    assert list(tmp_path.iterdir()) == []


async def _open_setting(hands: Hands, row: str) -> None:
    await hands.press("e")
    hands.table().move_to(row)
    await hands.settle()
    await hands.press("enter")


def _address(shop: Shop) -> str:
    return need_settings(shop).address


@in_terminal
async def test_a_setting_is_kept_at_escape_and_taken_up_from_its_row(tmp_path: Path) -> None:
    shop = ready_shop(tmp_path)
    async with at_the_keys(shop) as hands:
        await _open_setting(hands, "address")
        await hands.fill(address="1 Sluice Road")
        await hands.press("escape")
        assert hands.message() == "What was typed for 'address' is kept as a draft: Enter takes it up again."
        await hands.press("escape")
        await _open_setting(hands, "address")
        assert hands.field("address").value == "1 Sluice Road"
        await hands.press("f10")
        assert hands.message() == "Sealed as a record of the shop."
    assert (_address(shop), kept_drafts(shop)) == ("1 Sluice Road", [])


@in_terminal
async def test_a_setting_that_was_cut_off_stands_among_the_drafts_of_all(tmp_path: Path) -> None:
    shop = ready_shop(tmp_path)
    async with at_the_keys(shop) as hands:
        await _open_setting(hands, "address")
        await hands.fill(address="1 Sluice Road")
        hands.app._leave_on_signal(signal.SIGHUP)
    async with at_the_keys(open_shop(tmp_path), by=BERT) as hands:
        await hands.press("d")
        assert "setting of the shop: address" in hands.text()
        await hands.press("l")
        assert "Address: 1 Sluice Road" in hands.text()
        await hands.press("escape", "enter", "enter")
        assert hands.field("address").value == "1 Sluice Road"
        assert f"Begun by {ADA}" in hands.message()
        await hands.press("f10")
        assert hands.message() == "Sealed as a record of the shop."
    assert (_address(shop), kept_drafts(shop)) == ("1 Sluice Road", [])


@in_terminal
async def test_a_setting_left_as_it_was_leaves_no_draft(tmp_path: Path) -> None:
    shop = ready_shop(tmp_path)
    async with at_the_keys(shop) as hands:
        await _open_setting(hands, "address")
        await hands.type("x<backspace>")
        await hands.press("escape")
        assert hands.message() == ""
        assert kept_drafts(shop) == []
        await _open_setting(hands, "name")
        await hands.press("f10")
        assert hands.message() == "Nothing was changed."
