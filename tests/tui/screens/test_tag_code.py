"""The tag on the screen, scanned from a real pseudo-terminal and from the app at every size."""

import sys
import time
from pathlib import Path

import pytest
from rich.color import ColorSystem

from fieldlog.tui.screens.tag_code import TagCodePage
from tests.operations.worn_chains import worn_shop
from tests.tui.builder import NARROW, WIDE, at_the_keys, in_terminal
from tests.tui.screen_picture import codes_in, picture_of, through_pyte
from tests.tui.terminal import CTRL_Q, PATIENCE_S, Terminal

SHOW = """
import sys
from datetime import datetime, UTC
from pathlib import Path
from fieldlog.operations.shop import open_shop
from fieldlog.tui.app import FieldlogApp
from fieldlog.tui.screens.tag_code import TagCodePage
clock = lambda: datetime(2026, 11, 25, tzinfo=UTC)
app = FieldlogApp(open_shop(Path(sys.argv[1])), login="", clock=clock, by="Ada Fenn")
app.call_later(lambda: app.call_after_refresh(lambda: app.push_screen(TagCodePage(sys.argv[2], plain=False))))
app.run(mouse=False)
"""


@pytest.mark.parametrize(
    "environment",
    [{"TERM": "xterm-256color"}, {"TERM": "xterm-256color", "NO_COLOR": "1"}, {"TERM": "linux"}],
)
def test_the_code_is_scanned_from_a_terminal_of_80x24(tmp_path: Path, environment: dict[str, str]) -> None:
    """pyte keeps the screen, zxing-cpp reads it."""
    _, tag = worn_shop(tmp_path)
    terminal = Terminal([sys.executable, "-c", SHOW, str(tmp_path), tag], cwd=tmp_path, **environment)
    try:
        terminal.until(f"the code says FL:{tag}", "Tag")
        assert _scanned(terminal) == [f"FL:{tag}"]
        terminal.type(CTRL_Q)
        assert terminal.ended() == 0
    finally:
        terminal.child.close(force=True)


def _scanned(terminal: Terminal) -> list[str]:
    """What a scanner held to the screen reads, once all of the page has arrived."""
    deadline = time.monotonic() + PATIENCE_S
    while not (found := codes_in(picture_of(terminal.screen))) and time.monotonic() < deadline:
        assert terminal._read()
    return found


@pytest.mark.parametrize("size", [NARROW, WIDE, (200, 60)])
@in_terminal
async def test_words_and_code_at_every_size(tmp_path: Path, size: tuple[int, int]) -> None:
    shop, tag = worn_shop(tmp_path)
    async with at_the_keys(shop, size=size) as hands:
        hands.app.push_screen(TagCodePage(tag, plain=False))
        await hands.settle()
        assert hands.heading() == f"{tag}   tag on the screen"
        assert f"Scan it from here: the code says FL:{tag}." in hands.text()
        assert codes_in(picture_of(through_pyte(hands.app, ColorSystem.EIGHT_BIT))) == [f"FL:{tag}"]
        await hands.press("escape")
        assert hands.page == "DueListPage"


@in_terminal
async def test_in_plain_signs_80x24_has_no_room_and_says_so(tmp_path: Path) -> None:
    shop, tag = worn_shop(tmp_path)
    async with at_the_keys(shop) as hands:
        hands.app.push_screen(TagCodePage(tag, plain=True))
        await hands.settle()
        assert "The code does not fit here: in plain signs it needs 58 columns and 29 lines" in hands.flat()
        assert hands.text().isascii()
