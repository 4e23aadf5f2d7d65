"""A table drawn line by line: the cursor skips headings, stays in sight and on its row, and is told."""

from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from typing import Any

import pytest
from textual.app import App, ComposeResult
from textual.pilot import Pilot
from textual.widgets import Label

from fieldlog.tui.app import STYLES
from fieldlog.tui.widgets.line_table import CONTINUED, Column, LineTable, Row, wrap_rows
from tests.tui.builder import in_terminal

COLUMNS = (Column(title="Tag", width=6), Column(title="Where"))


def _rows(count: int, headings: tuple[int, ...] = ()) -> list[Row]:
    return [
        Row(
            key=f"k{place}",
            cells=(f"t{place}", f"place {place}"),
            tone="heading" if place in headings else "plain",
            selectable=place not in headings,
        )
        for place in range(count)
    ]


class _OneTable(App[None]):
    CSS_PATH = STYLES

    def __init__(self, rows: list[Row], **options: Any) -> None:
        super().__init__()
        self.table = LineTable(COLUMNS, **options)
        self.start = rows
        self.told: list[str] = []

    def compose(self) -> ComposeResult:
        yield Label("above")
        yield self.table

    def on_mount(self) -> None:
        self.table.set_rows(self.start)
        self.table.focus()

    def on_line_table_moved(self, event: LineTable.Moved) -> None:
        self.told.append(event.key)

    def on_line_table_chosen(self, event: LineTable.Chosen) -> None:
        self.told.append(f"chosen {event.key}")


@asynccontextmanager
async def _shown(rows: list[Row], **options: Any) -> AsyncIterator[tuple[_OneTable, Pilot[None]]]:
    app = _OneTable(rows, **options)
    async with app.run_test(size=(40, 12)) as pilot:
        await pilot.pause()
        yield app, pilot


def _lines(app: App[None]) -> list[str]:
    return ["".join(s.text for s in strip).rstrip() for strip in app.screen._compositor.render_strips()]


@in_terminal
async def test_keys_move_the_cursor_over_headings_and_tell_the_row() -> None:
    async with _shown(_rows(9, headings=(0, 3))) as (app, pilot):
        assert app.table.current_key == "k1"
        await pilot.press("down", "down", "k", "j", "end", "down", "home", "up", "enter")
        assert app.told == ["k2", "k4", "k2", "k4", "k8", "k1", "chosen k1"]


@in_terminal
async def test_the_cursor_stays_in_sight_and_the_title_on_top() -> None:
    async with _shown(_rows(50)) as (app, pilot):
        assert _lines(app)[1:3] == ["Tag    Where", "t0     place 0"]
        await pilot.press("end")
        assert _lines(app)[1] == "Tag    Where"
        assert _lines(app)[-1].startswith("t49    place 49")
        await pilot.press("pageup")
        assert any(line.startswith(f"{app.table.current_key.replace('k', 't')} ") for line in _lines(app))
        await pilot.press("home")
        assert _lines(app)[2].startswith("t0 ")
        await pilot.resize_terminal(40, 5)
        await pilot.press("end")
        assert _lines(app)[-1].startswith("t49 ")


@in_terminal
async def test_other_rows_keep_the_cursor_on_the_same_key_where_it_is_still_there() -> None:
    async with _shown(_rows(5)) as (app, pilot):
        await pilot.press("down", "down")
        app.table.set_rows(list(reversed(_rows(5))))
        assert app.table.current_key == "k2"
        app.table.set_rows(_rows(2))
        assert app.table.current_key == "k1"
        app.table.set_rows([])
        assert app.table.current_key == ""
        await pilot.press("down", "up", "end", "enter", "pagedown")
        app.table.set_rows(_rows(3))
        assert app.table.current_key == "k0"
        app.table.move_to("k2")
        assert app.table.current_key == "k2"
        app.table.move_to("nowhere")
        assert app.table.current_key == "k2"


@in_terminal
async def test_a_table_that_opens_nothing_does_not_answer_enter() -> None:
    async with _shown(_rows(2), opens=False, title=False) as (app, pilot):
        await pilot.press("enter", "down")
        assert app.told == ["k1"]
        assert _lines(app)[1] == "t0     place 0"


@in_terminal
async def test_wide_letters_and_line_breaks_do_not_push_the_columns() -> None:
    rows = [Row(key="a", cells=("名前", "one\ntwo")), Row(key="b", cells=("longer than six", "x" * 80))]
    async with _shown(rows) as (app, _):
        assert _lines(app)[2] == "名前   one two"
        assert _lines(app)[3].startswith("longer xxxx")
        assert all(len(line) <= 40 for line in _lines(app))


def test_long_cells_go_on_in_rows_below_that_can_not_be_chosen() -> None:
    text = "SW-0001-0 hangs in the intake hall at bay 2 over the grit channel"
    (row,) = [Row(key="a", cells=("State", text), tone="bad")]
    wrapped = wrap_rows([row], 40, 11)
    assert [part.key for part in wrapped] == ["a", f"a{CONTINUED}0", f"a{CONTINUED}1"]
    assert [part.selectable for part in wrapped] == [True, False, False]
    assert [part.cells[0] for part in wrapped] == ["State", "", ""]
    assert " ".join(part.cells[1] for part in wrapped) == text
    assert all(len(part.cells[1]) <= 40 - 11 - 1 for part in wrapped)
    assert {part.tone for part in wrapped} == {"bad"}


@pytest.mark.parametrize("text", ["", "short", "DOE-STD-1090-96 " * 2 + "SW-0001-0"])
def test_tags_and_standards_are_not_broken_at_their_dashes(text: str) -> None:
    (first, *rest) = wrap_rows([Row(key="a", cells=("", text))], 36, 11)
    words = " ".join(part.cells[1] for part in (first, *rest)).split()
    assert words == text.split()


def test_a_heading_is_never_wrapped() -> None:
    heading = Row(key="h", cells=("x" * 90,), tone="heading", selectable=False)
    assert wrap_rows([heading], 40) == [heading]
