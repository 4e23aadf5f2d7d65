"""Proves that the readings stand on paper as they were sealed, with reference, limit and wear."""

from datetime import date, timedelta
from decimal import Decimal
from pathlib import Path

import pytest

from fieldlog.domain.history import WearPoint
from fieldlog.domain.records import Basis, InspectionKind
from fieldlog.domain.report_content import Report, WearPlot
from fieldlog.operations.inspecting import seal_inspection
from fieldlog.operations.reporting import inspection_report
from fieldlog.operations.reporting_chain import wear_plot
from fieldlog.operations.shop import Shop
from tests.operations.builder import ADA, at, begin, fill, inspect
from tests.operations.report_samples import VISIT_DAY, section, shop_of, story, words_of


@pytest.fixture(scope="module")
def told(tmp_path_factory: pytest.TempPathFactory) -> tuple[Shop, str]:
    return story(tmp_path_factory.mktemp("story"))


@pytest.fixture(scope="module")
def visit(told: tuple[Shop, str]) -> Report:
    return inspection_report(*told, 3)


def test_every_reading_with_its_place_and_limit(visit: Report) -> None:
    """165 + 2.475 = 167.475 mm over 11 links of 5 x 15."""
    words = words_of(section(visit, "Load chain"))
    assert "usual working height | 11 inside | 165.4 | 165 | 0.4 | 167.475 | 16.2 | + keep" in words
    assert "hook end | 11 inside | 166.1 | 165 | 1.1 | 167.475 | 44.4 | + keep" in words
    assert "spread over 0.7 mm. Length as new: computed from 5 x 15." in words
    assert "most worn place | 4.9 | 5 | 4.95 | 4.5 | + keep" in words
    assert "lower | 30 mm | 30.5 mm | 1.7 % | 0° | none seen | + keep" in words


def test_the_wear_of_the_chain_is_plotted_from_the_second_inspection_on(
    told: tuple[Shop, str], visit: Report
) -> None:
    plots = [block for block in section(visit, "Load chain").blocks if isinstance(block, WearPlot)]
    assert [(point.day.isoformat(), round(point.percent, 1)) for point in plots[0].points][:2] == [
        ("2025-03-03", 44.4),
        ("2026-02-27", 44.4),
    ]
    first = inspection_report(*told, 2)
    assert not [block for block in section(first, "Load chain").blocks if isinstance(block, WearPlot)]


def test_a_reading_by_gauge_has_no_figure_and_says_what_the_gauge_did(tmp_path: Path) -> None:
    shop, tag = shop_of(tmp_path, "uk")
    opened, draft, content = begin(shop, tag, InspectionKind.FREQUENT, day=VISIT_DAY)
    fill(shop, opened, content, instrument="", readings=("", "", ""), day=VISIT_DAY)
    content.basis = Basis.GAUGE
    for reading in content.readings:
        reading.touch = False
    seal_inspection(shop, draft, content, by=ADA, now=at(VISIT_DAY), today=VISIT_DAY)
    words = words_of(section(inspection_report(shop, tag), "Load chain"))
    assert "usual working height | 11 gauge | gap |  |  |  |  | + keep" in words


def test_a_chain_that_was_not_measured_is_told_as_such(tmp_path: Path) -> None:
    shop, tag = shop_of(tmp_path, "uk")
    inspect(shop, tag, InspectionKind.PRE_USE, day=VISIT_DAY, readings=("", "", ""))
    words = words_of(section(inspection_report(shop, tag), "Load chain"))
    assert words.startswith("The chain was not measured at this inspection.")


def worn(*percents: int) -> tuple[WearPoint, ...]:
    """A chain read every hundred days, of 2.5 mm allowed growth."""
    first = date(2025, 1, 1)
    return tuple(
        WearPoint(
            day=first + timedelta(days=100 * place),
            growth_mm=Decimal(percent) * Decimal("0.025"),
            allowed_mm=Decimal("2.5"),
        )
        for place, percent in enumerate(percents)
    )


def test_the_forecast_line_meets_the_limit_on_the_day_that_the_trend_names() -> None:
    """20 % more every 100 days from 20 % on: 100 % after 400 days, by hand."""
    plot = wear_plot(worn(20, 40, 60), Decimal("0.8"))
    assert plot is not None
    assert plot.forecast is not None
    begin_at, end_at = plot.forecast
    assert (begin_at.day, round(begin_at.percent, 6)) == (date(2025, 1, 1), 20)
    assert (end_at.day, round(end_at.percent, 6)) == (date(2025, 1, 1) + timedelta(days=400), 100)
    assert plot.watch_percent == 80
    assert plot.words.startswith("Trend: meets the limit about 2026-02")


def test_there_is_no_forecast_past_the_limit_or_without_wear() -> None:
    for shares in ((60, 90, 110), (30, 30, 30), (50, 40, 30)):
        plot = wear_plot(worn(*shares), Decimal("0.8"))
        assert plot is not None
        assert plot.forecast is None


def test_one_reading_makes_no_plot() -> None:
    assert wear_plot(worn(20), Decimal("0.8")) is None
    assert wear_plot((*worn(20), *worn(30)), Decimal("0.8")) is None
