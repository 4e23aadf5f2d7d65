"""The grid of a month: what stands on a day, how the cursor goes, and what it tells."""

from datetime import date
from pathlib import Path

import pytest
from textual.app import ComposeResult

from fieldlog.operations.due_month import DueInspection, due_month
from fieldlog.tui.page import Page
from fieldlog.tui.widgets.month_grid import EARLIEST, LATEST, MonthGrid
from tests.tui.builder import TODAY, WIDE, at_the_keys, in_terminal, ready_shop


def due(day: date, *, overdue: bool = False) -> DueInspection:
    return DueInspection(
        id="SW-0001-0", name="", site="", place="", kind="frequent", due_on=day, overdue=overdue
    )


DUES = (due(date(2026, 11, 21), overdue=True), *[due(date(2026, 11, 27))] * 12, due(date(2026, 12, 1)))


class _Month(Page):
    """A page with a grid alone, which follows the cursor as the calendar does."""

    first_focus = "#month"

    def body(self) -> ComposeResult:
        yield MonthGrid(TODAY, TODAY, id="month")

    def on_mount(self) -> None:
        super().on_mount()
        self.told: list[tuple[str, date]] = []
        self.follow()

    def follow(self) -> None:
        grid = self.query_one(MonthGrid)
        grid.show(due_month(DUES, grid.day.year, grid.day.month))

    def on_month_grid_moved(self, event: MonthGrid.Moved) -> None:
        self.told.append(("moved", event.day))
        self.follow()

    def on_month_grid_chosen(self, event: MonthGrid.Chosen) -> None:
        self.told.append(("chosen", event.day))


@in_terminal
async def test_weeks_counts_overdue_today_and_cursor_in_signs(tmp_path: Path) -> None:
    async with at_the_keys(ready_shop(tmp_path)) as hands:
        hands.app.push_screen(_Month())
        await hands.settle()
        assert hands.lines()[1:8] == [
            "      Mon       Tue       Wed       Thu       Fri       Sat       Sun",
            " W44                                                               1",
            " W45   2         3         4         5         6         7         8",
            " W46   9        10        11        12        13        14        15",
            " W47  16        17        18        19        20        21  1!    22",
            " W48  23        24       [25*]      26        27  12    28        29",
            " W49  30",
        ]
        assert hands.text().isascii()
        await hands.pilot.resize_terminal(*WIDE)
        await hands.settle()
        assert hands.lines()[6] == (
            " W48  23            24           [25*]          26            27  12        28            29"
        )


@pytest.mark.parametrize(
    ("keys", "day"),
    [
        (("right",), date(2026, 11, 26)),
        (("left",), date(2026, 11, 24)),
        (("down",), date(2026, 12, 2)),
        (("up",), date(2026, 11, 18)),
        (("pagedown",), date(2026, 12, 25)),
        (("pageup",), date(2026, 10, 25)),
        (("down", "left", "left", "pagedown", "pagedown", "pagedown"), date(2027, 2, 28)),
        (("pagedown", "up", "home"), TODAY),
    ],
)
@in_terminal
async def test_the_cursor_goes_by_days_weeks_and_months(
    tmp_path: Path, keys: tuple[str, ...], day: date
) -> None:
    """The last but one: 2026-11-30 and three months on is the last of February, as dateutil clamps it."""
    async with at_the_keys(ready_shop(tmp_path)) as hands:
        page = _Month()
        hands.app.push_screen(page)
        await hands.settle()
        await hands.press(*keys)
        assert page.query_one(MonthGrid).day == day
        assert page.told[-1] == ("moved", day)
        assert f"[{day.day:2}" in hands.text()


@in_terminal
async def test_enter_tells_the_day_and_a_key_that_goes_nowhere_tells_nothing(tmp_path: Path) -> None:
    async with at_the_keys(ready_shop(tmp_path)) as hands:
        page = _Month()
        hands.app.push_screen(page)
        await hands.settle()
        await hands.press("home", "enter")
        assert page.told == [("chosen", TODAY)]


@pytest.mark.parametrize(("edge", "key"), [(EARLIEST, "pageup"), (LATEST, "pagedown")])
@in_terminal
async def test_it_ends_where_calendars_of_hoists_end(tmp_path: Path, edge: date, key: str) -> None:
    async with at_the_keys(ready_shop(tmp_path)) as hands:
        page = _Month()
        hands.app.push_screen(page)
        await hands.settle()
        page.query_one(MonthGrid).day = edge
        await hands.press(key)
        assert page.query_one(MonthGrid).day == edge
