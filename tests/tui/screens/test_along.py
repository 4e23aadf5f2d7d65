"""Wear along the chain: a bar for each place with limit, share and verdict in words, last time's below it."""

from pathlib import Path

import pytest

from fieldlog.tui.screens.along import AlongPage, bar_columns
from tests.operations.worn_chains import STEADY, fit_chain, gauge, worn_shop
from tests.tui.builder import NARROW, WIDE, at_the_keys, in_terminal


@pytest.mark.parametrize("size", [NARROW, WIDE])
@pytest.mark.parametrize("plain", [False, True])
@in_terminal
async def test_bars_marks_and_words(tmp_path: Path, size: tuple[int, int], plain: bool) -> None:
    """0.9, 0.2 and 0.1 of 2.475 mm are 36.4, 8.1 and 4.0 %; last time the worst was 0.6, 24.2 %."""
    shop, tag = worn_shop(tmp_path, *STEADY)
    async with at_the_keys(shop, size=size) as hands:
        hands.app.push_screen(AlongPage(tag, plain=plain))
        await hands.settle()
        assert hands.heading() == f"{tag}   wear along the chain   2026-11-25"
        assert "worst at usual working height: grown 0.9 of 2.475 mm, 36 %." in hands.flat()
        assert "Last time: 2025-04-10 (worst 24 %)." in hands.flat()
        now, before, limit = "#-|" if plain else "█░┃"
        lines = {line[:22].strip(): line for line in hands.lines()}
        worst, other = lines["usual working height"], lines["stop end"]
        assert worst.endswith("0.9 mm 36 % + keep")
        assert other.endswith("0.1 mm 4 % + keep")
        assert lines["hook end"].endswith("0.2 mm 8 % + keep")
        # the scale goes to 110 %
        columns = bar_columns(size[0])
        assert worst.count(now) == round(36.36 / 110 * columns)
        assert other.count(now) == max(round(4.04 / 110 * columns), 1)
        last = hands.lines()[hands.lines().index(worst) + 1]
        assert last.startswith("  last time")
        assert last.endswith("0.6 mm 24 %")
        assert last.count(before) == round(24.24 / 110 * columns)
        assert {line.index(limit, 23) for line in (worst, last, other)} == {23 + round(100 / 110 * columns)}
        assert hands.text().isascii() is plain


@in_terminal
async def test_it_follows_the_window_and_escape_leads_back(tmp_path: Path) -> None:
    shop, tag = worn_shop(tmp_path, *STEADY)
    async with at_the_keys(shop) as hands:
        hands.app.push_screen(AlongPage(tag, plain=True))
        await hands.settle()
        narrow = hands.text().count("#")
        await hands.pilot.resize_terminal(200, 60)
        await hands.settle()
        assert hands.text().count("#") > 3 * narrow
        await hands.press("escape")
        assert hands.page == "DueListPage"


@in_terminal
async def test_nothing_to_draw_and_a_gauge_are_said(tmp_path: Path) -> None:
    shop, tag = worn_shop(tmp_path)
    async with at_the_keys(shop) as hands:
        page = AlongPage(tag)
        hands.app.push_screen(page)
        await hands.settle()
        assert "Nothing to draw yet: this chain was not measured since 2025-01-10." in hands.flat()
        gauge(shop, tag, 10)
        page.show_rows()
        await hands.settle()
        assert "read without a length, so there is no bar to draw." in hands.flat()
        assert hands.table().rows[0].cells == ("usual working height", "", "gauge: gap")
        fit_chain(shop, tag, 20)
        page.show_rows()
        await hands.settle()
        assert hands.table().rows == []
