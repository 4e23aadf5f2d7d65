"""The shop's figures on one page: read aside, drawn, and ways from them to the calendar and the hoists."""

from datetime import UTC, datetime
from pathlib import Path

import pytest

from fieldlog.errors import StoreError
from fieldlog.operations.shop import Shop
from fieldlog.tui.screens import figures as figures_module
from fieldlog.tui.screens.figures import FiguresPage
from tests.operations.builder import ready_shop
from tests.operations.worn_chains import STEADY, fit_chain, measure, worn_shop
from tests.tui.builder import NARROW, WIDE, Clock, at_the_keys, in_terminal
from tests.tui.hands import Hands


class _Early(Clock):
    def __init__(self) -> None:
        super().__init__(datetime(2025, 7, 20, 8, tzinfo=UTC))


async def _open(hands: Hands, *, plain: bool = True) -> FiguresPage:
    page = FiguresPage(plain=plain)
    hands.app.push_screen(page)
    await hands.settle()
    await hands.app.workers.wait_for_complete()
    await hands.settle()
    return page


@pytest.mark.parametrize("size", [NARROW, WIDE])
@pytest.mark.parametrize("plain", [False, True])
@in_terminal
async def test_load_worn_chains_lives_and_doubt(tmp_path: Path, size: tuple[int, int], plain: bool) -> None:
    """Measured last on 2025-07-09: monthly on 2025-08-09; yearly from 2025-01-10 on 2026-01-10."""
    shop, _ = worn_shop(tmp_path, *STEADY)
    async with at_the_keys(shop, size=size, clock=_Early()) as hands:
        await _open(hands, plain=plain)
        assert hands.heading() == "Figures of the shop   2025-07-20"
        assert "0 inspections overdue; 2 due in 12 months, most in 2025-08 (1)." in hands.text()
        assert "Inspections due, by month (count)" in hands.text()
        lines = {line[:10].strip(): line for line in hands.lines()}
        assert lines["2025-08"].endswith("1  1 frequent")
        assert lines["2026-01"].endswith("1  1 periodic")
        assert hands.row("SW-0001-0").endswith("36.4 %  5 x 15 mm  intake hall, bay 2")
        assert hands.row("heading-life") == "Mean chain life: none to draw, no chain was replaced yet"
        assert hands.row("doubt") == "undecided 0.0 %  (0 of 9)"
        assert hands.message() == "1 hoist in use, 0 out of service"
        now, limit = ("#", "|") if plain else ("█", "┃")
        assert now in lines["2025-08"]
        assert limit in hands.row("SW-0001-0")
        if plain:
            assert hands.text().isascii()


@in_terminal
async def test_an_overdue_shop_whose_chain_was_replaced(tmp_path: Path) -> None:
    shop, tag = worn_shop(tmp_path, *STEADY)
    fit_chain(shop, tag, 200)
    measure(shop, tag, 210, "0.1")
    async with at_the_keys(shop) as hands:  # on 2026-11-25
        await _open(hands)
        assert "2 inspections overdue" in hands.text()
        assert hands.row("overdue").endswith("2 1 frequent, 1 periodic".replace("2 ", "2  ", 1))
        assert hands.row("life-0").startswith("5 x 15 mm ####")
        assert hands.row("life-0").endswith("200 d*  normal service, 1 chain")


@in_terminal
async def test_ways_from_the_rows(tmp_path: Path) -> None:
    shop, _ = worn_shop(tmp_path, *STEADY)
    async with at_the_keys(shop, clock=_Early()) as hands:
        await _open(hands)
        hands.table().move_to("2025-08")
        await hands.press("enter")
        assert hands.page == "CalendarPage"
        assert "2025-08-09, Sat: 1 inspection due" in hands.text()
        await hands.press("escape")
        hands.table().move_to("SW-0001-0")
        await hands.press("enter")
        assert hands.page == "HoistPage"
        await hands.press("escape")
        hands.table().move_to("doubt")
        await hands.press("enter")
        assert hands.message().startswith("Every chain length judged at any inspection")
        await hands.press("escape")
        assert hands.page == "DueListPage"


@in_terminal
async def test_the_window_is_followed(tmp_path: Path) -> None:
    shop, _ = worn_shop(tmp_path, *STEADY)
    async with at_the_keys(shop, clock=_Early()) as hands:
        await _open(hands)
        narrow = hands.text().count("#")
        await hands.pilot.resize_terminal(200, 60)
        await hands.settle()
        assert hands.text().count("#") > 2 * narrow


@in_terminal
async def test_an_empty_shop_has_sentences_for_pictures(tmp_path: Path) -> None:
    async with at_the_keys(ready_shop(tmp_path)) as hands:
        await _open(hands)
        assert "0 inspections overdue; nothing is due in the next 12 months." in hands.text()
        assert "no length of a chain was measured yet" in hands.text()
        assert hands.message() == "0 hoists in use, 0 out of service"


@in_terminal
async def test_what_stands_in_the_way_is_said_in_place(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(*_: object, **__: object) -> None:
        raise StoreError("The disk is gone.")

    monkeypatch.setattr(figures_module, "shop_figures", refuse)
    async with at_the_keys(ready_shop(tmp_path)) as hands:
        await _open(hands)
        assert hands.message() == "The disk is gone."


@in_terminal
async def test_leaving_ends_the_reading_of_logbooks(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A shop of endless logbooks: keys are answered meanwhile, and Escape ends the reading."""
    ended: list[int] = []

    def endless(shop: Shop, day: object, *, progress: object) -> None:
        done = 0
        try:
            while True:
                done += 1
                progress(done, 10**9)  # type: ignore[operator]
        finally:
            ended.append(done)

    monkeypatch.setattr(figures_module, "shop_figures", endless)
    async with at_the_keys(ready_shop(tmp_path)) as hands:
        hands.app.push_screen(FiguresPage())
        while "logbooks   Esc leaves" not in hands.text():
            await hands.pilot.pause(0.01)
        await hands.press("escape")
        assert hands.page == "DueListPage"
        await hands._until(lambda: bool(ended))
