"""A picture is drawn for the size it has, and anew when that changes."""

from pathlib import Path

from textual.app import ComposeResult

from fieldlog.tui.page import Page
from fieldlog.tui.widgets.picture import Picture
from tests.tui.builder import WIDE, at_the_keys, in_terminal, ready_shop


class _Drawn(Page):
    def body(self) -> ComposeResult:
        yield Picture(id="drawn")


@in_terminal
async def test_it_is_drawn_for_its_size_and_again_for_another(tmp_path: Path) -> None:
    async with at_the_keys(ready_shop(tmp_path)) as hands:
        page = _Drawn()
        hands.app.push_screen(page)
        await hands.settle()
        picture = page.query_one(Picture)
        picture.show(lambda columns, lines: [f"{columns} by {lines}", "x" * 300])
        await hands.settle()
        assert "78 by 20" in hands.text()
        assert " " + "x" * 78 in hands.lines()
        await hands.pilot.resize_terminal(*WIDE)
        await hands.settle()
        assert "118 by 36" in hands.text()
        picture.show(None)
        await hands.settle()
        assert "118 by 36" not in hands.text()
