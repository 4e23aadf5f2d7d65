"""What a label template says, as values: the sheet or roll, and what stands where on each kind of label.

All lengths are millimetres. On the page and on a label x runs to the right and y down from the upper left
corner, the way a ruler is laid on the paper.
"""

from collections.abc import Mapping
from decimal import Decimal
from enum import StrEnum

from msgspec import Struct

from fieldlog.domain.label_content import CHAIN, DUE, SPARE, TAG, WITHDRAWN
from fieldlog.printing.fonts import MM_PER_POINT, reach
from fieldlog.printing.qr import SMALLEST_SYMBOL, symbol_side

TALLEST = {
    "id": "J",
    "signal": "H",
    "message": "H",
    "month": "0",
    "year": "0",
    "due": "0",
    "done": "0",
    "received": "0",
    "print": "0",
}
"""The letter that takes most height in fields of capitals and figures alone; other fields hold any letter."""

NEEDED = {
    TAG: ("id",),
    DUE: ("id", "month", "year"),
    WITHDRAWN: ("signal", "message", "id", "reason", "by", "since", "remove"),
    CHAIN: ("id", "size", "links", "discard"),
    SPARE: ("size", "certificate"),
}
"""Fields without which a label of the kind is of no use. Who put a tag on must stand on it: 29 CFR 1910.147
(c)(5)(ii)(D)."""

NEVER_CUT = frozenset(
    {
        *("id", "capacity", "month", "year", "due", "signal", "message", "since"),
        *("size", "links", "nominal", "discard", "length", "received"),
    }
)
"""Facts that mislead when their end is missing: a label on which one does not fit is refused."""

SIGNAL_DISTANCE = Decimal(150)
MESSAGE_DISTANCE = Decimal(300)
"""Units of reading distance for one unit of capital height: of signal words, and of most other words.
ANSI Z535.2, 9.2.3, as quoted in a trade catalogue; the rulebook's data/lettering.toml holds the same."""

LEAST_DISTANCE_MM = Decimal(1524)
"""A tag's signal word is read from 5 ft at least (29 CFR 1910.145 (f)(4)(ii))."""

FROM_AFAR = {
    TAG: {"id": MESSAGE_DISTANCE},
    DUE: {"month": MESSAGE_DISTANCE, "year": MESSAGE_DISTANCE},
    WITHDRAWN: {"signal": SIGNAL_DISTANCE, "message": MESSAGE_DISTANCE},
}
"""Fields that are read from a layout's stated distance, with the units of distance for one of height."""


class Weight(StrEnum):
    """Strokes of the letters."""

    REGULAR = "regular"
    BOLD = "bold"


class Align(StrEnum):
    """Where in its box a text stands."""

    LEFT = "left"
    CENTRE = "centre"
    RIGHT = "right"


class Panel(StrEnum):
    """What a text's box is filled with; the text on it is white, or black where that is easier to read.

    `year` is the colour of the year, where the label has one.
    """

    NONE = "none"
    BLACK = "black"
    RED = "red"
    YEAR = "year"


class Box(Struct, frozen=True, kw_only=True):
    """A rectangle on a label."""

    x_mm: Decimal
    y_mm: Decimal
    w_mm: Decimal
    h_mm: Decimal


class TextBox(Struct, frozen=True, kw_only=True):
    """Where a field's text stands: at `size_pt`, or smaller down to `least_pt` where it is long.

    `before` is set in front of the text where there is any. A text may run over so many `lines`.
    """

    field: str
    box: Box
    size_pt: Decimal
    least_pt: Decimal
    weight: Weight
    align: Align
    before: str
    lines: int = 1
    panel: Panel = Panel.NONE


class CodeBox(Struct, frozen=True, kw_only=True):
    """Upper left corner of a version 1 symbol, without its quiet zone, and the side of a module."""

    x_mm: Decimal
    y_mm: Decimal
    module_mm: Decimal


class Round(Struct, frozen=True, kw_only=True):
    """A circle by the upper left corner of the square around it, and its diameter; `red` or else black."""

    x_mm: Decimal
    y_mm: Decimal
    d_mm: Decimal
    red: bool = False


class Layout(Struct, frozen=True, kw_only=True):
    """What stands where on one kind of label.

    `months` is a strip and `ring` a ring of twelve months, `sign` the general prohibition sign, `hole` where
    to punch. `read_from_mm` is the distance that the fields of FROM_AFAR are read from.
    """

    kind: str
    texts: tuple[TextBox, ...]
    code: CodeBox | None = None
    months: Box | None = None
    ring: Round | None = None
    sign: Round | None = None
    hole: Round | None = None
    read_from_mm: Decimal | None = None


class Page(Struct, frozen=True, kw_only=True):
    """Paper, and the width along its edges that a printer may leave blank.

    A `turned` page is laid out as it is read and fed sideways: its w runs along the feed.
    """

    w_mm: Decimal
    h_mm: Decimal
    unprintable_mm: Decimal
    turned: bool = False


class Grid(Struct, frozen=True, kw_only=True):
    """The labels on a page: size, how many across and down, first corner, step to the next."""

    w_mm: Decimal
    h_mm: Decimal
    nx: int
    ny: int
    x0_mm: Decimal
    y0_mm: Decimal
    dx_mm: Decimal
    dy_mm: Decimal


class Template(Struct, frozen=True, kw_only=True):
    """A sheet or roll of labels; `name` is the name of its file, `layouts` are by kind of label."""

    name: str
    title: str
    page: Page
    grid: Grid
    layouts: Mapping[str, Layout]


def labels_on_page(template: Template) -> int:
    """How many labels a sheet has; 1 for a roll."""
    return template.grid.nx * template.grid.ny


def symbol_area(code: CodeBox) -> Box:
    """The square that the dark modules of a version 1 symbol fill."""
    side = symbol_side(SMALLEST_SYMBOL, code.module_mm)
    return Box(x_mm=code.x_mm, y_mm=code.y_mm, w_mm=side, h_mm=side)


def square_around(circle: Round) -> Box:
    """The square around a circle."""
    return Box(x_mm=circle.x_mm, y_mm=circle.y_mm, w_mm=circle.d_mm, h_mm=circle.d_mm)


PANEL_MARGINS = (Decimal("0.08"), Decimal("0.05"))
"""How far from the sides, and from top and foot of its panel a text keeps: shares of the panel's height."""


def text_area(text: TextBox) -> Box:
    """Where the letters may stand: the box, or what is left of it inside its panel."""
    if text.panel is Panel.NONE:
        return text.box
    box = text.box
    across, down = (share * box.h_mm for share in PANEL_MARGINS)
    return Box(
        x_mm=box.x_mm + across, y_mm=box.y_mm + down, w_mm=box.w_mm - 2 * across, h_mm=box.h_mm - 2 * down
    )


def inked_areas(layout: Layout) -> dict[str, Box]:
    """Everything of a layout that gets ink, by name."""
    areas = {f"field {text.field}": text.box for text in layout.texts}
    if layout.code:
        areas["code"] = symbol_area(layout.code)
    if layout.months:
        areas["months"] = layout.months
    rounds = {"ring": layout.ring, "sign": layout.sign, "hole": layout.hole}
    return areas | {name: square_around(circle) for name, circle in rounds.items() if circle}


def height_per_point(text: TextBox) -> Decimal:
    """Height [mm] that a point of type size may take in this box, whatever the field says."""
    most = reach(text.before + TALLEST.get(text.field, "g"))
    return (most.rise + most.sink) * MM_PER_POINT * text.lines
