"""How reports look: paper, type, words made ready for the page. Black on white, so that any copier serves."""

from functools import cache
from html import escape

from msgspec import Struct, field
from reportlab.lib.colors import Color, black, white
from reportlab.lib.enums import TA_RIGHT
from reportlab.lib.pagesizes import A4, LETTER
from reportlab.lib.styles import ParagraphStyle
from reportlab.lib.units import mm
from reportlab.pdfbase.pdfmetrics import registerFontFamily

from fieldlog.domain.report_content import Words
from fieldlog.errors import InputError
from fieldlog.printing.fonts import BOLD, REGULAR, SUBSTITUTE, font_name, printable

PAPERS = {"a4": A4, "letter": LETTER}
"""Width and height [pt]. A4 is 210 x 297 mm (ISO 216), letter 8.5 x 11 in (ASME Y14.1)."""

SIDE = 17 * mm
TOP, BOTTOM = 20 * mm, 19 * mm
INK, FAINT, SHADE = black, Color(0.35, 0.35, 0.35), Color(0.88, 0.88, 0.88)
HAIRLINE, LINE, FRAME = 0.3, 0.7, 1.4

PLAIN, STRONG_TEXT, LABEL, SMALL, FIGURE, HEAD, HEAD_FIGURE = (
    "plain",
    "strong",
    "label",
    "small",
    "figure",
    "head",
    "head-figure",
)
DENSE, DENSE_FIGURE, ABOUT = "dense", "dense-figure", "about"
SECTION, SUBSECTION, TITLE, SUBTITLE, SHOP, HEADLINE, HEADLINE_GRAVE = (
    "section",
    "subsection",
    "title",
    "subtitle",
    "shop",
    "headline",
    "headline-grave",
)
_SIZES = {
    # name: (weight, size [pt], leading [pt])
    PLAIN: (REGULAR, 9, 11.4),
    STRONG_TEXT: (BOLD, 9.5, 12.4),
    LABEL: (REGULAR, 8.2, 11.4),
    SMALL: (REGULAR, 7.4, 9.6),
    FIGURE: (REGULAR, 9, 11.4),
    DENSE: (REGULAR, 7.8, 9.4),
    DENSE_FIGURE: (REGULAR, 7.8, 9.4),
    HEAD: (BOLD, 7.8, 9.6),
    HEAD_FIGURE: (BOLD, 7.8, 9.6),
    SECTION: (BOLD, 11, 14),
    SUBSECTION: (BOLD, 9.5, 12),
    TITLE: (BOLD, 19, 23),
    ABOUT: (BOLD, 16, 20),
    SUBTITLE: (REGULAR, 10.5, 14),
    SHOP: (REGULAR, 9, 11.4),
    HEADLINE: (BOLD, 15, 19),
    HEADLINE_GRAVE: (BOLD, 17, 21),
}


@cache
def styles() -> dict[str, ParagraphStyle]:
    """The paragraph styles by name; loads the fonts when first asked."""
    regular, bold = font_name(REGULAR), font_name(BOLD)
    # The shipped typeface has no italic, and none is used.
    registerFontFamily(regular, normal=regular, bold=bold, italic=regular, boldItalic=bold)
    made = {
        name: ParagraphStyle(name, fontName=font_name(weight), fontSize=size, leading=leading, textColor=INK)
        for name, (weight, size, leading) in _SIZES.items()
    }
    for name in (LABEL, SMALL, HEAD, HEAD_FIGURE):
        made[name].textColor = FAINT
    for name in (FIGURE, HEAD_FIGURE, DENSE_FIGURE):
        made[name].alignment = TA_RIGHT
    made[HEADLINE_GRAVE].textColor = white
    return made


def paper_size(name: str) -> tuple[float, float]:
    """Width and height of a paper [pt]; InputError for one that is not known."""
    if name not in PAPERS:
        raise InputError(f"no paper is called '{name[:20]}': choose one of {', '.join(PAPERS)}")
    width, height = PAPERS[name]
    return width, height


class Typesetter(Struct):
    """Makes texts ready for the page, and keeps which characters the typeface could not show."""

    missing: dict[str, None] = field(default_factory=dict)

    def clean(self, text: str) -> str:
        """One line of text in which every character has a glyph."""
        # Most texts are plain, and looking at each character of a long logbook takes its time.
        if text.isascii() and text.isprintable():
            return text
        ready = printable(text, REGULAR)
        self.missing.update(dict.fromkeys(ready.missing))
        return ready.text

    def markup(self, text: str) -> str:
        """The text as a paragraph takes it: lines kept apart, signs of the markup taken as text."""
        return "<br/>".join(escape(self.clean(line), quote=False) for line in text.splitlines())

    def words(self, words: Words) -> str:
        """Words with what they are marked with: bold where strong, on grey where something is missing."""
        text = self.markup(words.text)
        if words.missing:
            return f'<font backColor="#dcdcdc"><b>{text}</b></font>'
        return f"<b>{text}</b>" if words.strong else text

    def notices(self) -> tuple[str, ...]:
        """A sentence for each character that had to be replaced."""
        return tuple(
            f"The font has no {character!r} (U+{ord(character):04X}); a {SUBSTITUTE} stands in its place."
            for character in self.missing
        )
