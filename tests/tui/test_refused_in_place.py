"""What the store refuses while a page stands open is said on that page; nobody is thrown out."""

import asyncio
from pathlib import Path

import pytest

from fieldlog.domain.records import Instrument
from fieldlog.operations.setting_up import add_instrument
from fieldlog.operations.shop import Shop
from fieldlog.tui.watching import WatchesFiles
from tests.tui.builder import (
    ADA,
    MORNING,
    Clock,
    at_the_keys,
    in_terminal,
    inspected,
    ready_shop,
    with_hoist,
)


@pytest.fixture
def shop(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Shop:
    monkeypatch.setattr("fieldlog.tui.watching.LOOK_EVERY_S", 0.05)
    return ready_shop(tmp_path)


@pytest.mark.parametrize(("keys", "page"), [("t", "RegisterListPage"), ("<enter>i", "KindsPage")])
@in_terminal
async def test_a_file_that_is_damaged_meanwhile_is_told_and_throws_nobody_out(
    shop: Shop, keys: str, page: str
) -> None:
    add_instrument(shop, Instrument(name="caliper 1", type="caliper-0.05"), by=ADA, now=MORNING)
    tag = with_hoist(shop)
    place = "shop/instruments" if page == "RegisterListPage" else f"logbooks/{tag}"
    async with at_the_keys(shop) as hands:
        await hands.type(keys)
        rows = len(hands.table().rows)
        path = shop.root / f"{place}.jsonl"
        path.write_bytes(b"spoilt\n" + path.read_bytes())
        await hands.until(lambda: "does not read as a record" in hands.message())
        assert (hands.page, len(hands.table().rows)) == (page, rows)
        await hands.type("<f1><escape>")
        assert hands.page == page
        await hands.type(f"<escape><escape>{keys}")
        assert "does not read as a record" in hands.message()


def test_a_fault_of_the_program_in_a_handler_is_still_the_apps(shop: Shop) -> None:
    """Only what the store or the rules refuse is said in place."""

    class Broken(WatchesFiles):
        def watched(self) -> list[Path]:
            raise ZeroDivisionError

    async def run() -> None:
        async with at_the_keys(shop) as hands:
            await hands.app.push_screen(Broken())
            await hands.settle()

    with pytest.raises(ZeroDivisionError):
        asyncio.run(run())


@in_terminal
async def test_home_tells_of_settings_that_do_not_read_any_more_and_throws_nobody_out(
    shop: Shop, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("fieldlog.tui.screens.due_list.LOOK_EVERY_S", 0.05)
    with_hoist(shop)
    clock = Clock()
    async with at_the_keys(shop, clock=clock) as hands:
        path = shop.root / "shop" / "settings.jsonl"
        path.write_bytes(b"spoilt\n" + path.read_bytes())
        clock.forward(days=1)
        await hands.until(lambda: "does not read as a record" in hands.message())
        assert hands.page == "DueListPage"
        await hands.type("<f1><escape>")
        assert hands.page == "DueListPage"


@in_terminal
async def test_a_new_hoist_is_refused_in_place_where_the_settings_do_not_read(shop: Shop) -> None:
    async with at_the_keys(shop) as hands:
        path = shop.root / "shop" / "settings.jsonl"
        path.write_bytes(b"spoilt\n" + path.read_bytes())
        await hands.press("n")
        assert hands.page == "DueListPage"
        assert "does not read as a record" in hands.message()


@in_terminal
async def test_a_line_that_is_gone_since_it_was_listed_is_told(
    shop: Shop, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("fieldlog.tui.watching.LOOK_EVERY_S", 60)
    tag = with_hoist(shop)
    inspected(shop, tag)
    path = shop.root / "logbooks" / f"{tag}.jsonl"
    async with at_the_keys(shop) as hands:
        await hands.press("enter")
        hands.table().move_to("line-2")
        path.write_bytes(path.read_bytes().splitlines(keepends=True)[0])
        await hands.press("enter")
        assert "has no line 2 any more" in hands.message()


@in_terminal
async def test_home_shows_no_state_where_the_logbooks_can_not_be_listed(
    shop: Shop, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("fieldlog.tui.screens.due_list.LOOK_EVERY_S", 0.05)
    tag = with_hoist(shop)
    inspected(shop, tag)
    folder = shop.root / "logbooks"
    async with at_the_keys(shop) as hands:
        assert tag in hands.text()
        folder.rename(shop.root / "away")
        folder.write_bytes(b"")
        await hands.until(lambda: "can not be read" in hands.message())
        assert tag not in hands.text()
        await hands.type(f"FL:{tag}<enter>")
        assert "can not be read" in hands.message()
        folder.unlink()
        (shop.root / "away").rename(folder)
        await hands.until(lambda: tag in hands.text())
