"""The wear plot of a hoist: its sentence, its signs, at both sizes and in both sets of signs."""

from datetime import timedelta
from pathlib import Path

import pytest

from fieldlog.tui.screens.trend import TrendPage
from tests.operations.worn_chains import STEADY, day_after, fit_chain, gauge, measure, worn_shop
from tests.tui.builder import NARROW, WIDE, at_the_keys, in_terminal

SENTENCE = "Grown 0.9 of 2.475 mm, 36 %, on 2025-07-09; meets the limit about 2026-10 (2026-10 to 2026-10)."


@pytest.mark.parametrize("size", [NARROW, WIDE])
@pytest.mark.parametrize("plain", [False, True])
@in_terminal
async def test_words_and_picture_say_the_same(tmp_path: Path, size: tuple[int, int], plain: bool) -> None:
    shop, tag = worn_shop(tmp_path, *STEADY)
    async with at_the_keys(shop, size=size) as hands:
        hands.app.push_screen(TrendPage(tag, plain=plain))
        await hands.settle()
        assert hands.heading() == f"{tag}   wear over time   2026-11-25"
        assert SENTENCE in hands.flat()
        assert "Theil-Sen line over 3 inspections; no verdict rests on it." in hands.flat()
        reading, limit = ("o", "=") if plain else ("●", "━")
        picture = [line for line in hands.lines() if line[12:13] in ("|", "│", "+", "┤")]
        assert sum(line[13:].count(reading) for line in picture) == 3
        (at_limit,) = [line for line in picture if "limit 100 %" in line]
        assert at_limit.count(limit) > 50
        assert any("watch 80 %" in line for line in picture)
        assert "2025-07" in hands.text().split("0 %")[-1]
        assert f"{reading} reading   {limit} limit" in hands.text()
        assert hands.text().isascii() is plain
        assert hands.lines()[-2].startswith(" Tag")


@in_terminal
async def test_it_is_drawn_anew_for_another_window_and_escape_leads_back(tmp_path: Path) -> None:
    shop, tag = worn_shop(tmp_path, *STEADY)
    async with at_the_keys(shop) as hands:
        hands.app.push_screen(TrendPage(tag, plain=True))
        await hands.settle()
        assert max(map(len, hands.lines())) <= 80
        await hands.pilot.resize_terminal(200, 60)
        await hands.settle()
        assert max(map(len, hands.lines())) > 180
        assert SENTENCE in hands.flat()
        await hands.press("escape")
        assert hands.page == "DueListPage"


@pytest.mark.parametrize("size", [NARROW, WIDE])
@in_terminal
async def test_another_chain_starts_anew_and_nothing_to_draw_is_said(
    tmp_path: Path, size: tuple[int, int]
) -> None:
    shop, tag = worn_shop(tmp_path, *STEADY)
    fit_chain(shop, tag, 200)
    async with at_the_keys(shop, size=size) as hands:
        page = TrendPage(tag, plain=True)
        hands.app.push_screen(page)
        await hands.settle()
        assert (
            "Nothing to draw yet: no length of this chain was measured since 2025-07-29."
            " Chain 2, 5 x 15 mm, on the hoist since 2025-07-29." in hands.flat()
        )
        assert "reading" not in hands.text()
        measure(shop, tag, 290, "0.3")
        page.show_rows()
        await hands.settle()
        assert "Grown 0.3 of 2.475 mm, 12 %, on 2025-10-27; no trend yet." in hands.flat()
        assert (day_after(290) + timedelta(days=30)).isoformat()[:7] == "2025-11"
        assert "2025-11" in hands.text()


@in_terminal
async def test_a_chain_checked_by_gauge_says_why_there_is_no_picture(tmp_path: Path) -> None:
    shop, tag = worn_shop(tmp_path)
    gauge(shop, tag, 10)
    async with at_the_keys(shop) as hands:
        hands.app.push_screen(TrendPage(tag))
        await hands.settle()
        assert "this chain is checked with a go/no-go gauge, which gives no length" in hands.flat()
