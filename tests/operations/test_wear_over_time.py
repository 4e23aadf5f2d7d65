"""What is drawn of a chain's wear: the line and its band against the standard library and scipy."""

from datetime import timedelta
from pathlib import Path
from statistics import linear_regression, median

import pytest
from scipy.stats import theilslopes  # type: ignore[import-untyped]

from fieldlog.domain.report_content import PlotPoint
from fieldlog.errors import NotFoundError
from fieldlog.operations.correcting import find_line, strike_out
from fieldlog.operations.shop import open_hoist
from fieldlog.operations.use_forms import log_hours
from fieldlog.operations.wear_over_time import height_on, wear_over_time
from tests.operations.builder import ADA, at
from tests.operations.worn_chains import (
    ALLOWED,
    START,
    STEADY,
    day_after,
    fit_chain,
    gauge,
    measure,
    worn_shop,
)

# 0.3 mm a year and scatter of some hundredths, as a caliper gives it.
SCATTERED = ((0, "0.3"), (100, "0.45"), (200, "0.75"), (330, "0.85"), (400, "1.15"), (500, "1.3"))


def shares(points: tuple[tuple[int, str], ...]) -> list[float]:
    return [float(grown) / float(ALLOWED) * 100 for _, grown in points]


def test_points_are_the_worst_growth_as_a_share_of_what_is_allowed(tmp_path: Path) -> None:
    wear = wear_over_time(*worn_shop(tmp_path, *STEADY))
    assert wear.plot is not None
    assert [point.day for point in wear.plot.points] == [day_after(days) for days, _ in STEADY]
    assert [point.percent for point in wear.plot.points] == pytest.approx(shares(STEADY))
    assert wear.plot.watch_percent == 80
    assert wear.first == START


def test_steady_wear_has_the_line_of_least_squares_and_no_width(tmp_path: Path) -> None:
    """Through points on one line every method gives that line: statistics.linear_regression tells it."""
    wear = wear_over_time(*worn_shop(tmp_path, *STEADY))
    fit = linear_regression([days for days, _ in STEADY], shares(STEADY))
    assert wear.plot is not None
    for line in (wear.plot.forecast, wear.plot.early, wear.plot.late):
        assert line is not None
        for days in (0, 77, 180, 500, 652):
            assert height_on(line, day_after(days)) == pytest.approx(fit.intercept + fit.slope * days)
    # 0.3 mm in 90 days: the 1.575 mm that are left after the third take 472.5 days
    assert wear.plot.forecast is not None
    assert wear.plot.forecast[1].day == day_after(180 + 472)
    assert wear.sentence == (
        "Grown 0.9 of 2.475 mm, 36 %, on 2025-07-09; meets the limit about 2026-10 (2026-10 to 2026-10)."
    )
    assert wear.about == (
        "Chain 1, 5 x 15 mm, on the hoist since at least 2025-01-10."
        " Theil-Sen line over 3 inspections; no verdict rests on it."
    )


def test_scattered_wear_has_the_slopes_of_scipy_through_the_middle_point(tmp_path: Path) -> None:
    wear = wear_over_time(*worn_shop(tmp_path, *SCATTERED))
    days = [days for days, _ in SCATTERED]
    outside = theilslopes(shares(SCATTERED), days, 0.95)
    middle_x, middle_y = median(days), median(shares(SCATTERED))
    plot = wear.plot
    assert plot is not None
    for line, slope in ((plot.forecast, outside[0]), (plot.early, outside[3]), (plot.late, outside[2])):
        assert line is not None
        for day in (0, 500, 900):
            expected = middle_y + slope * (day - middle_x)
            assert height_on(line, day_after(day)) == pytest.approx(expected, abs=1e-6)
        # it ends on the day on which it stands at the limit
        assert height_on(line, line[1].day) == pytest.approx(100, abs=abs(slope))
    assert plot.early is not None
    assert plot.forecast is not None
    assert plot.late is not None
    assert plot.early[1].day < plot.forecast[1].day < plot.late[1].day < wear.last


def test_the_forecast_is_followed_three_times_the_measured_time_and_no_further(tmp_path: Path) -> None:
    slow = ((0, "0.25"), (100, "0.3"), (200, "0.35"))
    wear = wear_over_time(*worn_shop(tmp_path, *slow))
    assert wear.plot is not None
    assert wear.plot.forecast is not None
    assert wear.last == day_after(200 + 3 * 200) < wear.plot.forecast[1].day


def test_against_running_hours_the_line_still_ends_at_the_limit(tmp_path: Path) -> None:
    """2 h a day throughout: dates and line are those against days."""
    shop, tag = worn_shop(tmp_path, *STEADY)
    by_days = wear_over_time(shop, tag)
    texts = {"hours": "360", "as": "period", "since": "2025-01-10", "spectrum": "L1", "factor": "recorded"}
    log_hours(shop, tag, texts, by=ADA, now=at(day_after(180)), today=day_after(180))
    by_hours = wear_over_time(shop, tag)
    assert ", against running hours at 2.0 h a day;" in by_hours.about
    assert by_days.plot is not None
    assert by_hours.plot is not None
    assert by_hours.plot.forecast is not None
    assert by_days.plot.forecast is not None
    assert [p.day for p in by_hours.plot.forecast] == [p.day for p in by_days.plot.forecast]
    assert [p.percent for p in by_hours.plot.forecast] == pytest.approx(
        [p.percent for p in by_days.plot.forecast]
    )


def test_a_struck_inspection_is_left_out(tmp_path: Path) -> None:
    shop, tag = worn_shop(tmp_path, *STEADY, (270, "2.4"))
    with_slip = wear_over_time(shop, tag)
    line = find_line(shop, tag, str(len(open_hoist(shop, tag).history.entries))).line
    strike_out(shop, tag, line, "misread", by=ADA, now=at(day_after(280)), today=day_after(280))
    without = wear_over_time(shop, tag)
    assert with_slip.sentence.startswith("Grown 2.4 of 2.475 mm, 97 %")
    assert without.sentence.startswith("Grown 0.9 of 2.475 mm, 36 %")
    assert without.plot is not None
    assert len(without.plot.points) == 3


def test_another_chain_starts_anew(tmp_path: Path) -> None:
    shop, tag = worn_shop(tmp_path, *STEADY)
    fit_chain(shop, tag, 200)
    bare = wear_over_time(shop, tag)
    assert bare.plot is None
    assert bare.sentence == "Nothing to draw yet: no length of this chain was measured since 2025-07-29."
    assert bare.about == "Chain 2, 5 x 15 mm, on the hoist since 2025-07-29."
    measure(shop, tag, 290, "0.3")
    begun = wear_over_time(shop, tag)
    assert begun.plot is not None
    assert [point.day for point in begun.plot.points] == [day_after(290)]
    assert (begun.first, begun.plot.forecast) == (day_after(200), None)
    assert begun.sentence == "Grown 0.3 of 2.475 mm, 12 %, on 2025-10-27; no trend yet."
    assert begun.last == day_after(290) + timedelta(days=30)


@pytest.mark.parametrize(("grown", "met"), [("2.474", False), ("2.475", True), ("2.476", True)])
def test_a_chain_at_its_limit_has_no_forecast(tmp_path: Path, grown: str, met: bool) -> None:
    wear = wear_over_time(*worn_shop(tmp_path, (0, "0.6"), (90, "1.2"), (180, grown)))
    assert wear.plot is not None
    assert (wear.plot.forecast is None) is met
    assert ("the limit is met since 2025-07-09" in wear.sentence) is met


def test_a_chain_checked_by_gauge_says_why_there_is_nothing(tmp_path: Path) -> None:
    shop, tag = worn_shop(tmp_path)
    gauge(shop, tag, 10)
    wear = wear_over_time(shop, tag)
    assert wear.plot is None
    assert wear.sentence == (
        "Nothing to draw: this chain is checked with a go/no-go gauge, which gives no length"
        " (last on 2025-01-20)."
    )


def test_a_hoist_that_is_not_there(tmp_path: Path) -> None:
    shop, _ = worn_shop(tmp_path)
    with pytest.raises(NotFoundError):
        wear_over_time(shop, "SW-9999-0")


def test_the_height_of_a_line_between_and_beyond_its_ends() -> None:
    line = (PlotPoint(day=day_after(0), percent=10), PlotPoint(day=day_after(10), percent=30))
    assert [height_on(line, day_after(days)) for days in (0, 5, 10, 20)] == [10, 20, 30, 50]
