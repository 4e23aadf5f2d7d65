"""Proves that bars are drawn as long as they say, with their figures beside and the mark of the limit."""

from typing import Any

import pypdfium2
import pytest

from fieldlog.domain.report_content import Bar, Bars, Column
from fieldlog.printing.reports import render_report
from fieldlog.printing.reports_bars import LEAST, BarDrawing
from tests.printing.report_pages import boxes, reader, report, text_of, words

WIDE = 200.0


def bar(length: float, *, label: str = "2026-11", tells: str = "told", solid: bool = False) -> Bar:
    return Bar(label=words(label), length=length, beside=(words(f"{length:g}"), words(tells)), solid=solid)


def bars(*rows: Bar, full: float = 110.0, limit: float | None = None) -> Bars:
    return Bars(
        label=Column(title="Month", share=15),
        drawn=Column(title="Inspections due", share=45),
        beside=(Column(title="Count", share=9, figures=True), Column(title="Of these", share=40)),
        rows=rows,
        full=full,
        limit=limit,
    )


def drawn(length: float, full: float = 100.0) -> float:
    made = BarDrawing(bar(length), full, None)
    made.wrap(WIDE, 100)
    return made.length()


@pytest.mark.parametrize(
    ("length", "points"), [(0, 0), (25, 50), (50, 100), (99, 198), (100, 200), (130, 200), (0.01, LEAST)]
)
def test_a_bar_is_as_long_as_its_share_of_the_scale(length: float, points: float) -> None:
    """Nothing has no bar, next to nothing one that is seen, and what is past the scale ends with it."""
    assert drawn(length) == pytest.approx(points)


def test_on_a_scale_of_nothing_there_is_no_bar() -> None:
    assert drawn(0, full=0) == 0


def test_labels_and_figures_stand_beside_the_bars() -> None:
    told = text_of(render_report(report(bars(bar(3, tells="3 frequent"), bar(0, tells="")))).pdf)
    assert "Month Inspections due Count Of these" in told
    assert "2026-11 3 3 frequent 2026-11 0" in told


def test_bars_without_rows_leave_no_trace() -> None:
    assert "Inspections due" not in text_of(render_report(report(bars())).pdf)


def ink(*rows: Bar, **scale: Any) -> list[int]:
    """How many dots of the page are dark, in each of its lines from above (gray values of pdfium)."""
    page = pypdfium2.PdfDocument(render_report(report(bars(*rows, **scale))).pdf)[0]
    image = page.render(scale=3, grayscale=True).to_pil()
    dots = image.tobytes()
    return [
        sum(dot < 100 for dot in dots[line * image.width : (line + 1) * image.width])
        for line in range(image.height)
    ]


def test_a_solid_bar_is_dark_and_others_are_framed() -> None:
    """A bar of the whole scale takes 45 of 109 shares of the 176 mm between the margins: about 600 dots, at 3
    to the point."""
    framed, solid = sum(ink(bar(110))), sum(ink(bar(110, solid=True)))
    assert solid - framed > 500 * 15


def test_the_limit_is_marked_on_framed_and_on_solid_bars() -> None:
    """The mark adds ink to a framed bar and is cut out of a solid one."""
    assert sum(ink(bar(110), limit=100)) > sum(ink(bar(110)))
    assert sum(ink(bar(50), limit=100)) > sum(ink(bar(50)))
    assert sum(ink(bar(110, solid=True), limit=100)) < sum(ink(bar(110, solid=True)))


def test_many_rows_with_long_words_stay_on_paper() -> None:
    rows = [
        bar(place, label="SW-0001-0", tells="filter house, over the long gallery " * 3) for place in range(80)
    ]
    printed = render_report(report(bars(*rows)))
    assert printed.pages > 2
    with_bars = [page for page in reader(printed.pdf).pages if "SW-0001-0" in page.extract_text()]
    assert text_of(printed.pdf).count("Inspections due") == len(with_bars)
    for page in boxes(printed.pdf):
        assert all(
            left >= 0 and right <= 596 and lower >= 0 and upper <= 842 for left, lower, right, upper in page
        )
