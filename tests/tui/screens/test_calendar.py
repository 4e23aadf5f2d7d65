"""The calendar of what is due: the month in words, the days, the list of a day and the way to a hoist."""

from datetime import date
from pathlib import Path

import pytest

from fieldlog.operations.shop import Shop
from fieldlog.tui.screens.calendar import CalendarPage
from fieldlog.tui.widgets.month_grid import MonthGrid
from tests.operations.builder import inspect, ready_shop, register
from tests.tui.builder import NARROW, WIDE, at_the_keys, in_terminal


def busy(root: Path) -> Shop:
    """By the calendar rule from 2026-10-27 and 2026-11-04: due on 2026-11-27 and 2026-12-04, and in a year.

    A third, done last on 2026-10-20, is overdue since 2026-11-20, and a fourth waits for its first use.
    """
    shop = ready_shop(root)
    for place, day in (("bay 1", (10, 27)), ("bay 2", (11, 4)), ("bay 3", (10, 20))):
        done = date(2026, *day)
        inspect(shop, register(shop, day=done, serial=place, place=place).id, day=done)
    register(shop, day=date(2026, 11, 25), serial="4", place="bay 4")
    return shop


@pytest.mark.parametrize("size", [NARROW, WIDE])
@in_terminal
async def test_the_month_its_days_and_the_list_of_a_day(tmp_path: Path, size: tuple[int, int]) -> None:
    async with at_the_keys(busy(tmp_path), size=size) as hands:
        hands.app.push_screen(CalendarPage())
        await hands.settle()
        assert hands.heading() == "Due by day   today 2026-11-25"
        assert "2026-11: 3 inspections on 3 days, 3 hoists; 1 overdue." in hands.text()
        (week,) = [line for line in hands.lines() if line.startswith(" W48")]
        assert week.split() == ["W48", "23", "24", "[25*]1", "26", "27", "1", "28", "29"]
        assert "20  1!" in hands.text()
        assert "2026-11-25, Wed: 1 inspection due; Enter leads to the list, then to the hoist" in hands.text()
        assert [row.cells[:2] for row in hands.table().rows] == [("SW-0004-U", "before first use")]
        await hands.press("right", "right")
        assert "2026-11-27, Fri: 1 inspection due" in hands.text()
        assert "SW-0001-0  frequent         intake hall, bay 1  Fenwright LC 500" in hands.text()
        await hands.press("right")
        assert "2026-11-28, Sat: nothing is due" in hands.text()
        assert hands.table().rows == []
        assert hands.text().isascii()


@in_terminal
async def test_an_overdue_one_says_so_in_the_list(tmp_path: Path) -> None:
    async with at_the_keys(busy(tmp_path)) as hands:
        hands.app.push_screen(CalendarPage(date(2026, 11, 20)))
        await hands.settle()
        assert hands.table().rows[0].cells == (
            "SW-0003-W",
            "frequent",
            "intake hall, bay 3  Fenwright LC 500",
            "! overdue",
        )
        assert "! overdue" in hands.text()


@in_terminal
async def test_other_months_count_what_is_overdue_from_before(tmp_path: Path) -> None:
    async with at_the_keys(busy(tmp_path)) as hands:
        hands.app.push_screen(CalendarPage())
        await hands.settle()
        await hands.press("pagedown")
        assert "2026-12: 1 inspection on 1 day, 1 hoist; 0 overdue, 1 from before." in hands.text()
        await hands.press("pagedown")
        assert "2027-01: nothing is due. The next after it: 2027-10-20." in hands.text()
        await hands.press("home")
        await hands.press("pageup", "pageup")
        assert "2026-09: nothing is due. The next after it: 2026-11-20." in hands.text()
        hands.screen.query_one(MonthGrid).day = date(2028, 1, 1)
        await hands.press("right")
        assert "2028-01: nothing is due. The last before it: 2027-11-04." in hands.text()


@in_terminal
async def test_enter_leads_to_the_list_and_to_the_hoist_and_escape_back(tmp_path: Path) -> None:
    async with at_the_keys(busy(tmp_path)) as hands:
        hands.app.push_screen(CalendarPage())
        await hands.settle()
        await hands.press("left", "enter")
        assert hands.message() == "Nothing is due on 2026-11-24."
        await hands.press("right", "right", "right", "enter")
        assert hands.table().has_focus
        await hands.press("escape")
        assert isinstance(hands.screen.focused, MonthGrid)
        await hands.press("enter", "enter")
        assert hands.page == "HoistPage"
        assert hands.heading().startswith("SW-0001-0")
        await hands.press("escape")
        assert hands.page == "CalendarPage"
        await hands.press("escape", "escape")
        assert hands.page == "DueListPage"


@in_terminal
async def test_an_empty_shop_says_so(tmp_path: Path) -> None:
    async with at_the_keys(ready_shop(tmp_path)) as hands:
        hands.app.push_screen(CalendarPage())
        await hands.settle()
        assert "2026-11: nothing is due. No hoist is due." in hands.text()
