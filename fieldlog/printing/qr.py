"""QR codes: from a text to modules, to rectangles in a PDF, to lines on a terminal.

Source of the symbol: ISO/IEC 18004, alphanumeric mode, error correction level Q (about 25 % of the symbol
may be lost). Level Q keeps a tag's text in the smallest symbol, version 1, up to 16 characters.
"""

from collections.abc import Sequence
from decimal import Decimal
from typing import Any

from fieldlog.errors import InputError
from fieldlog.printing.qr_masks import best_symbol

ALPHANUMERIC = frozenset("0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ $%*+-./:")
LONGEST = 2420  # characters in version 40 at level Q: ISO/IEC 18004, table of capacities (from memory)

SMALLEST_SYMBOL = 21
"""Modules along one side of version 1."""

QUIET_MODULES = 4
"""Blank modules wanted on every side of a symbol (ISO/IEC 18004)."""

Matrix = tuple[tuple[bool, ...], ...]
Rectangle = tuple[int, int, int, int]


def matrix(text: str) -> Matrix:
    """The symbol for `text`, row by row from the top, True for a dark module, without its quiet zone.

    Raises InputError for an empty text, for one with characters outside the alphanumeric set (capitals,
    digits, space and $%*+-./:) and for one that no symbol holds.
    """
    strange = sorted(set(text) - ALPHANUMERIC)
    if not text or strange:
        why = f"it has {', '.join(map(repr, strange))}" if strange else "it is empty"
        raise InputError(
            f"{text[:40]!r} can not be a code: {why}; capitals, digits, space and $%*+-./: are possible."
        )
    if len(text) > LONGEST:
        raise InputError(f"A code holds {LONGEST} characters at the most, not {len(text)}.")
    return best_symbol(text)


def rectangles(modules: Matrix) -> tuple[Rectangle, ...]:
    """The dark modules as few rectangles (column, row, width, height), in modules from the upper left.

    Neighbours in a row are one rectangle, and equal runs in rows that follow each other are one.
    """
    done: list[Rectangle] = []
    above: dict[tuple[int, int], int] = {}
    for row, cells in enumerate((*modules, ())):
        runs = _runs(cells)
        done += [(x, first, w, row - first) for (x, w), first in above.items() if (x, w) not in runs]
        above = {run: above.get(run, row) for run in runs}
    return tuple(done)


def draw(canvas: Any, modules: Matrix, *, left: float, top: float, module: float) -> None:
    """Draw the symbol on a reportlab canvas, its upper left corner at `left`, `top` [points].

    `module` is the side of a module [points]. All modules are one path, so that no hair lines show between
    them. It is given in PDF's own operators (ISO 32000-1, 8.5.2: re, f*), which takes a fifth of the time of
    reportlab's paths: in modules all figures are whole numbers.
    """
    boxes = " ".join(f"{x} {y} {w} {h} re" for x, y, w, h in rectangles(modules))
    canvas.addLiteral(f"q {module:.5f} 0 0 {-module:.5f} {left:.3f} {top:.3f} cm {boxes} f* Q")


def symbol_side(modules: int, module_mm: Decimal) -> Decimal:
    """Side of a symbol [mm] of so many modules, without its quiet zone."""
    return modules * module_mm


def terminal_lines(text: str) -> list[str]:
    """The code for `text` in half blocks, two modules a character high, with its quiet zone.

    Light modules are the blocks, dark ones are blank: to be shown as white on black, whatever the theme.
    """
    inner = matrix(text)
    blank = (False,) * QUIET_MODULES
    side = len(inner) + 2 * QUIET_MODULES
    margin = [(False,) * side] * QUIET_MODULES
    rows: list[Sequence[bool]] = [*margin, *((*blank, *row, *blank) for row in inner), *margin]
    if len(rows) % 2:
        rows.append(rows[0])
    marks = {(False, False): "█", (False, True): "▀", (True, False): "▄", (True, True): " "}
    return [
        "".join(marks[pair] for pair in zip(upper, lower, strict=True))
        for upper, lower in zip(rows[::2], rows[1::2], strict=True)
    ]


def _runs(cells: Sequence[bool]) -> list[tuple[int, int]]:
    """Start and length of each run of dark modules in a row."""
    runs: list[tuple[int, int]] = []
    start = None
    for column, dark in enumerate((*cells, False)):
        if dark and start is None:
            start = column
        elif not dark and start is not None:
            runs.append((start, column - start))
            start = None
    return runs
