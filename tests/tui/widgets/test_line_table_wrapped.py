"""A row that goes on in rows below is seen with them, to the last one, wherever in the table it stands."""

from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from pathlib import Path

import pytest
from textual.app import App, ComposeResult
from textual.pilot import Pilot

from fieldlog.tui.app import STYLES
from fieldlog.tui.screens.text_page import TextPage
from fieldlog.tui.widgets.line_table import Column, LineTable, Row, wrap_rows
from tests.tui.builder import NARROW, WIDE, at_the_keys, in_terminal, ready_shop

LONG = " ".join(f"word{number}" for number in range(40))
MANY_LINES = LONG * 20  # longer than a window of 120 x 40


class _Table(App[None]):
    CSS_PATH = STYLES

    def __init__(self, rows: list[Row]) -> None:
        super().__init__()
        self.start = rows

    def compose(self) -> ComposeResult:
        yield LineTable((Column(title="", width=6), Column(title="")), title=False)

    def on_mount(self) -> None:
        table = self.query_one(LineTable)
        table.set_rows(self.start)
        table.focus()


@asynccontextmanager
async def _shown(rows: list[Row]) -> AsyncIterator[tuple[_Table, Pilot[None]]]:
    app = _Table(rows)
    async with app.run_test(size=(40, 12)) as pilot:
        await pilot.pause()
        yield app, pilot


def _in_sight(app: _Table) -> str:
    strips = app.screen._compositor.render_strips()
    return "\n".join("".join(segment.text for segment in strip) for strip in strips)


@pytest.mark.parametrize("key", ["end", "down"])
@in_terminal
async def test_the_last_words_of_the_last_row_are_reached(key: str) -> None:
    rows = [Row(key=f"k{place}", cells=("row", f"place {place}")) for place in range(20)]
    rows.append(Row(key="long", cells=("last", LONG)))
    async with _shown(wrap_rows(rows, 40, 6)) as (app, pilot):
        assert "word39" not in _in_sight(app)
        await pilot.press(*([key] * 20))
        await pilot.pause()
        assert "word39" in _in_sight(app)
        assert "last" in _in_sight(app), "the row itself stays in sight"


@in_terminal
async def test_of_a_row_longer_than_the_window_its_beginning_is_seen() -> None:
    rows = [Row(key="k", cells=("row", "short")), Row(key="long", cells=("long", f"{LONG} {LONG} {LONG}"))]
    async with _shown(wrap_rows(rows, 40, 6)) as (app, pilot):
        await pilot.press("down")
        await pilot.pause()
        assert _in_sight(app).startswith("long")


@pytest.mark.parametrize("size", [NARROW, WIDE])
@pytest.mark.parametrize(
    "text", [MANY_LINES, f"short\n{MANY_LINES}"], ids=["one long row", "a short row first"]
)
@in_terminal
async def test_every_line_of_a_page_of_text_is_reached(
    tmp_path: Path, size: tuple[int, int], text: str
) -> None:
    async with at_the_keys(ready_shop(tmp_path), size=size) as hands:
        hands.app.push_screen(
            TextPage("A title", [*text.split("\n"), "the very end " + "of it " * 40 + "all"])
        )
        await hands.settle()
        await hands.press("end")
        assert "all" in hands.flat().split("Tag F2")[0].split()
        await hands.press("home")
        seen = set(hands.flat().split())
        for _ in range(len(hands.table().rows)):
            await hands.press("down")
            seen |= set(hands.flat().split())
        assert {"the", "end", "all"} <= seen
        assert hands.table().cursor == len(hands.table().rows) - 1
