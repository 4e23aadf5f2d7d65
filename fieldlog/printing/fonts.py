"""The typeface on everything printed: shipped and embedded, so that a name prints the same on every machine.

DejaVu Sans Condensed 2.37, regular and bold, lies in the folder fonts/ with its licence. It covers Latin
with all European additions, Greek, Cyrillic, Armenian and Georgian. The fonts every PDF reader brings along
do not: they print black squares instead of a Polish or Greek name.
"""

import unicodedata
from decimal import Decimal
from functools import cache
from pathlib import Path

from msgspec import Struct
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont

REGULAR = "regular"
BOLD = "bold"
FILES = {REGULAR: "DejaVuSansCondensed.ttf", BOLD: "DejaVuSansCondensed-Bold.ttf"}
FOLDER = Path(__file__).with_name("fonts")

MM_PER_POINT = Decimal("25.4") / 72
"""The point of PDF: 1/72 inch (ISO 32000-1, 8.3.2.3, default user space)."""

CAPITAL_HEIGHT = Decimal(1493) / 2048
"""Height of a capital H, as a share of the size: outline of both shipped files, 2048 units to the em."""

OVERSHOOT = Decimal(29) / 2048
"""How far round capitals and figures rise above flat ones and sink below the line, as a share of the size."""

TAIL = Decimal(410) / 2048
"""Depth of the capital J, which Q does not reach, as a share of the size."""

DESCENT = Decimal(511) / 2048
"""Depth of the deepest European letter (G with cedilla), as a share of the size. The highest (iota with three
marks) rises 509/2048 above a plain capital, which is less."""

LEVEL = frozenset("0123456789ABCDEFGHIKLMNOPRSTUVWXYZ- ")
TAILED = frozenset("JQ")

SUBSTITUTE = "?"


class Printable(Struct, frozen=True, kw_only=True):
    """A text in which every character has a glyph, and the characters that were replaced."""

    text: str
    missing: tuple[str, ...]


class Reach(Struct, frozen=True, kw_only=True):
    """How far a text's ink may go above and below its base line, as shares of the type size."""

    rise: Decimal
    sink: Decimal


@cache
def font_name(weight: str) -> str:
    """The name that a drawing refers to the font by; loads and registers the font when first asked.

    `weight` is REGULAR or BOLD.
    """
    name = f"fieldlog-{weight}"
    pdfmetrics.registerFont(TTFont(name, str(FOLDER / FILES[weight])))
    return name


def width_em(text: str, weight: str) -> Decimal:
    """Width of `text` as a share of the type size: at 10 pt a text of 2.5 em is 25 pt wide."""
    return Decimal(pdfmetrics.stringWidth(text, font_name(weight), 1000)) / 1000


def reach(text: str) -> Reach:
    """The reach of plain capitals and figures, of capitals with a tail, or of any European text.

    The first and the last lie evenly about the middle of a capital, so that texts of one row stay in line.
    """
    characters = frozenset(text)
    if characters <= LEVEL:
        return Reach(rise=CAPITAL_HEIGHT + OVERSHOOT, sink=OVERSHOOT)
    if characters <= LEVEL | TAILED:
        return Reach(rise=CAPITAL_HEIGHT + OVERSHOOT, sink=TAIL)
    return Reach(rise=CAPITAL_HEIGHT + DESCENT, sink=DESCENT)


def printable(text: str, weight: str) -> Printable:
    """`text` as it can be printed: composed, on one line, with '?' for what the font can not show.

    Characters without ink (joiners, direction marks) are left out. Letters written from right to left count
    as missing although the font has some of them: they would stand in the wrong order.
    """
    seen = "".join(character for character in text if unicodedata.category(character) != "Cf")
    inked = " ".join(unicodedata.normalize("NFC", seen).split())
    glyphs = pdfmetrics.getFont(font_name(weight)).face.charToGlyph
    missing = dict.fromkeys(
        character
        for character in inked
        if ord(character) not in glyphs or unicodedata.bidirectional(character) in ("R", "AL")
    )
    shown = "".join(SUBSTITUTE if character in missing else character for character in inked)
    return Printable(text=shown, missing=tuple(missing))
