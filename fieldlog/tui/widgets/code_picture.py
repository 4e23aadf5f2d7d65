"""A QR code on the screen: black on white with its quiet zone, whatever the theme, to be scanned from it.

Two signs of a terminal are about as wide as one line is high, so a module is either two blanks in a line or
half a line high.
"""

import textwrap
from collections.abc import Sequence
from typing import ClassVar

from rich.segment import Segment
from rich.style import Style
from textual.strip import Strip
from textual.widget import Widget

BLACK, WHITE = "#000000", "#ffffff"
DARK = Style(color=WHITE, bgcolor=BLACK)
# Reverse video tells light from dark even on a terminal that knows no colours.
LIGHT = Style(color=WHITE, bgcolor=BLACK, reverse=True)
BLANK, FULL = "  ", "█"


class CodePicture(Widget):
    """The code for one text, as large as the window allows; where it does not fit, a sentence says so."""

    DEFAULT_CSS: ClassVar[str] = "CodePicture { height: 1fr; width: 100%; padding: 0 1; }"

    def __init__(self, text: str, *, plain: bool = False, id: str | None = None) -> None:
        super().__init__(id=id)
        self.text = text
        self.plain = plain
        self._strips: list[Strip] = []

    def on_resize(self) -> None:
        """Draw for the new size."""
        self._strips = self._drawn(self.size.width, self.size.height)
        self.refresh()

    def _drawn(self, columns: int, lines: int) -> list[Strip]:
        rows = code_rows(self.text)
        side = len(rows)
        if len(BLANK) * side <= columns and side <= lines:
            return [_blanks(row) for row in rows]
        if not self.plain and side <= columns and (side + 1) // 2 <= lines:
            return [_halves(line) for line in half_blocks(self.text)]
        return [Strip([Segment(line, self.rich_style)]) for line in self._too_small(side, columns, lines)]

    def _too_small(self, side: int, columns: int, lines: int) -> list[str]:
        wide, high = (len(BLANK) * side, side) if self.plain else (side, (side + 1) // 2)
        how = "in plain signs " if self.plain else ""
        sentence = (
            f"The code does not fit here: {how}it needs {wide} columns and {high} lines, there are {columns}"
            f" and {lines}. Make the window larger, or print the tag."
        )
        return textwrap.wrap(sentence, max(columns, 20))

    def render_line(self, y: int) -> Strip:
        """One line of the code, with the page's ground on its right."""
        if y >= len(self._strips):
            return Strip.blank(self.size.width, self.rich_style)
        return self._strips[y].adjust_cell_length(self.size.width, self.rich_style)


def code_rows(text: str) -> Sequence[Sequence[bool]]:
    """The modules with the quiet zone around them, row by row, True for a dark one."""
    from fieldlog.printing.qr import QUIET_MODULES, matrix  # noqa: PLC0415 (few pages need it)

    inner = matrix(text)
    blank = (False,) * QUIET_MODULES
    side = (False,) * (len(inner) + 2 * QUIET_MODULES)
    return [*[side] * QUIET_MODULES, *((*blank, *row, *blank) for row in inner), *[side] * QUIET_MODULES]


def half_blocks(text: str) -> list[str]:
    """Two modules in a line, one above the other: light ones are blocks in white on black."""
    from fieldlog.printing.qr import terminal_lines  # noqa: PLC0415

    return terminal_lines(text)


def _halves(line: str) -> Strip:
    """Full blocks as blanks in reverse: a font may leave a gap between blocks, a ground leaves none."""
    return Strip([Segment(" ", LIGHT) if sign == FULL else Segment(sign, DARK) for sign in line]).simplify()


def _blanks(row: Sequence[bool]) -> Strip:
    return Strip([Segment(BLANK, DARK if dark else LIGHT) for dark in row]).simplify()
