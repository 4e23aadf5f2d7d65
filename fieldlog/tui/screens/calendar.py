"""What is due, day by day: a month, a cursor on a day, and the hoists of that day below it."""

from datetime import date

from textual.app import ComposeResult
from textual.widgets import Label

from fieldlog.domain.counting import counted
from fieldlog.operations.due_month import DueInspection, DueMonth, due_month, shop_dues
from fieldlog.tui.screens.drawn import DrawnPage
from fieldlog.tui.widgets.line_table import Column, LineTable, Row
from fieldlog.tui.widgets.month_grid import DAY_NAMES, MonthGrid

COLUMNS = (
    Column(title="Tag", width=10),
    Column(title="Inspection", width=16),
    Column(title="Where"),
    Column(title="", width=9),
)
LEGEND = "Beside a day: how many are due, ! with overdue ones.   * today   W week (ISO)"


def month_words(month: DueMonth, dues: tuple[DueInspection, ...]) -> str:
    """The month in a sentence: what is due and overdue in it, or where the next thing is due."""
    due = month.due
    name = f"{month.year}-{month.month:02}"
    if not due:
        return f"{name}: nothing is due. {_nearest(month, dues)}"
    days = counted(len({one.due_on for one in due}), "day")
    hoists = counted(len({one.id for one in due}), "hoist")
    before = sum(
        one.overdue for one in dues if (one.due_on.year, one.due_on.month) < (month.year, month.month)
    )
    more = f", {before} from before" if before else ""
    overdue = sum(one.overdue for one in due)
    return f"{name}: {counted(len(due), 'inspection')} on {days}, {hoists}; {overdue} overdue{more}."


def _nearest(month: DueMonth, dues: tuple[DueInspection, ...]) -> str:
    after = [one.due_on for one in dues if (one.due_on.year, one.due_on.month) > (month.year, month.month)]
    if after:
        return f"The next after it: {min(after).isoformat()}."
    return (
        f"The last before it: {max(one.due_on for one in dues).isoformat()}." if dues else "No hoist is due."
    )


def day_words(day: date, dues: tuple[DueInspection, ...]) -> str:
    """What is due on one day, in a sentence."""
    name = f"{day.isoformat()}, {DAY_NAMES[day.weekday()]}"
    if not dues:
        return f"{name}: nothing is due"
    return f"{name}: {counted(len(dues), 'inspection')} due; Enter leads to the list, then to the hoist"


class CalendarPage(DrawnPage):
    """The calendar, with the cursor on a day, today if none is given.

    Enter leads from the day to its hoists, Escape back to the day and out.
    """

    DEFAULT_CSS = """
    #month-legend, #day-words { width: 100%; height: 1; padding: 0 1; }
    #month-legend { color: $text-muted; }
    #day-words { text-style: bold; }
    """
    first_focus = "#month"

    def __init__(self, day: date | None = None, *, plain: bool | None = None) -> None:
        super().__init__(plain=plain)
        self.day = day
        self.dues: tuple[DueInspection, ...] = ()

    def heading(self) -> str:
        """The day at the keys, which the calendar marks with a star."""
        return f"Due by day   today {self.today().isoformat()}"

    def body(self) -> ComposeResult:
        """The month in words, the grid, and the list of the day."""
        yield self.words()
        yield MonthGrid(self.today(), self.day or self.today(), id="month")
        yield Label(LEGEND, id="month-legend", markup=False)
        yield Label("", id="day-words", markup=False)
        yield LineTable(COLUMNS, id="day-list", title=False)

    def on_mount(self) -> None:
        """Read what is due."""
        super().on_mount()
        self.show_dues()

    def on_screen_resume(self) -> None:
        """Coming back, the calendar shows what was done meanwhile."""
        if self.is_mounted and self.query(MonthGrid):
            self.show_dues()

    def show_dues(self) -> None:
        """Read again what is due and show the month of the cursor."""
        self.dues = shop_dues(self.shop, self.today())
        self._show_month()

    def _show_month(self) -> None:
        grid = self.query_one(MonthGrid)
        month = due_month(self.dues, grid.day.year, grid.day.month)
        grid.show(month)
        self.show_words(month_words(month, self.dues))
        self._show_day(grid.day)

    def _show_day(self, day: date) -> None:
        due = tuple(one for one in self.dues if one.due_on == day)
        self.query_one("#day-words", Label).update(day_words(day, due))
        self.query_one(LineTable).set_rows([_row(one) for one in due])

    def on_month_grid_moved(self, event: MonthGrid.Moved) -> None:
        """Show the day, and its month where that is another one."""
        event.stop()
        self._show_month()

    def on_month_grid_chosen(self, event: MonthGrid.Chosen) -> None:
        """Go to the list of the day."""
        event.stop()
        table = self.query_one(LineTable)
        if table.rows:
            table.focus()
        else:
            self.say(f"Nothing is due on {event.day.isoformat()}.")

    def on_line_table_chosen(self, event: LineTable.Chosen) -> None:
        """Open the hoist."""
        self.fieldlog.open_hoist(event.key.split(" ", 1)[0])

    def leave(self) -> None:
        """From the list back to the day; from the day to the screen below."""
        if isinstance(self.focused, LineTable):
            self.query_one(MonthGrid).focus()
        else:
            super().leave()


def _row(due: DueInspection) -> Row:
    where = f"{due.site}, {due.place}" if due.place else due.site
    late = "! overdue" if due.overdue else ""
    return Row(
        key=f"{due.id} {due.kind}",
        cells=(due.id, due.kind, f"{where}  {due.name}", late),
        tone="bad" if due.overdue else "plain",
    )
