"""The wear plot in signs: readings against days, limit, watch line, forecast and its band."""

import re
from collections.abc import Iterator, Sequence
from datetime import date, timedelta
from types import ModuleType

from dateutil.relativedelta import relativedelta
from msgspec import Struct

from fieldlog.domain.report_content import PlotPoint, WearPlot
from fieldlog.operations.wear_over_time import LIMIT_PERCENT, WearOverTime, height_on

LEAST_COLUMNS, LEAST_LINES = 40, 8
TOP = 110.0
GRIDS, MOST_GRID = (20, 50, 100, 200, 500), 8
CLOSE_LINES = 1.5
COLUMNS_A_TICK = 12
SHORT_DAYS = 90
MONTH_STEPS = (1, 2, 3, 6, 12, 24, 36, 60, 120, 240)
FRAME_COLUMNS = 13
TITLE = "Used share of the allowed growth at the worst place, by day of the inspection"
CONTROL = re.compile(r"\x1b\[[0-9;]*m")
PLAIN_FRAME = str.maketrans("┌┐└┘┤├┬┴┼│─", "+++++++++|-")


class Signs(Struct, frozen=True, kw_only=True):
    """What each part of the plot is drawn with; no two are the same, so colour is not needed."""

    reading: str
    limit: str
    watch: str
    trend: str
    band: str


DRAWN = Signs(reading="●", limit="━", watch="╌", trend="•", band="░")
PLAIN = Signs(reading="o", limit="=", watch="-", trend="*", band=":")


class _Sheet(Struct, frozen=True, kw_only=True):
    """What is drawn on: the plotting library, the days at both edges, and the size in signs."""

    plotext: ModuleType
    first: date
    last: date
    columns: int
    lines: int

    def x(self, day: date) -> int:
        """Where a day stands on the axis."""
        return (day - self.first).days


def wear_plot_lines(wear: WearOverTime, *, columns: int, lines: int, plain: bool) -> list[str]:
    """The plot in so many columns and lines, with a title and a line that tells the signs.

    `plain` takes ASCII signs alone. No line where there is nothing to draw; in a window that is too small
    one sentence says so.
    """
    plot = wear.plot
    if plot is None:
        return []
    if columns < LEAST_COLUMNS or lines < LEAST_LINES:
        return [f"Too small to draw in: {LEAST_COLUMNS} columns and {LEAST_LINES} lines are needed."]
    signs = PLAIN if plain else DRAWN
    import plotext  # noqa: PLC0415 (needed here alone)

    sheet = _Sheet(plotext=plotext, first=wear.first, last=wear.last, columns=columns, lines=lines - 2)
    _frame(sheet, plot)
    _band(sheet, plot, signs.band)
    for percent, sign in ((plot.watch_percent, signs.watch), (LIMIT_PERCENT, signs.limit)):
        plotext.plot([0, sheet.x(wear.last)], [percent, percent], marker=sign)
    _trend(sheet, plot, signs.trend)
    plotext.scatter(
        [sheet.x(point.day) for point in plot.points],
        [point.percent for point in plot.points],
        marker=signs.reading,
    )
    drawn = [line.rstrip() for line in CONTROL.sub("", plotext.build()).splitlines()]
    told = [TITLE[:columns], *drawn, _legend("".join(drawn), signs)[:columns]]
    return [line.translate(PLAIN_FRAME) for line in told] if plain else told


def _legend(drawn: str, signs: Signs) -> str:
    """What the signs mean that are seen."""
    meant = (
        (signs.reading, "reading"),
        (signs.limit, "limit"),
        (signs.watch, "watch"),
        (signs.trend, "trend"),
        (signs.band, "its 95 % band"),
    )
    return "   ".join(f"{sign} {name}" for sign, name in meant if sign in drawn)


def _frame(sheet: _Sheet, plot: WearPlot) -> None:
    """Axes with labels that carry their units."""
    plotext = sheet.plotext
    highest = max(point.percent for point in plot.points)
    lowest = min(point.percent for point in plot.points)
    top = max(TOP, highest * 1.1)
    plotext.clear_figure()
    plotext.theme("clear")
    plotext.limitsize(False, False)
    plotext.plotsize(sheet.columns, sheet.lines)
    plotext.xlim(0, sheet.x(sheet.last))
    plotext.ylim(min(0.0, lowest), top)
    steps = _percents(top, sheet.lines)
    plotext.yticks(steps, [_percent_label(step, plot) for step in steps])
    marks = ticks(sheet.first, sheet.last, max((sheet.columns - FRAME_COLUMNS) // COLUMNS_A_TICK, 2))
    plotext.xticks([sheet.x(day) for day, _ in marks], [label for _, label in marks])


def _percents(top: float, lines: int) -> list[int]:
    """Percents for the axis on the left; the limit is always there, others give way to it."""
    grid = next(step for step in (*GRIDS, int(top)) if top / step <= MOST_GRID)
    close = top / lines * CLOSE_LINES
    others = [step for step in range(0, int(top) + 1, grid) if abs(step - LIMIT_PERCENT) > close]
    return sorted([*others, int(LIMIT_PERCENT)])


def _percent_label(percent: int, plot: WearPlot) -> str:
    if percent == LIMIT_PERCENT:
        return "limit 100 %"
    return f"watch {percent} %" if percent == plot.watch_percent else f"{percent} %"


def ticks(first: date, last: date, most: int) -> list[tuple[date, str]]:
    """Days for the axis below, at most so many: months as 2027-08, or whole days in a short picture."""
    span = (last - first).days
    if span <= SHORT_DAYS:
        places = sorted({round(span * place / max(most - 1, 1)) for place in range(most)})
        days = [first + timedelta(days=place) for place in places]
        return [(day, day.isoformat()) for day in days]
    found: list[date] = []
    for step in MONTH_STEPS:
        found = list(_months(first, last, step))
        if len(found) <= most:
            break
    return [(day, f"{day:%Y-%m}") for day in found]


def _months(first: date, last: date, step: int) -> Iterator[date]:
    """First days of months, every `step` months counted from a January."""
    day = date(first.year, 1, 1)
    while day <= last:
        if day >= first:
            yield day
        day += relativedelta(months=step)


def _band(sheet: _Sheet, plot: WearPlot, sign: str) -> None:
    """From the last reading on, what lies between the flattest and the steepest line, up to the limit."""
    if plot.early is None or plot.late is None:
        return
    begin, span = plot.points[-1].day, (sheet.last - plot.points[-1].day).days
    days, heights = [], []
    for place in range(2 * sheet.columns + 1):
        day = begin + timedelta(days=round(span * place / (2 * sheet.columns)))
        low, high = max(height_on(plot.late, day), 0.0), min(height_on(plot.early, day), LIMIT_PERCENT)
        for height in _between(low, high, TOP / (2 * sheet.lines)):
            days.append(sheet.x(day))
            heights.append(height)
    if days:
        sheet.plotext.scatter(days, heights, marker=sign)


def _between(low: float, high: float, step: float) -> Sequence[float]:
    """Heights from low to high, close enough to leave no line of the picture out."""
    if high < low:
        return ()
    return [*(low + place * step for place in range(int((high - low) / step) + 1)), high]


def _trend(sheet: _Sheet, plot: WearPlot, sign: str) -> None:
    if plot.forecast is None:
        return
    begin, end = plot.forecast
    if end.day > sheet.last:
        end = PlotPoint(day=sheet.last, percent=height_on(plot.forecast, sheet.last))
    days = [sheet.x(begin.day), sheet.x(end.day)]
    sheet.plotext.plot(days, [begin.percent, end.percent], marker=sign)
