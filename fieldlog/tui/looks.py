"""How it looks: three themes of our own, and plain signs where a terminal may not show others.

Colours are never alone; words and marks carry the meaning. The contrast theme uses pure black and white with
yellow, as legible as a terminal gets (contrast ratios by WCAG 2.2, 1.4.6: at least 7 to 1 for text).
"""

import os
from collections.abc import Mapping

from textual.scrollbar import ScrollBar, ScrollBarRender
from textual.theme import Theme

UTF8 = ("utf-8", "utf8")
TERMS_WITH_FEW_SIGNS = ("linux", "dumb", "vt100", "vt220")

THEMES = (
    Theme(
        name="fieldlog-dark",
        primary="#33608f",
        secondary="#5b7f95",
        accent="#c9b458",
        warning="#e0a030",
        error="#f06a5a",
        success="#6fbf73",
        foreground="#e4e4e0",
        background="#14181c",
        surface="#1e242a",
        panel="#28303a",
        dark=True,
        variables={"primary-background": "#323b45", "input-selection-background": "#2f5a87"},
    ),
    Theme(
        name="fieldlog-light",
        primary="#235789",
        secondary="#4f6d7a",
        accent="#6b4e00",
        warning="#7a4b00",
        error="#a01414",
        success="#14591d",
        foreground="#161616",
        background="#f6f5f1",
        surface="#e8e6df",
        panel="#dcd9d0",
        dark=False,
        variables={"primary-background": "#c9dcef", "input-selection-background": "#9cc3ea"},
    ),
    Theme(
        name="fieldlog-contrast",
        primary="#ffff00",
        secondary="#ffffff",
        accent="#ffff00",
        warning="#ffff00",
        error="#ffffff",
        success="#ffffff",
        foreground="#ffffff",
        background="#000000",
        surface="#000000",
        panel="#000000",
        dark=True,
        variables={
            "text-error": "#ffffff",
            "text-warning": "#ffff00",
            "text-success": "#ffffff",
            "text-accent": "#ffff00",
            "text-muted": "#ffffff",
            "primary-darken-2": "#ffff00",
            "primary-background": "#303030",
            "input-selection-background": "#004a80",
        },
    ),
)


class PlainScrollBar(ScrollBarRender):
    """A scroll bar of blanks in two colours, without the eighth blocks."""

    VERTICAL_BARS = [" "] * len(ScrollBarRender.VERTICAL_BARS)
    HORIZONTAL_BARS = [" "] * len(ScrollBarRender.HORIZONTAL_BARS)


def theme_name(chosen: str) -> str:
    """The app's name of a theme chosen as 'dark', 'light' or 'contrast'."""
    return f"fieldlog-{chosen}"


def plain_signs(chosen: str, environ: Mapping[str, str] = os.environ) -> bool:
    """Whether marks and lines are drawn in ASCII: as chosen, else as the terminal's locale and name tell."""
    if chosen != "auto":
        return chosen == "plain"
    locale = environ.get("LC_ALL") or environ.get("LC_CTYPE") or environ.get("LANG") or ""
    few = environ.get("TERM", "") in TERMS_WITH_FEW_SIGNS
    return few or not locale.lower().endswith(UTF8)


def set_signs(*, plain: bool) -> None:
    """Draw scroll bars from now on in plain signs, or as usual."""
    ScrollBar.renderer = PlainScrollBar if plain else ScrollBarRender
