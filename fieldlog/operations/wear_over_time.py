"""The wear of a hoist's chain over time, ready to be drawn: readings, limit, trend, and the same in words."""

from collections.abc import Sequence
from datetime import date, timedelta
from statistics import median

from msgspec import Struct

from fieldlog.domain.history import ChainLife, WearPoint
from fieldlog.domain.records import Basis
from fieldlog.domain.report_content import PlotPoint, WearPlot
from fieldlog.domain.trend import Trend
from fieldlog.operations.foreseeing import trend_on
from fieldlog.operations.reporting_words import fitted_set
from fieldlog.operations.shop import OpenHoist, Shop, open_hoist
from fieldlog.operations.wear_along import on_this_chain
from fieldlog.units import format_mm

LIMIT_PERCENT = 100.0
MOST_AHEAD = 3
"""The forecast is followed for so many times the time measured so far, and no further."""
BEYOND = 0.15
"""How far past the last reading the picture goes where no forecast does, as a share of the time so far."""
LEAST_BEYOND_DAYS = 30


class WearOverTime(Struct, frozen=True, kw_only=True):
    """What there is to draw of one chain, from day `first` to day `last`.

    `plot` is None where there is nothing to draw; `sentence` then says why. `about` says which chain it is
    and how the trend was found.
    """

    sentence: str
    about: str
    first: date
    last: date
    plot: WearPlot | None = None


def wear_over_time(shop: Shop, hoist_id: str) -> WearOverTime:
    """The wear of the chain that hangs there now; a chain before it is left out, as are struck records.

    NotFoundError for a hoist that is not there.
    """
    opened = open_hoist(shop, hoist_id)
    chain = opened.history.chain
    points = _points(() if chain is None else chain.wear)
    first = opened.hoist.registered_on if chain is None else chain.fitted_on
    if chain is None or not points:
        why = _nothing(opened, chain)
        return WearOverTime(sentence=why, about=_about(opened, chain), first=first, last=first)
    trend = trend_on(opened.history, chain)
    plot = WearPlot(
        points=points,
        watch_percent=float(opened.rulebook.watch_share * 100),
        forecast=_line(points, trend, trend.slope_per_day, trend.meets_on),
        early=_line(points, trend, trend.high, trend.meets_early),
        late=_line(points, trend, trend.low, trend.meets_late),
        words=trend.words,
    )
    first = min(first, points[0].day)
    return WearOverTime(
        sentence=f"{_grown(chain.wear)}; {trend.words}.",
        about=f"{_about(opened, chain)}{_method(trend)}",
        first=first,
        last=_end(first, plot),
        plot=plot,
    )


def height_on(line: tuple[PlotPoint, PlotPoint], day: date) -> float:
    """The percent at which a line through these two points stands on a day."""
    begin, end = line
    days = max((end.day - begin.day).days, 1)
    return begin.percent + (end.percent - begin.percent) * (day - begin.day).days / days


def _points(wear: Sequence[WearPoint]) -> tuple[PlotPoint, ...]:
    return tuple(
        PlotPoint(day=point.day, percent=float(point.growth_mm / point.allowed_mm * 100))
        for point in sorted(wear, key=lambda point: point.day)
        if point.allowed_mm > 0
    )


def _grown(wear: Sequence[WearPoint]) -> str:
    last = max((point for point in wear if point.allowed_mm > 0), key=lambda point: point.day)
    share = f"{last.growth_mm / last.allowed_mm * 100:.0f} %"
    of = f"{format_mm(last.growth_mm)} of {format_mm(last.allowed_mm)} mm"
    return f"Grown {of}, {share}, on {last.day.isoformat()}"


def _about(opened: OpenHoist, chain: ChainLife | None) -> str:
    if chain is None:
        return "No chain is recorded."
    size = f"{format_mm(chain.size.dn_mm)} x {format_mm(chain.size.pn_mm)} mm"
    least = "" if fitted_set(opened) is not None else "at least "
    since = f"on the hoist since {least}{chain.fitted_on.isoformat()}"
    return f"Chain {chain.number}, {size}, {since}."


def _method(trend: Trend) -> str:
    if trend.slope_per_day is None:
        return ""
    rate = trend.hours_per_day
    against = "" if rate is None else f", against running hours at {rate:.1f} h a day"
    return f" Theil-Sen line over {trend.points} inspections{against}; no verdict rests on it."


def _nothing(opened: OpenHoist, chain: ChainLife | None) -> str:
    if chain is None:
        return "Nothing to draw: no chain is recorded."
    since = f"since {chain.fitted_on.isoformat()}"
    gauged = [
        body.done_on
        for body in on_this_chain(opened)
        if any(reading.basis is Basis.GAUGE for reading in body.readings)
    ]
    if gauged:
        return (
            f"Nothing to draw: this chain is checked with a go/no-go gauge, which gives no length"
            f" (last on {max(gauged).isoformat()})."
        )
    return f"Nothing to draw yet: no length of this chain was measured {since}."


def _line(
    points: Sequence[PlotPoint], trend: Trend, slope: float | None, meets: date | None
) -> tuple[PlotPoint, PlotPoint] | None:
    """The trend's line of this slope through its middle point, to where it meets the limit or a bit on."""
    if trend.meets_on is None or slope is None or not trend.slope_per_day:
        return None
    if trend.since is None or trend.intercept is None or points[-1].percent >= LIMIT_PERCENT:
        return None
    since = trend.since
    middle = median(point.percent for point in points)
    # Against running hours the middle does not lie at the median day, but where the line itself has it.
    middle_x = (middle / 100 - trend.intercept) / trend.slope_per_day
    last = points[-1].day
    end = meets or max(trend.meets_on, last) + timedelta(days=round((last - since).days * BEYOND))

    def at(day: date) -> PlotPoint:
        return PlotPoint(day=day, percent=middle + slope * 100 * ((day - since).days - middle_x))

    return at(since), at(end)


def _end(first: date, plot: WearPlot) -> date:
    """The last day of the picture: with the limit in sight where it is not too far ahead."""
    last = plot.points[-1].day
    measured = (last - first).days
    least = last + timedelta(days=max(round(measured * BEYOND), LEAST_BEYOND_DAYS))
    if plot.forecast is None:
        return least
    wanted = plot.forecast[1].day if plot.late is None else max(plot.forecast[1].day, plot.late[1].day)
    ahead = min((wanted - last).days * (1 + BEYOND), measured * MOST_AHEAD)
    return max(least, last + timedelta(days=round(ahead)))
