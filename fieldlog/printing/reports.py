"""Reports on paper: the values of `domain.report_content` as a PDF.

The same report gives the same bytes: no clock is read, the dates inside are the report's own, and reportlab's
invariant mode fixes identifiers. How many pages there are is known only at the end, so every page refers to a
form for its number, and the forms are drawn last.
"""

from collections.abc import Callable
from functools import partial
from io import BytesIO
from typing import Any

from msgspec import Struct
from reportlab.lib.units import mm
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import (
    ActionFlowable,
    BaseDocTemplate,
    Flowable,
    Frame,
    PageTemplate,
    Paragraph,
    Spacer,
    Table,
)

from fieldlog.domain.report_content import Report, Section
from fieldlog.printing import reports_style as look
from fieldlog.printing.fonts import BOLD, REGULAR, font_name
from fieldlog.printing.reports_blocks import section_flowables
from fieldlog.printing.reports_style import BOTTOM, SIDE, TOP, Typesetter, paper_size, styles

Progress = Callable[[int, int], None]
Tell = Callable[..., None]
LANGUAGE = "en"
RUNNING = 7.6
FOOT = 12 * mm
A_NUMBER = 50 * mm
ABOUT_FROM = 0.68
FIRST, LATER = "first", "later"


class PrintedReport(Struct, frozen=True, kw_only=True):
    """The finished PDF; `notices` hold a sentence for each character that could not be shown."""

    pdf: bytes
    pages: int
    notices: tuple[str, ...]


class _NumberedCanvas(Canvas):  # type: ignore[misc]
    """Draws 'page x of y' at the end, into the forms that the pages refer to."""

    def save(self) -> None:
        """Draw the page numbers, then finish."""
        pages = self.getPageNumber() - 1
        for page in range(1, pages + 1):
            self.beginForm(_number_form(page), 0, 0, A_NUMBER, 2 * RUNNING)
            self.setFont(font_name(REGULAR), RUNNING)
            self.drawRightString(A_NUMBER, RUNNING / 2, f"page {page} of {pages}")
            self.endForm()
        super().save()


class _Next(ActionFlowable):  # type: ignore[misc]
    """Stands for a section until its turn comes: a long logbook set all at once would fill the memory."""

    def __init__(
        self,
        section: Section,
        number: int,
        width: float,
        setter: Typesetter,
        story: list[Flowable],
        *,
        tell: Tell,
    ) -> None:
        super().__init__()
        self.section, self.number, self.width = section, number, width
        self.setter, self.story, self.tell = setter, story, tell

    def apply(self, _document: BaseDocTemplate) -> None:
        """Put the section's own flowables in its place; the document takes them from the same list."""
        self.tell(self.number - 1)
        self.story[0:0] = section_flowables(self.section, self.number, self.width, self.setter)


def _number_form(page: int) -> str:
    return f"page-number-{page}"


def render_report(report: Report, paper: str = "a4", progress: Progress | None = None) -> PrintedReport:
    """The report as a PDF on 'a4' or 'letter'. Raises InputError for another paper.

    `progress` is told (done, all) in sections, at each section and each page, and may raise to stop.
    """
    width, height = paper_size(paper)
    tell = _teller(len(report.sections), progress)
    setter, stream = Typesetter(), BytesIO()
    text_width = width - 2 * SIDE
    document = _document(report, stream, (width, height), setter, tell)
    story: list[Flowable] = _title(report, text_width, setter)
    story.extend(
        _Next(section, number, text_width, setter, story, tell=tell)
        for number, section in enumerate(report.sections, start=1)
    )
    document.build(story, canvasmaker=partial(_canvas, report))
    tell(len(report.sections))
    return PrintedReport(pdf=stream.getvalue(), pages=document.page, notices=setter.notices())


def _teller(sections: int, progress: Progress | None) -> Tell:
    """Something to tell how many sections are done; told nothing, it says the same again."""
    done = 0

    def tell(count: int | None = None) -> None:
        nonlocal done
        done = done if count is None else count
        if progress is not None:
            progress(done, sections)

    return tell


def _canvas(report: Report, *arguments: Any, **options: Any) -> Canvas:
    canvas = _NumberedCanvas(*arguments, **options)
    stamp = f"D:{report.dated:%Y%m%d}000000Z"
    canvas.setDateFormatter(lambda *_: stamp)
    return canvas


def _document(
    report: Report, stream: BytesIO, size: tuple[float, float], setter: Typesetter, tell: Tell
) -> BaseDocTemplate:
    frame = Frame(
        SIDE,
        BOTTOM,
        size[0] - 2 * SIDE,
        size[1] - TOP - BOTTOM,
        leftPadding=0,
        rightPadding=0,
        topPadding=0,
        bottomPadding=0,
    )
    return BaseDocTemplate(
        stream,
        pagesize=size,
        pageTemplates=[
            PageTemplate(
                id=FIRST, frames=[frame], onPage=partial(_foot, report, setter), autoNextPageTemplate=LATER
            ),
            PageTemplate(
                id=LATER,
                frames=[frame],
                onPage=partial(_head_and_foot, report, setter),
                onPageEnd=lambda *_: tell(),
            ),
        ],
        title=setter.clean(f"{report.title} {report.about} {report.dated.isoformat()}"),
        author=setter.clean(report.author),
        subject=setter.clean(report.subject),
        creator="fieldlog",
        lang=LANGUAGE,
        displayDocTitle=1,
        invariant=1,
        pageCompression=1,
        initialFontName=font_name(REGULAR),
    )


def _title(report: Report, width: float, setter: Typesetter) -> list[Flowable]:
    """Who writes, what it is, and about which hoist: the head of the first page."""
    shop = f"<b>{setter.markup(report.shop)}</b>"
    if report.shop_address:
        shop += f"<br/>{setter.markup(report.shop_address)}"
    about = Paragraph(f'<para alignment="right">{setter.markup(report.about)}</para>', styles()[look.ABOUT])
    rows = [
        [Paragraph(shop, styles()[look.SHOP]), ""],
        [Paragraph(setter.markup(report.title), styles()[look.TITLE]), about],
        [Paragraph(setter.markup(report.subject), styles()[look.SUBTITLE]), ""],
    ]
    style = [
        ("FONTNAME", (0, 0), (-1, -1), font_name(REGULAR)),
        ("LEFTPADDING", (0, 0), (-1, -1), 0),
        ("RIGHTPADDING", (0, 0), (-1, -1), 0),
        ("VALIGN", (0, 0), (-1, -1), "BOTTOM"),
        ("SPAN", (0, 0), (1, 0)),
        ("SPAN", (0, 2), (1, 2)),
        ("LINEBELOW", (0, -1), (-1, -1), look.FRAME, look.INK),
        ("BOTTOMPADDING", (0, -1), (-1, -1), 5),
    ]
    return [
        Table(rows, colWidths=[width * ABOUT_FROM, width * (1 - ABOUT_FROM)], style=style),
        Spacer(0, 1 * mm),
    ]


def _head_and_foot(report: Report, setter: Typesetter, canvas: Any, document: Any) -> None:
    """What a page that came loose is known by."""
    top = document.pagesize[1] - TOP + 5 * mm
    right = document.pagesize[0] - SIDE
    canvas.saveState()
    canvas.setFont(font_name(BOLD), RUNNING)
    canvas.drawString(SIDE, top, setter.clean(f"{report.title}  {report.about}"))
    canvas.setFont(font_name(REGULAR), RUNNING)
    canvas.drawRightString(right, top, report.dated.isoformat())
    canvas.setLineWidth(look.HAIRLINE)
    canvas.line(SIDE, top - 1.5 * mm, right, top - 1.5 * mm)
    canvas.restoreState()
    _foot(report, setter, canvas, document)


def _foot(report: Report, setter: Typesetter, canvas: Any, document: Any) -> None:
    right = document.pagesize[0] - SIDE
    canvas.saveState()
    canvas.setLineWidth(look.HAIRLINE)
    canvas.line(SIDE, FOOT + 4 * mm, right, FOOT + 4 * mm)
    canvas.setFont(font_name(REGULAR), RUNNING)
    canvas.drawString(SIDE, FOOT, setter.clean(report.reference))
    canvas.translate(right - A_NUMBER, FOOT - RUNNING / 2)
    canvas.doForm(_number_form(document.page))
    canvas.restoreState()
