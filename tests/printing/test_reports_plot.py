"""Proves what the wear plot shows: limit, watch line, readings, trend and its interval, whatever they are."""

from datetime import date, timedelta

import pypdfium2
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fieldlog.domain.report_content import PlotPoint, WearPlot
from fieldlog.printing.reports import render_report
from fieldlog.printing.reports_plot import LEFT, RIGHT, WearDrawing
from tests.printing.report_pages import FIRST, boxes, plot, report, text_of


def line(begin: float, end: float, days: int) -> tuple[PlotPoint, PlotPoint]:
    return (
        PlotPoint(day=FIRST, percent=begin),
        PlotPoint(day=FIRST + timedelta(days=days), percent=end),
    )


def drawing(of: WearPlot) -> WearDrawing:
    made = WearDrawing(of)
    made.wrap(400, 400)
    return made


def test_the_limit_stands_at_a_hundred_percent_and_above_every_reading_under_it() -> None:
    made = drawing(plot(20.0, 40.0, 60.0))
    assert made._y(100) > made._y(80) > made._y(60) > made._y(0)
    assert made._y(100) < made.wrap(400, 400)[1]


def test_a_reading_past_the_limit_is_still_on_the_plot() -> None:
    made = drawing(plot(20.0, 140.0))
    assert made._y(140) < made.wrap(400, 400)[1]


def test_time_runs_evenly_from_the_first_reading_on() -> None:
    made = drawing(plot(20.0, 40.0, 60.0))
    first, second, third = (made._x(FIRST + timedelta(days=days)) for days in (0, 100, 200))
    assert first == pytest.approx(LEFT)
    assert third == pytest.approx(400 - RIGHT)
    assert second - first == pytest.approx(third - second)


def test_the_forecast_goes_to_where_the_limit_is_met_but_not_without_end() -> None:
    near = drawing(plot(20.0, 40.0, 60.0, forecast=line(20.0, 100.0, 400)))
    assert near.last == FIRST + timedelta(days=400)
    far = drawing(plot(20.0, 20.5, 21.0, forecast=line(20.0, 100.0, 6000)))
    assert far.last == FIRST + timedelta(days=500)


def test_limit_watch_line_and_trend_are_told_in_words() -> None:
    told = text_of(
        render_report(
            report(
                plot(
                    20.0,
                    40.0,
                    60.0,
                    words="Trend: meets the limit about 2026-02.",
                    forecast=line(20.0, 100.0, 400),
                    early=line(20.0, 100.0, 350),
                    late=line(20.0, 100.0, 500),
                )
            )
        ).pdf
    )
    for words in (
        "limit: discard",
        "watch: 80 %",
        "100 %",
        "2025-07",
        "Trend: meets the limit about 2026-02.",
    ):
        assert words in told


def test_the_limit_line_is_drawn_where_its_word_stands() -> None:
    """Looked at as a picture: left of the words 'limit: discard' there is a dark line across the plot."""
    pdf = render_report(report(plot(20.0, 40.0))).pdf
    page = pypdfium2.PdfDocument(pdf)[0]
    text = page.get_textpage()
    start = text.get_text_range().index("limit: discard")
    left, lower, _, upper = text.get_charbox(start)
    scale = 3
    picture = page.render(scale=scale, grayscale=True).to_pil()
    x = round((left - 100) * scale)
    top, bottom = (round((page.get_height() - y) * scale) for y in (upper + 2, lower - 2))
    column = [picture.getpixel((x, y)) for y in range(top, bottom)]
    assert min(column) < 64


percents = st.floats(min_value=-20, max_value=400, allow_nan=False)
days = st.integers(min_value=0, max_value=20_000)


@settings(max_examples=40, deadline=None)
@given(readings=st.lists(st.tuples(days, percents), min_size=2, max_size=30), ahead=st.none() | days)
def test_whatever_was_measured_no_word_leaves_the_page(
    readings: list[tuple[int, float]], ahead: int | None
) -> None:
    points = tuple(
        PlotPoint(day=date(1990, 1, 1) + timedelta(days=day), percent=percent)
        for day, percent in sorted(readings)
    )
    forecast = None
    if ahead is not None:
        end = PlotPoint(day=points[-1].day + timedelta(days=ahead), percent=100.0)
        forecast = (points[0], end)
    drawn = WearPlot(points=points, watch_percent=80.0, forecast=forecast, early=forecast, late=forecast)
    for page in boxes(render_report(report(drawn)).pdf):
        assert all(
            left >= 0 and right <= 596 and lower >= 0 and upper <= 842 for left, lower, right, upper in page
        )
