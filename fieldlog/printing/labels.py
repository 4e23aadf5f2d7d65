"""Labels on sheets and rolls: where each goes, and the PDF.

The same input gives the same bytes: no clock is read, and reportlab's invariant mode fixes dates and
identifiers.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from decimal import Decimal
from io import BytesIO
from typing import Any, TypeVar

from reportlab.lib.units import mm
from reportlab.pdfgen.canvas import Canvas

from fieldlog.domain.label_content import LabelContent
from fieldlog.errors import InputError
from fieldlog.printing import qr
from fieldlog.printing.fonts import BOLD, CAPITAL_HEIGHT, MM_PER_POINT, REGULAR, font_name, reach, width_em
from fieldlog.printing.layouts import Align, Box, Layout, Template, labels_on_page, symbol_area
from fieldlog.printing.lettering import Fitted, fit_all

LANGUAGE = "en"
MOST_COPIES = 1000
LINE_MM = Decimal("0.2")
Item = TypeVar("Item")
MONTHS = tuple(str(month) for month in range(1, 13))


@dataclass(frozen=True, slots=True, kw_only=True)
class Printed:
    """The finished PDF; `cut` holds a sentence for each text that could not be shown whole."""

    pdf: bytes
    pages: int
    cut: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """Where a label goes: page, row and column from 1, and its upper left corner on the page [mm]."""

    page: int
    row: int
    column: int
    x_mm: Decimal
    y_mm: Decimal


@dataclass(frozen=True, slots=True, kw_only=True)
class _Ready:
    """A label made ready for drawing, once for all its copies."""

    layout: Layout
    texts: tuple[Fitted, ...]
    modules: qr.Matrix
    month: str


def places(template: Template, start: int = 1) -> Iterator[Place]:
    """The places of labels one after the other, row by row, from position `start` of the first page."""
    grid = template.grid
    page, on_page = 1, start - 1
    while True:
        row, column = divmod(on_page, grid.nx)
        yield Place(
            page=page,
            row=row + 1,
            column=column + 1,
            x_mm=grid.x0_mm + column * grid.dx_mm,
            y_mm=grid.y0_mm + row * grid.dy_mm,
        )
        on_page += 1
        if on_page == labels_on_page(template):
            page, on_page = page + 1, 0


def placing(labels: Sequence[LabelContent], template: Template, start: int = 1, copies: int = 1) -> list[str]:
    """Which label goes where, a line each, for reading before printing. Raises InputError as render does."""
    _check_order(labels, template, start, copies)
    lines = []
    for label, place in zip(_repeated(labels, copies), places(template, start), strict=False):
        on_page = (place.row - 1) * template.grid.nx + place.column
        where = f"page {place.page}"
        if labels_on_page(template) > 1:
            where += f", position {on_page} (row {place.row}, column {place.column})"
        lines.append(f"{where}: {label.kind} {label.texts.get('id', '')}".rstrip())
    return lines


def render(
    labels: Sequence[LabelContent],
    template: Template,
    *,
    start: int = 1,
    offset_mm: tuple[Decimal | int, Decimal | int] = (0, 0),
    copies: int = 1,
    title: str,
    author: str,
) -> Printed:
    """The labels as a PDF, each `copies` times, from position `start` of the first page.

    `offset_mm` moves everything to the right and down, against a printer that feeds askew. Raises
    InputError where there is nothing to print, the start lies beyond the sheet, the offset pushes ink off
    the page, or a label can not be printed truthfully.
    """
    _check_order(labels, template, start, copies)
    offset_x_mm, offset_y_mm = (Decimal(shift) for shift in offset_mm)
    _check_offset(template, (offset_x_mm, offset_y_mm))
    ready = [_ready(label, template) for label in labels]
    stream = BytesIO()
    canvas = _canvas(stream, template, title, author, f"{len(labels) * copies} labels: {template.title}")
    page = 1
    for label, place in zip(_repeated(ready, copies), places(template, start), strict=False):
        if place.page != page:
            canvas.showPage()
            page = place.page
        canvas.saveState()
        canvas.translate(
            _points(place.x_mm + offset_x_mm), _points(template.page.h_mm - place.y_mm - offset_y_mm)
        )
        _draw(canvas, label)
        canvas.restoreState()
    canvas.showPage()
    canvas.save()
    notices = dict.fromkeys(notice for label in ready for text in label.texts for notice in text.notices)
    return Printed(pdf=stream.getvalue(), pages=page, cut=tuple(notices))


def _repeated(items: Sequence[Item], copies: int) -> Iterator[Item]:
    return (item for item in items for _ in range(copies))


def _check_order(labels: Sequence[LabelContent], template: Template, start: int, copies: int) -> None:
    room = labels_on_page(template)
    if not labels:
        raise InputError("There is no label to print.")
    if not 1 <= start <= room:
        only = "a roll begins at 1" if room == 1 else f"its positions are 1 to {room}"
        raise InputError(f"Position {start} is not on {template.name}: {only}.")
    if not 1 <= copies <= MOST_COPIES:
        raise InputError(f"{copies} copies can not be printed: give a number from 1 to {MOST_COPIES}.")
    for label in labels:
        if label.kind not in template.layouts:
            raise InputError(f"The template {template.name} has no layout for a {label.kind} label.")


def _check_offset(template: Template, offset_mm: tuple[Decimal, Decimal]) -> None:
    grid, page = template.grid, template.page
    for area in (area for layout in template.layouts.values() for area in _inked(layout)):
        first = (grid.x0_mm + area.x_mm, grid.y0_mm + area.y_mm)
        last = (
            first[0] + (grid.nx - 1) * grid.dx_mm + area.w_mm,
            first[1] + (grid.ny - 1) * grid.dy_mm + area.h_mm,
        )
        sizes = (page.w_mm, page.h_mm)
        for shift, begin, end, size in zip(offset_mm, first, last, sizes, strict=True):
            if not shift.is_finite() or begin + shift < 0 or end + shift > size:
                x_mm, y_mm = offset_mm
                raise InputError(
                    f"An offset of {x_mm}, {y_mm} mm pushes print off the page of {template.name}."
                )


def _inked(layout: Layout) -> list[Box]:
    marks = [symbol_area(layout.code)] if layout.code else []
    return [*(text.box for text in layout.texts), *marks, *([layout.months] if layout.months else [])]


def _ready(label: LabelContent, template: Template) -> _Ready:
    layout = template.layouts[label.kind]
    modules: qr.Matrix = ()
    if layout.code:
        modules = qr.matrix(label.code)
        if len(modules) > qr.SMALLEST_SYMBOL:
            raise InputError(f"{label.code!r} is too long for the code on a label of {template.name}.")
    month = label.texts.get("month", "").lstrip("0")
    if layout.months and month not in MONTHS:
        raise InputError(
            f"{label.texts.get('id', '')}: {label.texts.get('month', '')!r} is no month from 1 to 12."
        )
    return _Ready(layout=layout, texts=fit_all(label, layout), modules=modules, month=month)


def _canvas(stream: BytesIO, template: Template, title: str, author: str, subject: str) -> Canvas:
    size = (_points(template.page.w_mm), _points(template.page.h_mm))
    canvas = Canvas(
        stream,
        pagesize=size,
        invariant=1,
        pageCompression=1,
        lang=LANGUAGE,
        initialFontName=font_name(REGULAR),
    )
    canvas.setTitle(title)
    canvas.setAuthor(author)
    canvas.setSubject(subject)
    canvas.setCreator("fieldlog")
    return canvas


def _points(length_mm: Decimal) -> float:
    return float(length_mm) * float(mm)


def _draw(canvas: Any, label: _Ready) -> None:
    """Draw a label below and to the right of the canvas's origin."""
    for text in label.texts:
        box = text.box
        _draw_text(canvas, text.text, box.box, text.size_pt, weight=box.weight, align=box.align)
    code = label.layout.code
    if code:
        left, top = _points(code.x_mm), -_points(code.y_mm)
        qr.draw(canvas, label.modules, left=left, top=top, module=_points(code.module_mm))
    if label.layout.months:
        _draw_months(canvas, label.layout.months, label.month)


def _draw_text(canvas: Any, text: str, box: Box, size_pt: Decimal, *, weight: str, align: str) -> None:
    """A text with its reach in the middle of the box's height."""
    spare = box.w_mm - width_em(text, weight) * size_pt * MM_PER_POINT
    indent = {Align.LEFT: Decimal(0), Align.CENTRE: spare / 2, Align.RIGHT: spare}[Align(align)]
    extent = reach(text)
    base_line = box.y_mm + (box.h_mm + (extent.rise - extent.sink) * size_pt * MM_PER_POINT) / 2
    canvas.setFont(font_name(weight), float(size_pt))
    canvas.drawString(_points(box.x_mm + indent), -_points(base_line), text)


def _draw_months(canvas: Any, strip: Box, due: str) -> None:
    """Twelve numbered cells; the due one is solid, taller and bold, so that it shows without any colour."""
    cell_w = (strip.w_mm - LINE_MM) / 12
    inset = strip.h_mm * Decimal("0.14")
    by_height = strip.h_mm * Decimal("0.5") / CAPITAL_HEIGHT
    by_width = cell_w * Decimal("0.8") / width_em("12", BOLD)
    size_pt = min(by_height, by_width) / MM_PER_POINT
    canvas.setLineWidth(_points(LINE_MM))
    for number, month in enumerate(MONTHS):
        x_mm = strip.x_mm + LINE_MM / 2 + number * cell_w
        if month == due:
            cell = Box(x_mm=x_mm, y_mm=strip.y_mm, w_mm=cell_w, h_mm=strip.h_mm)
            _draw_cell(canvas, cell, fill=True)
            canvas.setFillGray(1)
            _draw_text(canvas, month, cell, size_pt, weight=BOLD, align=Align.CENTRE)
            canvas.setFillGray(0)
        else:
            cell = Box(x_mm=x_mm, y_mm=strip.y_mm + inset, w_mm=cell_w, h_mm=strip.h_mm - 2 * inset)
            _draw_cell(canvas, cell, fill=False)
            _draw_text(canvas, month, cell, size_pt * Decimal("0.8"), weight=REGULAR, align=Align.CENTRE)


def _draw_cell(canvas: Any, cell: Box, *, fill: bool) -> None:
    canvas.rect(
        _points(cell.x_mm),
        -_points(cell.y_mm + cell.h_mm),
        _points(cell.w_mm),
        _points(cell.h_mm),
        stroke=not fill,
        fill=fill,
    )
