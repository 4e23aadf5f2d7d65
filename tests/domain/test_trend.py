"""Wear against time: the same figures as scipy.stats.theilslopes, and what is said of them."""

import random
from datetime import date, timedelta
from decimal import Decimal
from itertools import combinations
from math import isnan

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import theilslopes  # type: ignore[import-untyped]

from fieldlog.domain.logbook import WearPoint
from fieldlog.domain.trend import Trend, meets_before, theil_sen, trend_of
from fieldlog.errors import InputError
from tests.domain.build import D

START = date(2025, 1, 1)
ALLOWED = D("2.475")


def wear(*points: tuple[int, str | float | Decimal], allowed: Decimal = ALLOWED) -> list[WearPoint]:
    """Points as (day since the start, used share of the allowed growth)."""
    return [
        WearPoint(
            day=START + timedelta(days=day), growth_mm=Decimal(str(share)) * allowed, allowed_mm=allowed
        )
        for day, share in points
    ]


def series(seed: int) -> tuple[list[float], list[float]]:
    """A random series of 3 to 25 points, with equal days and equal readings among them."""
    chance = random.Random(seed)
    count = chance.randint(3, 25)
    x = [float(chance.randint(0, 40 if seed % 2 else 4000)) for _ in range(count)]
    rise = chance.choice([0.0, 0.0003, -0.0002])
    y = [round(rise * day + chance.gauss(0, 0.05), chance.choice([1, 2, 6])) for day in x]
    x[0], x[1] = 0.0, 41.0  # two different places at least
    return y, x


@pytest.mark.filterwarnings("ignore:invalid value:RuntimeWarning")
@pytest.mark.parametrize("seed", range(200))
def test_theil_sen_gives_the_figures_of_scipy(seed: int) -> None:
    y, x = series(seed)
    line, outside = theil_sen(y, x), theilslopes(y, x, 0.95)
    found = (line.slope, line.intercept, line.low, line.high)
    low, high = outside.low_slope, outside.high_slope
    if isnan(low):
        # So many ties that scipy gives no interval; ours is then all slopes.
        pairs = combinations(zip(x, y, strict=True), 2)
        slopes = [(y2 - y1) / (x2 - x1) for (x1, y1), (x2, y2) in pairs if x1 != x2]
        low, high = min(slopes), max(slopes)
    assert found == pytest.approx((outside.slope, outside.intercept, low, high), rel=1e-12, abs=1e-15)


def test_the_series_cover_ties_on_both_axes_and_short_and_long_ones() -> None:
    found = [series(seed) for seed in range(200)]
    assert sum(len(set(x)) < len(x) for _, x in found) > 50
    assert sum(len(set(y)) < len(y) for y, _ in found) > 50
    assert {3, 4, 5, 6, 25} <= {len(y) for y, _ in found}


def test_three_points_by_hand() -> None:
    # Slopes 1, 1.5 and 2: median 1.5, through median x 1 and median y 2.
    line = theil_sen([1, 2, 4], [0, 1, 2])
    assert (line.slope, line.low, line.high, line.intercept) == (1.5, 1, 2, 0.5)


def test_a_line_needs_two_places_and_as_many_values() -> None:
    with pytest.raises(InputError, match="two different places"):
        theil_sen([1, 2, 3], [5, 5, 5])
    with pytest.raises(InputError, match="3 values stand against 2"):
        theil_sen([1, 2, 3], [5, 6])


@pytest.mark.parametrize(
    "points",
    [
        [],
        [(0, "0.1")],
        [(0, "0.1"), (365, "0.3")],
        [(0, "0.1"), (0, "0.2"), (0, "0.3")],
        [(0, "0.1"), (0, "0.2"), (365, "0.3"), (365, "0.4")],
    ],
)
def test_under_three_inspections_on_different_days_there_is_no_trend_yet(
    points: list[tuple[int, str]],
) -> None:
    trend = trend_of(wear(*points))
    assert trend == Trend(points=len(points), words="no trend yet")
    assert not meets_before(trend, date.max)


def test_three_inspections_make_a_trend() -> None:
    assert trend_of(wear((0, "0.1"), (100, "0.2"), (200, "0.3"))).words.startswith("meets the limit")


def test_even_wear_meets_the_limit_on_the_day_worked_out_by_hand() -> None:
    # 0.1 used each 100 days from 0.1 on: all is used 900 days after the start, 2027-06-20.
    trend = trend_of(wear((0, "0.1"), (100, "0.2"), (200, "0.3"), (300, "0.4")))
    assert trend.slope_per_day == pytest.approx(0.001)
    assert trend.intercept == pytest.approx(0.1)
    assert trend.since == START
    assert trend.meets_on is not None
    assert abs(trend.meets_on - date(2027, 6, 20)) <= timedelta(days=1)  # floats fall to either side of a day
    assert trend.words == "meets the limit about 2027-06 (2027-06 to 2027-06)"


YEARLY = [(0, 0.05), (180, 0.12), (371, 0.27), (540, 0.33), (730, 0.45), (912, 0.56), (1100, 0.71)]


def test_dates_and_words_follow_from_the_slopes_of_scipy() -> None:
    trend = trend_of(wear(*YEARLY))
    x, y = [float(day) for day, _ in YEARLY], [share for _, share in YEARLY]
    outside = theilslopes(y, x, 0.95)
    figures = (trend.slope_per_day, trend.intercept, trend.low, trend.high)
    expected = (outside.slope, outside.intercept, outside.low_slope, outside.high_slope)
    assert figures == pytest.approx(expected)
    # Each line goes through median x 540 and median y 0.33; the limit is 1.
    days = [540 + 0.67 / slope for slope in (outside.slope, outside.high_slope, outside.low_slope)]
    on, early, late = (START + timedelta(days=int(day)) for day in days)
    assert (trend.meets_on, trend.meets_early, trend.meets_late) == (on, early, late)
    assert early < on < late
    assert trend.words == f"meets the limit about {on:%Y-%m} ({early:%Y-%m} to {late:%Y-%m})"


def test_growth_is_compared_as_a_share_whatever_the_number_of_links() -> None:
    short = wear((0, "0.1"), (100, "0.2"), (200, "0.3"), (300, "0.4"))
    long = wear((0, "0.1"), (100, "0.2"), (200, "0.3"), (300, "0.4"), allowed=D("4.725"))
    assert trend_of(short[:2] + long[2:]) == trend_of(short)
    nothing = WearPoint(day=START + timedelta(days=50), growth_mm=D(1), allowed_mm=D(0))
    assert trend_of([*short, nothing]) == trend_of(short)


@pytest.mark.parametrize("shares", [("0.3", "0.3", "0.3"), ("0.3", "0.2", "0.1"), ("0.2", "0.3", "0.1")])
def test_a_slope_of_nothing_or_less_is_not_wearing_measurably(shares: tuple[str, ...]) -> None:
    trend = trend_of(wear(*zip((0, 100, 200), shares, strict=True)))
    assert trend.words == "not wearing measurably"
    assert (trend.meets_on, trend.meets_early, trend.meets_late) == (None, None, None)
    assert not meets_before(trend, date.max)


def test_one_dip_on_a_chain_near_its_limit_leaves_the_end_open_and_is_no_all_clear() -> None:
    trend = trend_of(wear((0, "0.10"), (365, "0.30"), (730, "0.28"), (1095, "0.60"), (1460, "0.80")))
    assert trend.low is not None
    assert trend.low < 0
    assert trend.meets_on is not None
    assert trend.meets_late is None
    # By hand: of the ten slopes the middle two are 0.5/1095 and 0.7/1460, the steepest is 0.32/365; from
    # median day 730 and median share 0.3 they take 1495 and 798 days, to 2031-02-04 and 2029-03-09.
    assert trend.words == "meets the limit about 2031-02 (2029-03 or later)"


@pytest.mark.parametrize(("years", "told"), [(19.9, True), (20.1, False)])
def test_beyond_twenty_years_nothing_is_told(years: float, told: bool) -> None:
    # From the last of three readings, 200 days after the start, at a share that leaves `years` to go.
    slope = 0.5 / (years * 365.25)
    trend = trend_of(wear(*((day, 0.5 + slope * (day - 200)) for day in (0, 100, 200))))
    assert (trend.meets_on is not None) is told
    assert (trend.words == "does not meet the limit within 20 years") is not told


def test_a_rise_lost_in_the_scatter_and_far_from_the_limit_is_not_wearing_measurably() -> None:
    trend = trend_of(wear((0, "0.02"), (365, "0.03"), (730, "0.025"), (1095, "0.03"), (1460, "0.028")))
    assert trend.low is not None
    assert trend.slope_per_day is not None
    assert trend.low < 0 < trend.slope_per_day
    assert trend.words == "not wearing measurably"


@pytest.mark.parametrize(("share", "met"), [("0.999", False), ("1", True), ("1.001", True)])
def test_a_limit_that_is_met_is_said_with_its_day(share: str, met: bool) -> None:
    trend = trend_of(wear((0, "0.5"), (100, "0.7"), (200, share)))
    assert trend.words.startswith("the limit is met since 2025-07-20") is met
    assert trend.meets_on is not None
    assert (trend.meets_on == date(2025, 7, 20)) is met


def test_the_forecast_never_lies_before_the_last_reading_which_was_not_there_yet() -> None:
    trend = trend_of(wear((0, "0.2"), (100, "0.6"), (200, "0.95"), (400, "0.97")))
    assert trend.meets_on == START + timedelta(days=400)


@pytest.mark.parametrize(("off", "before"), [(-1, False), (0, True), (1, True)])
def test_meeting_the_limit_before_the_next_inspection_includes_its_day(off: int, before: bool) -> None:
    trend = trend_of(wear(*YEARLY))
    assert trend.meets_on is not None
    assert meets_before(trend, trend.meets_on + timedelta(days=off)) is before


def test_against_hours_the_line_is_scipys_and_the_mean_use_gives_the_dates() -> None:
    hours = [D(0), D(40), D(120), D(150), D(260), D(300), D(330)]
    trend = trend_of(wear(*YEARLY), hours=hours)
    outside = theilslopes([share for _, share in YEARLY], [float(hour) for hour in hours], 0.95)
    rate = 330 / 1100
    assert trend.hours_per_day == pytest.approx(rate)
    slopes = (trend.slope_per_day, trend.low, trend.high)
    assert slopes == pytest.approx([rate * slope for slope in (outside[0], outside[2], outside[3])])
    assert trend.intercept == pytest.approx(outside.intercept)


def test_hours_that_do_not_go_with_the_points_are_refused() -> None:
    points = wear((0, "0.1"), (100, "0.2"), (200, "0.3"))
    with pytest.raises(InputError, match="2 counter readings stand against 3 inspections"):
        trend_of(points, hours=[D(1), D(2)])
    with pytest.raises(InputError, match="run backwards"):
        trend_of(points, hours=[D(100), D(90), D(200)])


def test_a_counter_that_stands_still_is_passed_over() -> None:
    points = wear((0, "0.1"), (100, "0.2"), (200, "0.3"))
    assert trend_of(points, hours=[D(7)] * 3) == trend_of(points)


SHARES = st.decimals("0", "0.99", places=3)
POINTS = st.lists(st.tuples(st.integers(0, 3000), SHARES), min_size=3, max_size=10)


@given(POINTS, st.randoms())
def test_the_order_in_which_points_come_changes_nothing(
    points: list[tuple[int, Decimal]], chance: random.Random
) -> None:
    shuffled = list(points)
    chance.shuffle(shuffled)
    assert trend_of(wear(*shuffled)) == trend_of(wear(*points))


@given(POINTS)
def test_early_comes_before_the_middle_and_the_middle_before_late(points: list[tuple[int, Decimal]]) -> None:
    trend = trend_of(wear(*points))
    if trend.meets_on is None:
        assert trend.words.startswith(("no trend yet", "not wearing", "does not meet the limit"))
        return
    assert trend.meets_early is not None
    assert trend.meets_early <= trend.meets_on
    assert trend.meets_on <= (trend.meets_late or date.max)
    assert trend.meets_early >= START + timedelta(days=max(day for day, _ in points))
