"""Drawing one label on a reportlab canvas, below and to the right of its origin."""

from decimal import Decimal
from math import cos, radians, sin
from typing import Any

from msgspec import Struct
from reportlab.lib.units import mm

from fieldlog.domain.paper_rules import YearColour
from fieldlog.printing import qr
from fieldlog.printing.fonts import BOLD, CAPITAL_HEIGHT, MM_PER_POINT, REGULAR, font_name, reach, width_em
from fieldlog.printing.layouts import Align, Box, Layout, Panel, Round, square_around, text_area
from fieldlog.printing.lettering import Fitted

LINE_MM = Decimal("0.2")
MONTHS = tuple(str(month) for month in range(1, 13))

SIGNAL_RED = "#9B2423"
"""RAL 3001, nominal value on a screen, for danger and prohibition (ISO 3864-4, as an encyclopaedia tells)."""

PANEL_COLOURS = {Panel.BLACK: "#000000", Panel.RED: SIGNAL_RED}

RING_SHARE, BAR_SHARE = 0.1, 0.08
"""Strokes of a prohibition sign as shares of its diameter (ISO 3864-1, from memory). Together they cover 44 %
of the sign; at least 35 % has to be red (Spanish RD 485/1997, annex III)."""

MONTH_RING = 0.66
"""Inner diameter of the ring of months as a share of the outer one (common practice, no source)."""

PALE = 0.179
"""Relative luminance above which black letters have more contrast than white ones (WCAG 2 contrast ratio:
(1.05)/(L + 0.05) = (L + 0.05)/0.05)."""


class Ready(Struct, frozen=True, kw_only=True):
    """A label made ready for drawing, once for all its copies; `month` is 1 to 12, '' where there is none."""

    name: str
    layout: Layout
    texts: tuple[Fitted, ...]
    modules: qr.Matrix = ()
    month: str = ""
    year: str = ""
    colour: YearColour | None = None


def points(length_mm: Decimal | float) -> float:
    """A length in PDF's own unit."""
    return float(length_mm) * float(mm)


def draw_label(canvas: Any, label: Ready) -> None:
    """Draw a label below and to the right of the canvas's origin."""
    layout = label.layout
    for text in label.texts:
        _draw_field(canvas, text, label.colour)
    if layout.code and label.modules:
        left, top = points(layout.code.x_mm), -points(layout.code.y_mm)
        qr.draw(canvas, label.modules, left=left, top=top, module=points(layout.code.module_mm))
    if layout.months:
        _draw_months(canvas, layout.months, label.month)
    if layout.ring:
        _draw_ring(canvas, layout.ring, label.month, label.year)
    if layout.sign:
        _draw_prohibition(canvas, layout.sign)
    if layout.hole:
        _draw_hole(canvas, layout.hole)


def draw_text(
    canvas: Any, text: str, box: Box, size_pt: Decimal, *, weight: str, align: Align = Align.LEFT
) -> None:
    """A line with its reach in the middle of the box's height."""
    left = box.x_mm
    if align is not Align.LEFT:
        spare = box.w_mm - width_em(text, weight) * size_pt * MM_PER_POINT
        left += spare if align is Align.RIGHT else spare / 2
    extent = reach(text)
    base_line = box.y_mm + (box.h_mm + (extent.rise - extent.sink) * size_pt * MM_PER_POINT) / 2
    canvas.setFont(font_name(weight), float(size_pt))
    canvas.drawString(points(left), -points(base_line), text)


def _draw_field(canvas: Any, fitted: Fitted, colour: YearColour | None) -> None:
    text = fitted.box
    filling = PANEL_COLOURS.get(text.panel) or (colour.hex if text.panel is Panel.YEAR and colour else "")
    if filling:
        _draw_panel(canvas, text.box, filling)
    area = text_area(text)
    slot = area.h_mm / text.lines
    for number, line in enumerate(fitted.text.split("\n")):
        box = Box(x_mm=area.x_mm, y_mm=area.y_mm + number * slot, w_mm=area.w_mm, h_mm=slot)
        draw_text(canvas, line, box, fitted.size_pt, weight=text.weight, align=text.align)
    if filling:
        canvas.setFillGray(0)


def _draw_panel(canvas: Any, box: Box, filling: str) -> None:
    """Fill the box and choose white or black for the letters on it."""
    shares = _rgb(filling)
    canvas.setFillColorRGB(*shares)
    _draw_cell(canvas, box, fill=True)
    canvas.setFillGray(0 if _luminance(shares) > PALE else 1)


def _rgb(colour: str) -> tuple[float, float, float]:
    red, green, blue = (int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5))
    return red, green, blue


def _luminance(shares: tuple[float, float, float]) -> float:
    """Relative luminance of an sRGB colour (WCAG 2: 0.2126 R + 0.7152 G + 0.0722 B on linear shares)."""
    red, green, blue = (
        share / 12.92 if share <= 0.04045 else ((share + 0.055) / 1.055) ** 2.4 for share in shares
    )
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def _draw_months(canvas: Any, strip: Box, due: str) -> None:
    """Twelve numbered cells; the due one is solid, taller and bold, so that it shows without any colour."""
    cell_w = (strip.w_mm - LINE_MM) / 12
    inset = strip.h_mm * Decimal("0.14")
    by_height = strip.h_mm * Decimal("0.5") / CAPITAL_HEIGHT
    by_width = cell_w * Decimal("0.8") / width_em("12", BOLD)
    size_pt = min(by_height, by_width) / MM_PER_POINT
    canvas.setLineWidth(points(LINE_MM))
    for number, month in enumerate(MONTHS):
        x_mm = strip.x_mm + LINE_MM / 2 + number * cell_w
        if month == due:
            cell = Box(x_mm=x_mm, y_mm=strip.y_mm, w_mm=cell_w, h_mm=strip.h_mm)
            _draw_cell(canvas, cell, fill=True)
            canvas.setFillGray(1)
            draw_text(canvas, month, cell, size_pt, weight=BOLD, align=Align.CENTRE)
            canvas.setFillGray(0)
        else:
            cell = Box(x_mm=x_mm, y_mm=strip.y_mm + inset, w_mm=cell_w, h_mm=strip.h_mm - 2 * inset)
            _draw_cell(canvas, cell, fill=False)
            draw_text(canvas, month, cell, size_pt * Decimal("0.8"), weight=REGULAR, align=Align.CENTRE)


def _draw_ring(canvas: Any, ring: Round, due: str, year: str) -> None:
    """Twelve months like the hours of a clock, the due one solid and sticking out; the year in the centre."""
    square = square_around(ring)
    outer = float(ring.d_mm) / 2
    rim, inner = outer * 0.93, outer * MONTH_RING
    x, y = float(square.x_mm) + outer, float(square.y_mm) + outer
    canvas.setLineWidth(points(LINE_MM))
    canvas.circle(points(x), -points(y), points(rim), stroke=1, fill=0)
    for number, month in enumerate(MONTHS, 1):
        _draw_spoke(canvas, (x, y), (inner, rim), 75 - 30 * number)
        if month == due:
            edges = (points(x - outer), -points(y + outer), points(x + outer), -points(y - outer))
            canvas.wedge(*edges, 75 - 30 * number, 30, stroke=0, fill=1)
    canvas.setFillGray(1)
    canvas.circle(points(x), -points(y), points(inner), stroke=1, fill=1)
    canvas.setFillGray(0)
    size_pt = Decimal((rim - inner) * 0.62) / CAPITAL_HEIGHT / MM_PER_POINT
    for number, month in enumerate(MONTHS, 1):
        angle, middle = radians(90 - 30 * number), (inner + rim) / 2
        cell = _cell_around(x + middle * cos(angle), y - middle * sin(angle), rim - inner)
        canvas.setFillGray(1 if month == due else 0)
        draw_text(canvas, month, cell, size_pt, weight=BOLD if month == due else REGULAR, align=Align.CENTRE)
    canvas.setFillGray(0)
    middle_pt = Decimal(inner * 0.85) / CAPITAL_HEIGHT / MM_PER_POINT
    draw_text(canvas, year[-2:], _cell_around(x, y, 2 * inner), middle_pt, weight=BOLD, align=Align.CENTRE)


def _draw_spoke(canvas: Any, centre: tuple[float, float], ends: tuple[float, float], degrees: float) -> None:
    across, up = cos(radians(degrees)), sin(radians(degrees))
    (near, far), (x, y) = ends, centre
    start, end = (x + near * across, near * up - y), (x + far * across, far * up - y)
    canvas.line(points(start[0]), points(start[1]), points(end[0]), points(end[1]))


def _cell_around(x: float, y: float, side: float) -> Box:
    return Box(x_mm=Decimal(x - side / 2), y_mm=Decimal(y - side / 2), w_mm=Decimal(side), h_mm=Decimal(side))


def _draw_prohibition(canvas: Any, sign: Round) -> None:
    """General prohibition sign, ISO 7010 P001: a ring, and a bar that falls to the right at 45 degrees."""
    square, d = square_around(sign), float(sign.d_mm)
    x, y = float(square.x_mm) + d / 2, float(square.y_mm) + d / 2
    canvas.setStrokeColorRGB(*_rgb(SIGNAL_RED if sign.red else "#000000"))
    canvas.setLineWidth(points(RING_SHARE * d))
    middle = d * (1 - RING_SHARE) / 2
    canvas.circle(points(x), -points(y), points(middle), stroke=1, fill=0)
    canvas.setLineWidth(points(BAR_SHARE * d))
    reach_mm = middle * cos(radians(45))
    canvas.line(points(x - reach_mm), -points(y - reach_mm), points(x + reach_mm), -points(y + reach_mm))
    canvas.setStrokeGray(0)


def _draw_hole(canvas: Any, hole: Round) -> None:
    """A broken circle with a cross, where to punch for string, wire or cable tie."""
    square, radius = square_around(hole), float(hole.d_mm) / 2
    x, y = float(square.x_mm) + radius, float(square.y_mm) + radius
    arm = radius * 0.4
    canvas.setLineWidth(points(LINE_MM))
    canvas.line(points(x - arm), -points(y), points(x + arm), -points(y))
    canvas.line(points(x), -points(y - arm), points(x), -points(y + arm))
    canvas.setDash(points(0.8), points(0.6))
    canvas.circle(points(x), -points(y), points(radius) - points(LINE_MM) / 2, stroke=1, fill=0)
    canvas.setDash()


def _draw_cell(canvas: Any, cell: Box, *, fill: bool) -> None:
    canvas.rect(
        points(cell.x_mm),
        -points(cell.y_mm + cell.h_mm),
        points(cell.w_mm),
        points(cell.h_mm),
        stroke=not fill,
        fill=fill,
    )
