"""Labels on sheets and rolls: where each goes, and the PDF.

The same input gives the same bytes: no clock is read.
"""

from collections.abc import Callable, Iterable, Iterator, Sequence
from decimal import Decimal
from io import BytesIO
from itertools import count, groupby
from typing import BinaryIO, TypeVar

from msgspec import Struct

from fieldlog.domain.counting import counted
from fieldlog.domain.label_content import LabelContent, label_name
from fieldlog.errors import InputError
from fieldlog.printing import qr
from fieldlog.printing.drawing import MONTHS, Ready, draw_label, points
from fieldlog.printing.layouts import Template, inked_areas, labels_on_page
from fieldlog.printing.lettering import fit_all, too_small_from_afar
from fieldlog.printing.paged import PagedPdf

MOST_COPIES = 1000
MOST_OFFSET_MM = Decimal(100)
MOST_MARKED = 500
"""Labels in one file up to which each has a line in the reader's outline; of more, each page has one."""
Item = TypeVar("Item")
Offset = tuple[Decimal | int, Decimal | int]
Progress = Callable[[int, int], None]


class Written(Struct, frozen=True, kw_only=True):
    """A finished PDF's pages; `cut` holds a sentence for each text that could not be shown whole."""

    pages: int
    cut: tuple[str, ...]


class Printed(Struct, frozen=True, kw_only=True):
    """The finished PDF; `cut` holds a sentence for each text that could not be shown whole."""

    pdf: bytes
    pages: int
    cut: tuple[str, ...]


class Place(Struct, frozen=True, kw_only=True):
    """Where a label goes: page, row and column from 1, and its upper left corner on the page [mm]."""

    page: int
    row: int
    column: int
    x_mm: Decimal
    y_mm: Decimal


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
        lines.append(f"{where}: {label.kind} {label_name(label)}")
    return lines


def render(
    labels: Sequence[LabelContent],
    template: Template,
    *,
    start: int = 1,
    offset_mm: Offset = (0, 0),
    copies: int = 1,
    title: str,
    author: str,
    progress: Progress | None = None,
) -> Printed:
    """The labels as a PDF in memory; arguments and errors are those of `write`."""
    stream = BytesIO()
    done = write(
        stream,
        labels,
        template,
        start=start,
        offset_mm=offset_mm,
        copies=copies,
        title=title,
        author=author,
        progress=progress,
    )
    return Printed(pdf=stream.getvalue(), pages=done.pages, cut=done.cut)


def write(
    stream: BinaryIO,
    labels: Sequence[LabelContent],
    template: Template,
    *,
    start: int = 1,
    offset_mm: Offset = (0, 0),
    copies: int = 1,
    title: str,
    author: str,
    progress: Progress | None = None,
) -> Written:
    """Write the labels as a PDF, each `copies` times, from position `start` of the first page.

    `offset_mm` moves everything to the right and down as read, against a printer that feeds askew. Pages go
    out one by one: `labels` may work each label out when it is asked for it. Raises InputError where there
    is nothing to print, the start lies beyond the sheet, the offset pushes ink off the page, or a label can
    not be printed truthfully; what was written until then is of no use. `progress` is told (done, all) after
    each label and may raise to stop.
    """
    kinds = _check_order(labels, template, start, copies)
    check_offset(template, offset_mm, kinds)
    many = len(labels) * copies
    pdf = open_pdf(stream, template, title, author, f"{counted(many, 'label')}: {template.title}")
    cut: dict[str, None] = {}
    ready = _all_ready(labels, template, cut)
    done = count(1)
    placed = zip(_repeated(ready, copies), places(template, start), strict=False)
    for _, page in groupby(placed, key=lambda pair: pair[1].page):
        begin_page(pdf, template, offset_mm)
        drawn = []
        for label, place in page:
            _draw_at(pdf, label, place)
            drawn.append((f"{label.name} {label.layout.kind}", place))
            if progress is not None:
                progress(next(done), many)
        _mark_page(pdf, template, drawn, each=many <= MOST_MARKED)
        pdf.end_page()
    pdf.close()
    return Written(pages=pdf.pages, cut=tuple(cut))


def _draw_at(pdf: PagedPdf, label: Ready, place: Place) -> None:
    pdf.canvas.saveState()
    pdf.canvas.translate(points(place.x_mm), -points(place.y_mm))
    draw_label(pdf.canvas, label)
    pdf.canvas.restoreState()


def _mark_page(pdf: PagedPdf, template: Template, drawn: Sequence[tuple[str, Place]], *, each: bool) -> None:
    """A mark for the page in the reader's outline, and below it one for `each` of several labels."""
    names = list(dict.fromkeys(name for name, _ in drawn))
    sheet = f"Page {drawn[0][1].page}: " if labels_on_page(template) > 1 else ""
    pdf.mark(sheet + (names[0] if len(names) == 1 else f"{names[0]} to {names[-1]}"))
    if not each or len(drawn) == 1:
        return
    for name, place in drawn:
        pdf.mark(name, level=1, at=(points(place.x_mm), points(template.page.h_mm - place.y_mm)))


def _repeated(items: Iterable[Item], copies: int) -> Iterator[Item]:
    return (item for item in items for _ in range(copies))


def _check_order(labels: Sequence[LabelContent], template: Template, start: int, copies: int) -> set[str]:
    """The kinds of the labels; InputError for an order that can not be carried out."""
    if not labels:
        raise InputError("There is no label to print.")
    check_start(template, start)
    if not 1 <= copies <= MOST_COPIES:
        raise InputError(f"{copies} copies can not be printed: give a number from 1 to {MOST_COPIES}.")
    kinds = {label.kind for label in labels}
    for kind in sorted(kinds - template.layouts.keys()):
        has = ", ".join(template.layouts)
        raise InputError(f"The template {template.name} has no layout for a {kind} label, only for {has}.")
    return kinds


def check_start(template: Template, start: int) -> None:
    """InputError for a position that the sheet does not have."""
    room = labels_on_page(template)
    if not 1 <= start <= room:
        only = "a roll begins at 1" if room == 1 else f"its positions are 1 to {room}"
        raise InputError(f"Position {start} is not on {template.name}: {only}.")


def check_offset(template: Template, offset_mm: Offset, kinds: Iterable[str]) -> None:
    """InputError for an offset that is no length or that pushes ink of these kinds of label off the page."""
    grid, page = template.grid, template.page
    shifts = tuple(Decimal(shift) for shift in offset_mm)
    x_mm, y_mm = shifts
    if not all(shift.is_finite() and abs(shift) <= MOST_OFFSET_MM for shift in shifts):
        raise InputError(f"An offset of {x_mm}, {y_mm} mm is none: give up to {MOST_OFFSET_MM} mm each way.")
    for area in (area for kind in kinds for area in inked_areas(template.layouts[kind]).values()):
        first = (grid.x0_mm + area.x_mm, grid.y0_mm + area.y_mm)
        last = (
            first[0] + (grid.nx - 1) * grid.dx_mm + area.w_mm,
            first[1] + (grid.ny - 1) * grid.dy_mm + area.h_mm,
        )
        sizes = (page.w_mm, page.h_mm)
        for shift, begin, end, size in zip(shifts, first, last, sizes, strict=True):
            if begin + shift < 0 or end + shift > size:
                raise InputError(
                    f"An offset of {x_mm}, {y_mm} mm pushes print off the page of {template.name}."
                )


def _all_ready(labels: Iterable[LabelContent], template: Template, cut: dict[str, None]) -> Iterator[Ready]:
    """The labels one after the other made ready for drawing; sentences about cut texts go into `cut`."""
    for label in labels:
        ready = _ready(label, template)
        cut.update(dict.fromkeys(notice for text in ready.texts for notice in text.notices))
        cut.update(dict.fromkeys(too_small_from_afar(ready.texts, ready.layout, ready.name)))
        yield ready


def _ready(label: LabelContent, template: Template) -> Ready:
    layout, name = template.layouts[label.kind], label_name(label)
    modules: qr.Matrix = ()
    if layout.code and label.code:
        modules = qr.matrix(label.code)
        if len(modules) > qr.SMALLEST_SYMBOL:
            raise InputError(f"{label.code!r} is too long for the code on a label of {template.name}.")
    month = label.texts.get("month", "").lstrip("0")
    if (layout.months or layout.ring) and month not in MONTHS:
        raise InputError(f"{name}: {label.texts.get('month', '')!r} is no month from 1 to 12.")
    return Ready(
        name=name,
        layout=layout,
        texts=fit_all(label, layout),
        modules=modules,
        month=month,
        year=label.texts.get("year", ""),
        colour=label.year_colour,
    )


def open_pdf(stream: BinaryIO, template: Template, title: str, author: str, subject: str) -> PagedPdf:
    """A PDF with pages as the printer is fed them."""
    page = template.page
    size = (page.h_mm, page.w_mm) if page.turned else (page.w_mm, page.h_mm)
    return PagedPdf(
        stream, size=(points(size[0]), points(size[1])), title=title, author=author, subject=subject
    )


def begin_page(pdf: PagedPdf, template: Template, offset_mm: Offset) -> None:
    """Put the origin at the page's upper left corner as it is read, moved by the offset."""
    page, canvas = template.page, pdf.canvas
    if page.turned:
        canvas.translate(points(page.h_mm), points(page.w_mm))
        canvas.rotate(-90)
    else:
        canvas.translate(0, points(page.h_mm))
    canvas.translate(points(Decimal(offset_mm[0])), -points(Decimal(offset_mm[1])))
