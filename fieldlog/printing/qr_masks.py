"""Which of the eight masks a symbol gets: the one with the fewest penalty points.

The qrcode library draws every symbol eight times over and weighs each one in loops, which takes longer than
all the rest of a label. Masks only flip modules, whatever the text, so the library draws a symbol once here,
with mask 0, and the others follow from what they flip. Rows are the bits of one whole number, so that every
rule looks at all modules at once. Source of the rules: ISO/IEC 18004, evaluation of mask results.
"""

from collections.abc import Iterable, Sequence
from functools import cache

from qrcode import QRCode
from qrcode.constants import ERROR_CORRECT_Q
from qrcode.util import MODE_ALPHA_NUM, QRData

MASKS = 8
RUN, BLOCK, FINDER, BALANCE = 5, 3, 40, 10
"""Shortest run of one colour that counts; points for a block of four, for a finder's likeness, for each 5 %
by which the dark share misses one half."""

Rows = Sequence[Sequence[bool]]


def draw_symbol(text: str, mask: int, version: int | None = None) -> Rows:
    """The symbol for a text of the alphanumeric set with this mask, as the library draws it, at level Q."""
    symbol = QRCode(version=version, error_correction=ERROR_CORRECT_Q, border=0, mask_pattern=mask)
    symbol.add_data(QRData(text.encode(), mode=MODE_ALPHA_NUM, check_data=False), optimize=0)
    symbol.make(fit=version is None)
    rows: Rows = symbol.modules
    return rows


def best_symbol(text: str) -> tuple[tuple[bool, ...], ...]:
    """The smallest symbol for the text at level Q, with the first mask of those that have fewest points."""
    rows = draw_symbol(text, 0)
    side = len(rows)
    plain = _bits(rows)
    best = min((plain ^ flips for flips in _flips(side)), key=lambda dark: points(dark, side))
    return _rows(best, side)


def points(dark: int, side: int) -> int:
    """Penalty points of a symbol of so many modules a side; `dark` has its rows one after the other as bits.

    Behind every row stands one blank bit, so that nothing is seen to go on from one row to the next.
    """
    light = _field(side) & ~dark
    down = side + 1
    total = sum(_runs(colour, step) for colour in (dark, light) for step in (1, down))
    total += BLOCK * sum(
        (pairs & pairs >> down).bit_count() for pairs in (dark & dark >> 1, light & light >> 1)
    )
    total += FINDER * sum(_finders(dark, light, step) for step in (1, down))
    return total + BALANCE * (abs(dark.bit_count() * 20 - side * side * 10) // (side * side))


def _runs(colour: int, step: int) -> int:
    """3 points for a run of five, one more for each further module: its length less two."""
    two = colour & colour >> step
    long = two & two >> 2 * step & colour >> 4 * step
    return long.bit_count() + (RUN - 3) * (long & ~(long << step)).bit_count()


def _finders(dark: int, light: int, step: int) -> int:
    """How often 1:1:3:1:1 stands before or behind four light modules."""
    three = dark & dark >> step & dark >> 2 * step
    core = dark & light >> step & three >> 2 * step & light >> 5 * step & dark >> 6 * step
    pair = light & light >> step
    four = pair & pair >> 2 * step
    return (core & four >> 7 * step).bit_count() + (four & core >> 4 * step).bit_count()


@cache
def _field(side: int) -> int:
    """All modules of a symbol, with a blank bit behind every row."""
    return _bits([[True] * side] * side)


@cache
def _flips(side: int) -> tuple[int, ...]:
    """What each mask flips against mask 0, in a symbol of so many modules a side, whatever its text."""
    version = (side - 17) // 4
    drawn = [_bits(draw_symbol("0", mask, version)) for mask in range(MASKS)]
    return tuple(bits ^ drawn[0] for bits in drawn)


def _bits(rows: Iterable[Iterable[bool]]) -> int:
    return int("".join("".join("01"[cell] for cell in row) + "0" for row in rows), 2)


def _rows(bits: int, side: int) -> tuple[tuple[bool, ...], ...]:
    text = f"{bits:0{side * (side + 1)}b}"
    starts = range(0, len(text), side + 1)
    return tuple(tuple(cell == "1" for cell in text[start : start + side]) for start in starts)
