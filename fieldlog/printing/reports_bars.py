"""One bar of a row of bars, with the mark of the limit across it."""

from reportlab.lib.colors import white
from reportlab.lib.units import mm
from reportlab.platypus import Flowable

from fieldlog.domain.report_content import Bar
from fieldlog.printing.reports_style import FRAME, HAIRLINE, INK, SHADE

THICK, HEIGHT = 2.6 * mm, 3.8 * mm
LEAST = 0.6
"""Points; whatever is more than nothing is seen."""


class BarDrawing(Flowable):  # type: ignore[misc]
    """A framed bar as wide as its cell at the end of the scale; solid ones are black, others shaded.

    A length past the end of the scale is cut off there: its figures stand beside it.
    """

    def __init__(self, bar: Bar, full: float, limit: float | None) -> None:
        super().__init__()
        self.bar, self.full, self.limit = bar, full, limit

    def wrap(self, width: float, _height: float) -> tuple[float, float]:
        """As wide as it may be, always as high."""
        self.width = width
        return width, HEIGHT

    def length(self) -> float:
        """How long the bar is drawn [points]."""
        if self.bar.length <= 0 or self.full <= 0:
            return 0.0
        return max(self._x(self.bar.length), LEAST)

    def _x(self, value: float) -> float:
        return float(self.width * min(value / self.full, 1.0))

    def draw(self) -> None:
        """Draw with the origin at the lower left corner."""
        self.canv.saveState()
        self.canv.setStrokeColor(INK)
        self.canv.setLineWidth(HAIRLINE)
        self.canv.setFillColor(INK if self.bar.solid else SHADE)
        low = (HEIGHT - THICK) / 2
        if self.length():
            self.canv.rect(0, low, self.length(), THICK, stroke=1, fill=1)
        self._draw_limit(low)
        self.canv.restoreState()

    def _draw_limit(self, low: float) -> None:
        """A thick line from above to below the bar, white where it would not be seen on black."""
        if self.limit is None:
            return
        x = self._x(self.limit)
        self.canv.setLineWidth(FRAME)
        self.canv.line(x, 0, x, HEIGHT)
        if self.bar.solid and self.length() > x + FRAME:
            self.canv.setStrokeColor(white)
            self.canv.line(x, low, x, low + THICK)
