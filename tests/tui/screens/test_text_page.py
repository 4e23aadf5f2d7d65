"""Plain lines are wrapped to the window and never lost behind its edge."""

from pathlib import Path

from fieldlog.tui.screens.text_page import TextPage
from tests.tui.builder import WIDE, at_the_keys, in_terminal, ready_shop

LONG = "The upper guide presses the chain into the pockets; " * 4


@in_terminal
async def test_long_lines_wrap_to_the_window_and_again_when_it_changes(tmp_path: Path) -> None:
    async with at_the_keys(ready_shop(tmp_path)) as hands:
        hands.app.push_screen(TextPage("A title", ["first", LONG.strip(), "last"]))
        await hands.settle()
        assert hands.heading() == "A title"
        assert " ".join(LONG.split()) in hands.flat()
        narrow = len(hands.table().rows)
        await hands.pilot.resize_terminal(*WIDE)
        await hands.settle()
        assert " ".join(LONG.split()) in hands.flat()
        assert len(hands.table().rows) < narrow


@in_terminal
async def test_more_lines_than_the_window_has_are_reached_with_the_keys(tmp_path: Path) -> None:
    async with at_the_keys(ready_shop(tmp_path)) as hands:
        hands.app.push_screen(TextPage("A title", [f"line {number}" for number in range(60)]))
        await hands.settle()
        assert "line 59" not in hands.text()
        await hands.press("end")
        assert "line 59" in hands.text()
        await hands.press("home")
        assert "line 0" in hands.text()
        await hands.press("escape")
        assert hands.page == "DueListPage"
