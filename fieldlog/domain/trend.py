"""Wear of one chain against time or running hours, and when it will meet the limit.

Growth is taken as a share of what is allowed, so that readings over different numbers of links can stand
in one line. Shares, slopes and forecasts are floats: this is statistics, and no verdict rests on them but
the watch verdict.
"""

from collections.abc import Sequence
from datetime import date, timedelta
from decimal import Decimal
from itertools import combinations, pairwise
from math import floor, sqrt
from statistics import NormalDist, median

from msgspec import Struct

from fieldlog.domain.logbook import WearPoint
from fieldlog.errors import InputError

FEWEST_POINTS = 3
# Beyond this no date is told: twenty years after manufacture ISO 12482:2014 wants a special assessment at
# the latest (published). That it bounds the forecast is our own choice.
HORIZON_YEARS = 20
DAYS_A_YEAR = 365.25
TWO_SIDED_95 = NormalDist().inv_cdf(0.975)


class Line(Struct, frozen=True, kw_only=True):
    """A straight line through points, with the 95 % interval of its slope, in the units of y and x."""

    slope: float
    low: float
    high: float
    intercept: float


class Trend(Struct, frozen=True, kw_only=True):
    """How the used share of the allowed growth rises. Figures are None where there is no trend yet.

    Slopes are shares a day; `intercept` is the line's share on the day `since`, the first point's.
    `hours_per_day` is the mean use where the trend is against running hours, else None.
    `meets_late` is None where the slope's interval reaches down to no wear: then the end is open.
    """

    points: int
    slope_per_day: float | None = None
    low: float | None = None
    high: float | None = None
    intercept: float | None = None
    meets_on: date | None = None
    meets_early: date | None = None
    meets_late: date | None = None
    words: str
    since: date | None = None
    hours_per_day: float | None = None


def theil_sen(y: Sequence[float], x: Sequence[float]) -> Line:
    """The median of all slopes between two points, and the 95 % interval of it.

    Pairs at one x give no slope. The line goes through median x and median y. The interval is read from
    the sorted slopes at (N -+ z sigma) / 2, sigma by Kendall's statistic with ties; for five points or
    fewer this is all slopes, from the least to the greatest.
    Raises InputError where the counts differ or all x are equal.
    Source: P. K. Sen, J. Am. Stat. Assoc. 63 (1968), 1379-1389, eq. 2.6 (from memory); the figures are
    those of scipy.stats.theilslopes(y, x, 0.95).
    Example: y 1, 2, 4 at x 0, 1, 2: slopes 1, 1.5, 2, median 1.5, interval 1 to 2, intercept 0.5.
    """
    if len(y) != len(x):
        raise InputError(f"{len(y)} values stand against {len(x)} places on the axis")
    pairs = combinations(zip(x, y, strict=True), 2)
    slopes = sorted((y2 - y1) / (x2 - x1) for (x1, y1), (x2, y2) in pairs if x1 != x2)
    if not slopes:
        raise InputError("a line needs points at two different places at least")
    slope = median(slopes)
    reach = TWO_SIDED_95 * _sigma(y, x)
    low = max(round((len(slopes) - reach) / 2) - 1, 0)
    high = min(round((len(slopes) + reach) / 2), len(slopes) - 1)
    intercept = median(y) - slope * median(x)
    return Line(slope=slope, low=slopes[low], high=slopes[high], intercept=intercept)


def _sigma(y: Sequence[float], x: Sequence[float]) -> float:
    """Standard deviation of Kendall's statistic, lessened by ties on either axis."""
    ties = [values.count(value) for values in (list(x), list(y)) for value in set(values)]
    counted = _kendall(len(y)) - sum(_kendall(tie) for tie in ties)
    # More ties than pairs leave nothing to count; the interval is then all slopes.
    return sqrt(counted / 18) if counted >= 0 else float(len(y) ** 2)


def _kendall(n: int) -> int:
    return n * (n - 1) * (2 * n + 5)


def trend_of(wear: Sequence[WearPoint], *, hours: Sequence[Decimal] | None = None) -> Trend:
    """The trend of one chain's wear, from the worst growth of each inspection since it was fitted.

    `hours` are the readings of the running-hours counter at the same inspections; with them the line is
    drawn against hours, and dates follow from the mean hours a day between first and last inspection.
    A counter that stands still tells nothing, and days are taken.
    Points with nothing allowed are left out. Under three inspections on different days: no trend yet,
    because three on one day tell of the tool and not of the chain.
    Not wearing measurably: the slope is zero or falls; or its interval holds zero and the limit lies over
    20 years ahead. Where the interval holds zero and the limit lies nearer, a date is told all the same,
    with an open end: up to five points one dip makes it so, and a chain near its limit must not pass for
    one that does not wear.
    Raises InputError for hours that do not go with the points or that run backwards.
    Source: as `theil_sen`. Example: shares 0.1, 0.2, 0.3 each 100 days meet the limit 900 days after the
    first (worked out by hand).
    """
    if hours is not None and len(hours) != len(wear):
        raise InputError(f"{len(hours)} counter readings stand against {len(wear)} inspections")
    chosen = sorted(
        (point.day, None if hours is None else float(hours[place]), float(point.growth_mm / point.allowed_mm))
        for place, point in enumerate(wear)
        if point.allowed_mm > 0
    )
    days = [day for day, _, _ in chosen]
    shares = [share for _, _, share in chosen]
    if len(set(days)) < FEWEST_POINTS:
        return Trend(points=len(chosen), words="no trend yet")
    counter = [hour for _, hour, _ in chosen if hour is not None]
    rate = _hours_per_day(days, counter) if counter else None
    x = [(hour - counter[0]) / rate for hour in counter] if rate else [_days(days[0], day) for day in days]
    return _told(days, shares, theil_sen(shares, x), x, rate)


def _days(start: date, day: date) -> float:
    return float((day - start).days)


def _hours_per_day(days: Sequence[date], counter: Sequence[float]) -> float:
    if any(later < earlier for earlier, later in pairwise(counter)):
        raise InputError("the running hours run backwards: was the counter changed?")
    return (counter[-1] - counter[0]) / _days(days[0], days[-1])


def _told(
    days: Sequence[date], shares: Sequence[float], line: Line, x: Sequence[float], rate: float | None
) -> Trend:
    """The trend with its dates. The lines of the outer slopes go through the same middle point."""
    middle, left = median(x), 1 - median(shares)
    past = [day for day, share in zip(days, shares, strict=True) if share >= 1]
    met = past[0] if shares[-1] >= 1 else None
    dates = [_meets(days, middle, left, slope) for slope in (line.slope, line.high, line.low)]
    on, early, late = (met, met, met) if met is not None else dates
    if on is None:
        early = late = None
    return Trend(
        points=len(days),
        slope_per_day=line.slope,
        low=line.low,
        high=line.high,
        intercept=line.intercept,
        meets_on=on,
        meets_early=early,
        meets_late=late,
        words=f"the limit is met since {met.isoformat()}" if met else _words(line, on, early, late),
        since=days[0],
        hours_per_day=rate or None,
    )


def _meets(days: Sequence[date], middle: float, left: float, slope: float) -> date | None:
    """The day on which a line of this slope meets the limit; not before the last reading, which had not."""
    if slope <= 0:
        return None
    ahead = max(middle + left / slope - _days(days[0], days[-1]), 0.0)
    if ahead > HORIZON_YEARS * DAYS_A_YEAR:
        return None
    return days[-1] + timedelta(days=floor(ahead))


def _words(line: Line, on: date | None, early: date | None, late: date | None) -> str:
    if on is None or early is None:
        sure = line.low > 0
        return f"does not meet the limit within {HORIZON_YEARS} years" if sure else "not wearing measurably"
    until = "or later" if late is None else f"to {late:%Y-%m}"
    return f"meets the limit about {on:%Y-%m} ({early:%Y-%m} {until})"


def meets_before(trend: Trend, day: date) -> bool:
    """Whether the trend meets the limit on or before `day`, the next periodic inspection's, for 'watch'.

    The middle estimate decides, as Theil-Sen is chosen for standing firm against one bad reading, which
    the ends of its interval do not. The day itself counts: until then the hoist may still be worked.
    """
    return trend.meets_on is not None and trend.meets_on <= day
