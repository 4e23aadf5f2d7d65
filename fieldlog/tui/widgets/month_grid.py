"""A month as a grid: weeks from Monday to Sunday, how much is due on each day, and a cursor on a day."""

from datetime import date, timedelta
from typing import ClassVar

from dateutil.relativedelta import relativedelta
from rich.cells import set_cell_size
from rich.segment import Segment
from textual.binding import BindingType
from textual.message import Message
from textual.strip import Strip
from textual.widget import Widget

from fieldlog.operations.due_month import DueDay, DueMonth
from fieldlog.tui.commands import bindings

DAY_NAMES = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
WEEK_COLUMNS = 4
LEAST_DAY = 9
MOST_DAY = 14
EARLIEST, LATEST = date(1900, 1, 1), date(2999, 12, 31)


class MonthGrid(Widget, can_focus=True):
    """One month, the cursor on `day`. Posts `Moved` when it lands on another day and `Chosen` on Enter."""

    DEFAULT_CSS: ClassVar[str] = """
    MonthGrid { width: 100%; height: 7; padding: 0 1; }
    MonthGrid > .month--title { text-style: underline; }
    MonthGrid > .month--late { text-style: bold; color: $text-error; }
    MonthGrid > .month--cursor { text-style: bold reverse; }
    """
    COMPONENT_CLASSES: ClassVar[set[str]] = {"month--title", "month--late", "month--cursor"}
    BINDINGS: ClassVar[list[BindingType]] = [*bindings("month")]

    class Moved(Message):
        """The cursor stands on another day."""

        def __init__(self, day: date) -> None:
            super().__init__()
            self.day = day

    class Chosen(Moved):
        """Enter was pressed on a day."""

    def __init__(self, today: date, day: date, *, id: str | None = None) -> None:
        super().__init__(id=id)
        self.today = today
        self.day = day
        self.month: DueMonth | None = None

    def show(self, month: DueMonth) -> None:
        """Show this month; the cursor stands where it is."""
        self.month = month
        self.styles.height = len(month.weeks) + 1
        self.refresh(layout=True)

    def _go(self, day: date) -> None:
        day = min(max(day, EARLIEST), LATEST)
        if day != self.day:
            self.day = day
            self.refresh()
            self.post_message(self.Moved(day))

    def action_move(self, days: int) -> None:
        """To another day."""
        self._go(self.day + timedelta(days=days))

    def action_month(self, months: int) -> None:
        """To the same day of another month, or its last one."""
        self._go(self.day + relativedelta(months=months))

    def action_today(self) -> None:
        """Back to today."""
        self._go(self.today)

    def action_choose(self) -> None:
        """Tell that the day under the cursor was chosen."""
        self.post_message(self.Chosen(self.day))

    def _day_columns(self) -> int:
        return min(max((self.size.width - WEEK_COLUMNS) // len(DAY_NAMES), LEAST_DAY), MOST_DAY)

    def render_line(self, y: int) -> Strip:
        """The names of the days, then a week a line."""
        wide, ground = self._day_columns(), self.rich_style
        if y == 0:
            names = "".join(f" {name}".ljust(wide) for name in DAY_NAMES)
            style = ground + self.get_component_rich_style("month--title")
            return self._strip([Segment(f"{'':<{WEEK_COLUMNS}}{names}", style)])
        if self.month is None or y > len(self.month.weeks):
            return Strip.blank(self.size.width, ground)
        week = self.month.weeks[y - 1]
        cells = [self._cell(day, wide) for day in week.days]
        return self._strip([Segment(f"W{week.number:02} ", ground), *cells])

    def _strip(self, segments: list[Segment]) -> Strip:
        return Strip(segments).adjust_cell_length(self.size.width, self.rich_style)

    def _cell(self, day: DueDay, wide: int) -> Segment:
        style = self.rich_style
        if any(due.overdue for due in day.due):
            style += self.get_component_rich_style("month--late", partial=True)
        if day.day == self.day:
            style += self.get_component_rich_style("month--cursor", partial=True)
        return Segment(set_cell_size(self.words_of(day), wide - 1) + " ", style)

    def words_of(self, day: DueDay) -> str:
        """A day in few signs: [ ] around the cursor, * for today, how many are due, ! for overdue ones."""
        if not day.in_month:
            return ""
        left, right = "[]" if day.day == self.day else "  "
        star = "*" if day.day == self.today else " "
        late = "!" if any(due.overdue for due in day.due) else ""
        count = f"{len(day.due)}{late}" if day.due else ""
        return f"{left}{day.day.day:2}{star}{right}{count}"
