"""Sending only what changed leaves the same window as sending all that Textual would.

pyte, a terminal in memory, stands for the technician's: one is fed with what Textual sends, one with what is
sent instead, and after every update both windows are compared, text and colours. The page of the tag is left
out: the two fixed colours of its code keep, in one process, the form in which a test drew them first.
"""

from pathlib import Path

import pyte
import pytest
from rich.console import Console
from textual._compositor import ChopsUpdate, CompositorUpdate, LayoutUpdate

from fieldlog.tui.thrift import Thrift
from tests.tui.builder import NARROW, WIDE, at_the_keys, in_terminal
from tests.tui.journeys import shop_with_work

DAY = (
    "jjkG/bay<backspace><enter><escape>",
    "<enter>jjj<f1>jjG<escape>d<escape>o<escape>",
    "i<enter>gm<ctrl+u>16<backspace>65.4<enter>168<enter><f4><escape><f10>",
    "to\u0144 \u6f22\u5b57 e\u0301 x<backspace><backspace><enter>gd<f3><escape><f10><escape><escape>",
    "w<f3>why<escape><escape>c<right><down><pagedown><escape><f9>vis<escape>nF<escape>",
)


class Compared(Thrift):
    """Keeps two windows: as Textual fills one, and as what is sent fills one."""

    def __init__(self, size: tuple[int, int]) -> None:
        super().__init__()
        self.windows = [pyte.Screen(*size), pyte.Screen(*size)]
        self.streams = [pyte.Stream(window) for window in self.windows]
        self.sent = [0, 0]
        self.updates = 0

    def sequences(self, update: CompositorUpdate, console: Console) -> str | None:
        thrifty = super().sequences(update, console)
        whole = update.render_segments(console)
        for place, text in enumerate((whole, whole if thrifty is None else thrifty)):
            self.streams[place].feed(text)
            self.sent[place] += len(text)
        self.updates += 1
        one, other = self.windows
        assert other.display == one.display, f"update {self.updates} shows other text"
        for line in range(one.lines):
            assert other.buffer[line] == one.buffer[line], f"update {self.updates}, line {line}"
        return thrifty


@pytest.mark.parametrize("size", [NARROW, pytest.param(WIDE, marks=pytest.mark.long)])
def test_the_window_is_the_same_as_if_everything_were_sent(size: tuple[int, int], tmp_path: Path) -> None:
    @in_terminal
    async def work() -> None:
        shop, tag = shop_with_work(tmp_path)
        async with at_the_keys(shop, size=size) as hands:
            compared = hands.app.thrift = Compared(size)
            hands.app.action_repaint()
            await hands.settle()
            hands.table().move_to(tag)
            for keys in DAY:
                for key in _one_by_one(keys):
                    await hands.type(key)
            assert compared.updates > 100
            assert compared.sent[1] < compared.sent[0] / 2
            assert "".join(compared.windows[1].display).strip()

    work()


def _one_by_one(keys: str) -> list[str]:
    found: list[str] = []
    while keys:
        end = keys.index(">") + 1 if keys.startswith("<") else 1
        found.append(keys[:end])
        keys = keys[end:]
    return found


def test_what_is_no_update_of_regions_is_left_to_textual_and_makes_the_next_one_whole() -> None:
    """After it nobody knows what stands in the window."""

    class Other(CompositorUpdate):
        def render_segments(self, console: Console) -> str:
            return ""

    thrift = Thrift()
    assert thrift.sequences(Other(), Console()) is None
    assert not isinstance(Other(), LayoutUpdate | ChopsUpdate)
