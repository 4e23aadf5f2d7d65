"""The wear plot: used share of the allowed growth against time, with limit, watch line and trend."""

from collections.abc import Sequence
from datetime import date
from itertools import pairwise
from typing import Any

from dateutil.relativedelta import relativedelta
from reportlab.lib.units import mm
from reportlab.platypus import Flowable

from fieldlog.domain.report_content import PlotPoint, WearPlot
from fieldlog.printing.fonts import BOLD, REGULAR, font_name
from fieldlog.printing.reports_style import FAINT, HAIRLINE, INK, LINE, SHADE

HEIGHT = 56 * mm
LEFT, RIGHT, UNDER, OVER = 12 * mm, 22 * mm, 7 * mm, 7 * mm
TYPE = 7.0
MARK = 1.5
TITLE = "Used share of the allowed growth at the worst place, by day of the inspection"
LIMIT = 100.0
LEAST_TOP = 110.0
GRID = 20
MOST_MONTH_TICKS = 14
TICK_STEPS = (1, 2, 3, 6, 12, 24, 60, 120)
MOST_AHEAD = 1.5
"""The trend is followed into the future for so many times the time measured so far, and no further."""


class WearDrawing(Flowable):  # type: ignore[misc]
    """A plot drawn with lines and embedded type, as wide as the text it stands in."""

    def __init__(self, plot: WearPlot) -> None:
        super().__init__()
        self.plot = plot
        self.first, self.last = _span(plot)
        self.top = max(LEAST_TOP, max(point.percent for point in plot.points) + 5)
        self.low = min(0.0, *(point.percent for point in plot.points))
        self.box_w = 0.0

    def wrap(self, width: float, _height: float) -> tuple[float, float]:
        """As wide as it may be, always as high."""
        self.box_w = width - LEFT - RIGHT
        return width, HEIGHT

    def _x(self, day: date) -> float:
        share = (day - self.first).days / max((self.last - self.first).days, 1)
        return float(LEFT + share * self.box_w)

    def _y(self, percent: float) -> float:
        share = (percent - self.low) / (self.top - self.low)
        return float(UNDER + share * (HEIGHT - UNDER - OVER))

    def draw(self) -> None:
        """Draw with the origin at the lower left corner."""
        self.canv.saveState()
        self._text(0, HEIGHT - TYPE, TITLE, weight=BOLD)
        self._axes()
        self._trend()
        self._limits()
        self._points()
        self.canv.restoreState()

    def _text(self, x: float, y: float, text: str, *, weight: str = REGULAR, place: str = "left") -> None:
        self.canv.setFillColor(INK)
        self.canv.setFont(font_name(weight), TYPE)
        draw = {"left": self.canv.drawString, "right": self.canv.drawRightString}
        draw.get(place, self.canv.drawCentredString)(x, y, text)

    def _axes(self) -> None:
        canvas: Any = self.canv
        right = LEFT + self.box_w
        canvas.setStrokeColor(SHADE)
        canvas.setLineWidth(HAIRLINE)
        for percent in range(0, int(self.top) + 1, GRID):
            canvas.line(LEFT, self._y(percent), right, self._y(percent))
            self._text(LEFT - 2 * mm, self._y(percent) - TYPE / 3, f"{percent} %", place="right")
        canvas.setStrokeColor(FAINT)
        canvas.line(LEFT, UNDER, right, UNDER)
        for day in _ticks(self.first, self.last):
            canvas.line(self._x(day), UNDER, self._x(day), UNDER - 1 * mm)
            self._text(self._x(day), UNDER - 4 * mm, f"{day:%Y-%m}", place="middle")

    def _limits(self) -> None:
        canvas: Any = self.canv
        right = LEFT + self.box_w
        canvas.setStrokeColor(INK)
        canvas.setLineWidth(2 * LINE)
        canvas.line(LEFT, self._y(LIMIT), right, self._y(LIMIT))
        self._text(right + 1.5 * mm, self._y(LIMIT) - TYPE / 3, "limit: discard", weight=BOLD)
        canvas.setLineWidth(LINE)
        canvas.setDash(1.5, 2)
        watch = self.plot.watch_percent
        canvas.line(LEFT, self._y(watch), right, self._y(watch))
        canvas.setDash()
        self._text(right + 1.5 * mm, self._y(watch) - TYPE / 3, f"watch: {watch:g} %")

    def _trend(self) -> None:
        """The trend's line, and the area between the ends of its interval, cut off at the frame."""
        if self.plot.forecast is None:
            return
        canvas: Any = self.canv
        canvas.saveState()
        frame = canvas.beginPath()
        frame.rect(LEFT, UNDER, self.box_w, HEIGHT - UNDER - OVER)
        canvas.clipPath(frame, stroke=0, fill=0)
        if self.plot.early is not None and self.plot.late is not None:
            self._band(self.plot.early, self.plot.late)
        canvas.setStrokeColor(INK)
        canvas.setLineWidth(LINE)
        canvas.setDash(5, 2)
        self._stroke(self.plot.forecast)
        canvas.restoreState()

    def _band(self, early: tuple[PlotPoint, PlotPoint], late: tuple[PlotPoint, PlotPoint]) -> None:
        """From the last reading on, what lies between the steepest and the flattest line."""
        begin = self.plot.points[-1].day
        path = self.canv.beginPath()
        path.moveTo(self._x(begin), self._y(_height(early, begin)))
        path.lineTo(self._x(self.last), self._y(_height(early, self.last)))
        path.lineTo(self._x(self.last), self._y(_height(late, self.last)))
        path.lineTo(self._x(begin), self._y(_height(late, begin)))
        path.close()
        self.canv.setFillColor(SHADE)
        self.canv.drawPath(path, stroke=0, fill=1)

    def _stroke(self, line: tuple[PlotPoint, PlotPoint]) -> None:
        begin = line[0].day
        self.canv.line(
            self._x(begin), self._y(line[0].percent), self._x(self.last), self._y(_height(line, self.last))
        )

    def _points(self) -> None:
        canvas: Any = self.canv
        canvas.setStrokeColor(INK)
        canvas.setFillColor(INK)
        canvas.setLineWidth(HAIRLINE)
        places = [(self._x(point.day), self._y(point.percent)) for point in self.plot.points]
        for (x0, y0), (x1, y1) in pairwise(places):
            canvas.line(x0, y0, x1, y1)
        for x, y in places:
            canvas.circle(x, y, MARK, stroke=0, fill=1)


def _height(line: tuple[PlotPoint, PlotPoint], day: date) -> float:
    """The percent at which a line stands on a day."""
    begin, end = line
    days = max((end.day - begin.day).days, 1)
    return begin.percent + (end.percent - begin.percent) * (day - begin.day).days / days


def _span(plot: WearPlot) -> tuple[date, date]:
    """First and last day shown: what was measured, and the trend as far as it can be trusted at all."""
    first, last = plot.points[0].day, plot.points[-1].day
    ends = [line[1].day for line in (plot.forecast, plot.late) if line is not None]
    # Counted in days from the first: a date too far off would not be one.
    most = round((last - first).days * (1 + MOST_AHEAD))
    ahead = max([(last - first).days, *(min((day - first).days, most) for day in ends)])
    return first, first + relativedelta(days=max(ahead, 1))


def _ticks(first: date, last: date) -> Sequence[date]:
    """The first days of months between, so many that their names do not touch."""
    months = (last.year - first.year) * 12 + last.month - first.month
    step = next((step for step in TICK_STEPS if months / step <= MOST_MONTH_TICKS), TICK_STEPS[-1])
    begin = first.replace(day=1) + relativedelta(months=1)
    ticks = []
    while begin <= last:
        if (begin.month - 1 + 12 * begin.year) % step == 0:
            ticks.append(begin)
        begin += relativedelta(months=1)
    return ticks or [first]
