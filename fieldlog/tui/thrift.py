"""Sends only the cells that changed: Textual sends every region that was touched, changed or not.

Over a slow line a key of a reading costs a few hundred bytes instead of several thousand. What stands in the
window is kept here as it was sent; `forget` after anything else may have written there. This reaches into
Textual's compositor, hence the exact pin of Textual; tests compare the window with what Textual itself sends.
"""

from collections.abc import Iterator
from functools import lru_cache

from rich.cells import get_character_cell_size
from rich.color import ColorSystem
from rich.console import Console
from rich.control import Control
from rich.style import Style
from textual._compositor import ChopsUpdate, CompositorUpdate, LayoutUpdate
from textual.strip import Strip

NEAR = 6  # cells that stayed the same cost less than going round them
Cell = tuple[str, str]
RIGHT_HALF = ("", "")  # of a character that is two cells wide


@lru_cache(maxsize=1024)
def _look(style: Style | None, colours: ColorSystem) -> str:
    """What makes a style look as it does; links and the like are left out by rendering it."""
    return "" if style is None else Strip.render_style(style, "x", color_system=colours)


def _pieces(update: CompositorUpdate) -> Iterator[tuple[int, int, Strip]]:
    """Every strip of an update with where it goes."""
    if isinstance(update, LayoutUpdate):
        for y, line in enumerate(update.strips, update.region.y):
            x = update.region.x
            for strip in line:
                yield x, y, strip
                x += strip.cell_length
    elif isinstance(update, ChopsUpdate):
        for y, x1, x2 in update.spans:
            for end, (x, chop) in zip(update.chop_ends[y], update.chops[y].items(), strict=False):
                if chop is not None and x <= x2 and end > x1:
                    yield x, y, chop if x >= x1 and end <= x2 else chop.crop(0, min(end, x2) - x)


def _cells(strip: Strip, colours: ColorSystem) -> list[Cell]:
    found: list[Cell] = []
    for text, style, control in strip:
        if control:
            continue
        look = _look(style, colours)
        if text.isascii():
            found += [(letter, look) for letter in text]
            continue
        for letter in text:
            width = get_character_cell_size(letter)
            if width:
                found += [(letter, look), RIGHT_HALF][:width]
            elif found:
                found[-1] = (found[-1][0] + letter, look)
    return found


def _runs(before: list[Cell], now: list[Cell]) -> Iterator[tuple[int, int]]:
    """From where to where cells differ; runs that lie near each other are one."""
    start = end = -1
    for place, cell in enumerate(now):
        if place < len(before) and before[place] == cell:
            continue
        if start >= 0 and place - end > NEAR:
            yield start, end
            start = -1
        if start < 0:
            start = place
        end = place + 1
    if start >= 0:
        yield start, end


class Thrift:
    """What stands in the window, and what has to be sent to change it."""

    def __init__(self) -> None:
        self._lines: dict[int, list[Cell]] = {}

    def forget(self) -> None:
        """Nobody knows what stands in the window; everything is sent next time."""
        self._lines.clear()

    def sequences(self, update: CompositorUpdate, console: Console) -> str | None:
        """What to send for an update, or None for one that is sent as Textual would."""
        if not isinstance(update, LayoutUpdate | ChopsUpdate):
            self.forget()
            return None
        colours = console._color_system or ColorSystem.TRUECOLOR
        sent: list[str] = []
        for x, y, strip in _pieces(update):
            line = self._lines.setdefault(y, [])
            line += [("\0", "")] * (x - len(line))
            now = _cells(strip, colours)
            for start, end in _runs(line[x : x + len(now)], now):
                first = start
                while first > 0 and now[first] == RIGHT_HALF:
                    first -= 1
                sent.append(Control.move_to(x + first, y).segment.text)
                sent.append(strip.crop(first, end).render(console))
            line[x : x + len(now)] = now
        return "".join(sent)


class Sent(CompositorUpdate):
    """An update whose bytes are worked out already."""

    def __init__(self, sequences: str) -> None:
        self._sequences = sequences

    def render_segments(self, console: Console) -> str:
        """The bytes."""
        del console
        return self._sequences
