"""Every text can be read on its ground in every theme, and few-signed terminals get plain signs."""

from itertools import product
from pathlib import Path

import pytest
from rich.color import Color
from textual.scrollbar import ScrollBar, ScrollBarRender

from fieldlog.store.preferences import THEMES as CHOICES
from fieldlog.store.preferences import Preferences
from fieldlog.tui.looks import THEMES, PlainScrollBar, plain_signs, set_signs, theme_name
from tests.tui.builder import at_the_keys, in_terminal, ready_shop, with_hoist
from tests.tui.hands import Hands

LEAST = {"dark": 4.5, "light": 4.5, "contrast": 7.0}
"""WCAG 2.2: 1.4.3 asks 4.5 to 1 for text (level AA), 1.4.6 asks 7 to 1 (level AAA)."""


def _channel(value: int) -> float:
    """A channel from 0 to 255, linear; WCAG 2.2, definition of relative luminance (threshold 0.04045)."""
    share = value / 255
    return share / 12.92 if share <= 0.04045 else ((share + 0.055) / 1.055) ** 2.4


def _luminance(colour: tuple[int, int, int]) -> float:
    red, green, blue = (_channel(value) for value in colour)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: tuple[int, int, int], other: tuple[int, int, int]) -> float:
    """WCAG 2.2, definition of contrast ratio: (L1 + 0.05) / (L2 + 0.05), from 1 to 21."""
    light, dark = sorted((_luminance(one), _luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def test_the_formula_gives_the_ends_that_the_standard_names_and_a_published_pair() -> None:
    """Black on white is 21 to 1 and equal colours 1 to 1 (WCAG 2.2).

    #767676 on white is the lightest grey that passes 4.5 to 1, at 4.54 (common knowledge, from memory).
    """
    assert contrast((0, 0, 0), (255, 255, 255)) == pytest.approx(21)
    assert contrast((9, 9, 9), (9, 9, 9)) == 1
    assert contrast((0x76, 0x76, 0x76), (255, 255, 255)) == pytest.approx(4.54, abs=0.005)


def test_there_is_a_look_for_every_theme_that_can_be_chosen() -> None:
    assert [theme.name for theme in THEMES] == [theme_name(chosen) for chosen in CHOICES]


def _rgb(colour: Color | None, instead: tuple[int, int, int]) -> tuple[int, int, int]:
    if colour is None or colour.is_default:
        return instead
    red, green, blue = colour.get_truecolor()
    return red, green, blue


def _dim(colour: tuple[int, int, int], ground: tuple[int, int, int]) -> tuple[int, int, int]:
    red, green, blue = ((a + b) // 2 for a, b in zip(colour, ground, strict=True))
    return red, green, blue


def _too_faint(hands: Hands, least: float) -> dict[str, float]:
    """Text on the screen in front whose contrast to its ground is less than that."""
    faint = {}
    for strip in hands.app.screen._compositor.render_strips():
        for segment in strip:
            style = segment.style
            if not any(char.isalnum() for char in segment.text) or style is None:
                continue
            text, ground = _rgb(style.color, (255, 255, 255)), _rgb(style.bgcolor, (0, 0, 0))
            text = _dim(text, ground) if style.dim else text
            ratio = contrast(text, ground)
            if ratio < least:
                faint[segment.text.strip()] = round(ratio, 2)
    return faint


SCREENS = {
    "due list": "",
    "find": "/hall",
    "hoist": "<enter>",
    "tag that is none": "<f2>9<enter>",
    "form with a fault": "<enter>w<f10>",
    "form with a choice": "<enter>u<down>maybe",
    "checklist": "<enter>iGd",
    "kinds": "<enter>i",
    "registers": "p",
    "settings": "e",
    "commands": "<f9>",
    "keys": "<f1>",
}


@pytest.mark.parametrize(("theme", "keys"), product(CHOICES, SCREENS))
def test_every_text_on_every_screen_can_be_read_on_its_ground(theme: str, keys: str, tmp_path: Path) -> None:
    shop = ready_shop(tmp_path)
    with_hoist(shop)

    @in_terminal
    async def look() -> None:
        async with at_the_keys(shop) as hands:
            hands.app.take_preferences(Preferences(theme=theme))
            await hands.settle()
            await hands.type(SCREENS[keys])
            assert _too_faint(hands, LEAST[theme]) == {}

    look()


@pytest.mark.parametrize(
    ("chosen", "environ", "plain"),
    [
        ("auto", {"LANG": "en_GB.UTF-8", "TERM": "xterm-256color"}, False),
        ("auto", {"LANG": "C.utf8", "TERM": "tmux-256color"}, False),
        ("auto", {"LANG": "C", "TERM": "xterm-256color"}, True),
        ("auto", {"TERM": "xterm-256color"}, True),
        ("auto", {"LANG": "en_GB.UTF-8", "LC_ALL": "C"}, True),
        ("auto", {"LANG": "C", "LC_CTYPE": "C.UTF-8"}, False),
        ("auto", {"LANG": "en_GB.UTF-8", "TERM": "linux"}, True),
        ("plain", {"LANG": "en_GB.UTF-8", "TERM": "xterm-256color"}, True),
        ("full", {"LANG": "C", "TERM": "linux"}, False),
    ],
)
def test_plain_signs_follow_the_choice_else_locale_and_terminal(
    chosen: str, environ: dict[str, str], plain: bool
) -> None:
    """LC_ALL goes before LC_CTYPE and that before LANG (POSIX.1-2017, XBD 8.2)."""
    assert plain_signs(chosen, environ) is plain


def test_scroll_bars_follow_the_signs() -> None:
    before = ScrollBar.renderer
    try:
        set_signs(plain=True)
        assert ScrollBar.renderer is PlainScrollBar
        assert "".join(PlainScrollBar.VERTICAL_BARS + PlainScrollBar.HORIZONTAL_BARS).isascii()
        set_signs(plain=False)
        assert ScrollBar.renderer is ScrollBarRender
    finally:
        ScrollBar.renderer = before
