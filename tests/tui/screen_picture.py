"""A screen as a picture: what the app sends goes through pyte, and each cell becomes a patch of pixels.

Letters are not drawn, only grounds and half blocks, which is all that a code on the screen is made of.
"""

from typing import Any

import pyte
import zxingcpp
from PIL import Image
from rich.color import ColorSystem

from fieldlog.tui.app import FieldlogApp

WIDE, HIGH = 8, 16
# The sixteen colours of a Linux console; a terminal's own palette may differ in shade, not in kind.
NAMED = {
    "default": "000000",
    "black": "000000",
    "red": "aa0000",
    "green": "00aa00",
    "brown": "aa5500",
    "blue": "0000aa",
    "magenta": "aa00aa",
    "cyan": "00aaaa",
    "white": "aaaaaa",
    "brightblack": "555555",
    "brightwhite": "ffffff",
}
LETTERS = "aaaaaa"


def through_pyte(app: FieldlogApp, system: ColorSystem | None) -> pyte.Screen:
    """The screen in front as a terminal of this colour system keeps it; None for one without colours."""
    columns, lines = app.size
    screen = pyte.Screen(columns, lines)
    stream = pyte.Stream(screen)
    for y, strip in enumerate(app.screen._compositor.render_strips()):
        stream.feed(f"\x1b[{y + 1};1H")
        for segment in strip:
            style = segment.style
            text = segment.text
            if style is not None and system is not None:
                text = style.render(text, color_system=system)
            elif style is not None and style.reverse:
                text = f"\x1b[7m{text}\x1b[0m"
            stream.feed(text)
    return screen


def _colour(name: str, default: str) -> tuple[int, ...]:
    text = default if name == "default" else NAMED.get(name, name)
    return tuple(bytes.fromhex(text)) if len(text) == 6 else tuple(bytes.fromhex(NAMED["brightwhite"]))


def picture_of(screen: pyte.Screen) -> Image.Image:
    """The screen in pixels."""
    picture = Image.new("RGB", (screen.columns * WIDE, screen.lines * HIGH))
    for y in range(screen.lines):
        for x in range(screen.columns):
            cell = screen.buffer[y][x]
            fore, ground = _colour(cell.fg, LETTERS), _colour(cell.bg, "000000")
            if cell.reverse:
                fore, ground = ground, fore
            upper = fore if cell.data in "█▀" else ground
            lower = fore if cell.data in "█▄" else ground
            for part, colour in ((0, upper), (1, lower)):
                top = y * HIGH + part * HIGH // 2
                picture.paste(colour, (x * WIDE, top, (x + 1) * WIDE, top + HIGH // 2))
    return picture


def codes_in(picture: Any) -> list[str]:
    """What zxing-cpp reads from the picture as it stands, not turned light for dark."""
    found = zxingcpp.read_barcodes(picture, formats=zxingcpp.BarcodeFormat.QRCode, try_invert=False)
    return [code.text for code in found]
