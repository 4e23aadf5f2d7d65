"""A proof page: where a printer really puts things, to be checked with a ruler before labels are wasted.

It shows the outline of every label with its number, crosses at the outermost corners, and two rulers that
count from the paper's edges. The figure on the printed ruler less the one on a ruler laid to the paper is
what the offset lacks. A code of exactly 10.5 mm shows whether the queue scales and whether a scanner reads.
"""

from collections.abc import Sequence
from decimal import Decimal
from io import BytesIO
from typing import Any

from fieldlog.printing import qr
from fieldlog.printing.drawing import draw_text, points
from fieldlog.printing.fonts import BOLD, REGULAR
from fieldlog.printing.labels import (
    Offset,
    Printed,
    begin_page,
    check_offset,
    open_pdf,
    places,
)
from fieldlog.printing.layouts import Align, Box, Template, TextBox, Weight, labels_on_page
from fieldlog.printing.lettering import fit

CODE = "FL:PROOF"
MODULE_MM = Decimal("0.5")
CODE_MM = qr.symbol_side(qr.SMALLEST_SYMBOL, MODULE_MM)
HAIR_MM, ARM_MM, RULER_MM, EDGE_MM = Decimal("0.15"), Decimal(3), Decimal(6), Decimal(3)
TICKS_MM = ((10, Decimal("3.2")), (5, Decimal("2.2")), (1, Decimal("1.2")))
"""Every so many mm a tick of so many mm; the first that fits counts."""
FIGURES_PT, TEXT_PT, LEAST_PT = Decimal(5), Decimal(7), Decimal("3.5")


def render_proof(template: Template, *, offset_mm: Offset = (0, 0), title: str, author: str) -> Printed:
    """The proof page of a template, moved by the offset. Raises InputError for an offset that is none."""
    check_offset(template, offset_mm, ())
    stream = BytesIO()
    pdf = open_pdf(stream, template, title, author, f"proof page: {template.title}")
    begin_page(pdf, template, offset_mm)
    canvas = pdf.canvas
    canvas.setLineWidth(points(HAIR_MM))
    _draw_outlines(canvas, template)
    _draw_crosses(canvas, template)
    _draw_rulers(canvas, template)
    _draw_instructions(canvas, template, offset_mm)
    pdf.end_page()
    pdf.close()
    return Printed(pdf=stream.getvalue(), pages=1, cut=())


def _draw_outlines(canvas: Any, template: Template) -> None:
    grid = template.grid
    size = (points(grid.w_mm), points(grid.h_mm))
    for number, place in zip(range(1, labels_on_page(template) + 1), places(template), strict=False):
        canvas.rect(points(place.x_mm), -points(place.y_mm + grid.h_mm), *size, stroke=1, fill=0)
        if number > 1:
            whole = Box(x_mm=place.x_mm, y_mm=place.y_mm, w_mm=grid.w_mm, h_mm=grid.h_mm)
            draw_text(canvas, str(number), whole, Decimal(14), weight=BOLD, align=Align.CENTRE)


def _draw_crosses(canvas: Any, template: Template) -> None:
    """Crosses at the corners of the whole block of labels."""
    grid = template.grid
    across = (grid.x0_mm, grid.x0_mm + (grid.nx - 1) * grid.dx_mm + grid.w_mm)
    down = (grid.y0_mm, grid.y0_mm + (grid.ny - 1) * grid.dy_mm + grid.h_mm)
    for x, y in ((x, y) for x in across for y in down):
        canvas.line(points(x - ARM_MM), -points(y), points(x + ARM_MM), -points(y))
        canvas.line(points(x), -points(y - ARM_MM), points(x), -points(y + ARM_MM))


def _edge(template: Template) -> Decimal:
    return max(template.page.unprintable_mm, EDGE_MM)


def _draw_rulers(canvas: Any, template: Template) -> None:
    """A ruler across near the lower edge and one down near the right, counting from the paper's edges."""
    page, edge = template.page, _edge(template)
    low, right = page.h_mm - edge, page.w_mm - edge
    for mm in range(int(edge) + 1, int(right - RULER_MM) + 1):
        canvas.line(points(mm), -points(low - _tick(mm)), points(mm), -points(low))
        if mm % 10 == 0:
            cell = Box(x_mm=Decimal(mm - 4), y_mm=low - RULER_MM + 1, w_mm=Decimal(8), h_mm=Decimal("1.8"))
            draw_text(canvas, str(mm), cell, FIGURES_PT, weight=REGULAR, align=Align.CENTRE)
    for mm in range(int(edge) + 1, int(low - RULER_MM) + 1):
        canvas.line(points(right - _tick(mm)), -points(mm), points(right), -points(mm))
        if mm % 10 == 0:
            cell = Box(
                x_mm=right - RULER_MM - 2, y_mm=mm - Decimal("0.9"), w_mm=Decimal(4), h_mm=Decimal("1.8")
            )
            draw_text(canvas, str(mm), cell, FIGURES_PT, weight=REGULAR, align=Align.RIGHT)


def _tick(mm: int) -> Decimal:
    return next(length for step, length in TICKS_MM if mm % step == 0)


def _draw_instructions(canvas: Any, template: Template, offset_mm: Offset) -> None:
    """What to measure, inside the first label, and a code beside it."""
    grid, edge = template.grid, _edge(template)
    x, y = grid.x0_mm + edge, grid.y0_mm + edge
    rulers = RULER_MM + 2 if labels_on_page(template) == 1 else Decimal(0)
    side = CODE_MM + qr.QUIET_MODULES * MODULE_MM
    wide, high = grid.w_mm - 2 * edge - rulers - side, grid.h_mm - 2 * edge - rulers
    qr.draw(
        canvas,
        qr.matrix(CODE),
        left=points(x + wide + qr.QUIET_MODULES * MODULE_MM),
        top=-points(y),
        module=points(MODULE_MM),
    )
    x_mm, y_mm = (f"{Decimal(shift):f}" for shift in offset_mm)
    long = min(100, int(grid.w_mm - rulers) // 10 * 10 - 10)
    told = (
        f"{template.name}: proof with offset {x_mm}, {y_mm} mm.",
        "Lay a ruler to the paper's left edge, then to its upper edge, and add to the offset: the figure"
        " printed here less the figure on your ruler.",
        f"{long} mm printed must measure {long} mm, the code {CODE_MM} mm; else turn scaling off.",
    )
    _draw_paragraphs(canvas, told, Box(x_mm=x, y_mm=y, w_mm=wide, h_mm=min(high, Decimal(30))))


def _draw_paragraphs(canvas: Any, told: Sequence[str], box: Box) -> None:
    """Paragraphs one below the other, the first in bold; lines are shared out by their length."""
    shares = (1, 3, 2)
    slot = box.h_mm / sum(shares)
    top = box.y_mm
    for text, lines in zip(told, shares, strict=True):
        weight = Weight.BOLD if lines == 1 else Weight.REGULAR
        area = Box(x_mm=box.x_mm, y_mm=top, w_mm=box.w_mm, h_mm=slot * lines)
        shape = TextBox(
            field="proof",
            box=area,
            size_pt=TEXT_PT,
            least_pt=LEAST_PT,
            weight=weight,
            align=Align.LEFT,
            before="",
            lines=lines,
        )
        fitted = fit(text, shape, "proof page")
        for number, line in enumerate(fitted.text.split("\n")):
            row = Box(x_mm=area.x_mm, y_mm=top + number * slot, w_mm=area.w_mm, h_mm=slot)
            draw_text(canvas, line, row, fitted.size_pt, weight=weight)
        top += slot * lines
