"""Figures of the shop, drawn: load of work by month, most worn chains, chain lives, readings in doubt."""

from datetime import date
from functools import partial
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import BindingType

from fieldlog.domain.counting import counted
from fieldlog.operations.due_month import DueInspection, shop_dues
from fieldlog.operations.figures import ShopFigures, shop_figures
from fieldlog.tui.commands import bindings
from fieldlog.tui.long_work import Job, LongWork
from fieldlog.tui.screens.calendar import CalendarPage
from fieldlog.tui.screens.drawn import DrawnPage
from fieldlog.tui.widgets.bars import bar_signs
from fieldlog.tui.widgets.figure_rows import (
    LABEL,
    bar_columns,
    figure_rows,
    first_day_of,
    how_counted,
    load_words,
    tells_columns,
)
from fieldlog.tui.widgets.line_table import Column, LineTable
from fieldlog.tui.widgets.progress_line import ProgressLine

Found = tuple[ShopFigures, tuple[DueInspection, ...]]


class FiguresPage(LongWork, DrawnPage):
    """All figures on one page that scrolls. Logbooks are read aside, so that keys are answered meanwhile."""

    BINDINGS: ClassVar[list[BindingType]] = [*bindings("figures")]
    first_focus = "#figures"
    leaves_at_once = True

    def __init__(self, *, plain: bool | None = None) -> None:
        super().__init__(plain=plain)
        self.found: Found | None = None

    def heading(self) -> str:
        """The day that the figures hold for."""
        return f"Figures of the shop   {self.today().isoformat()}"

    def body(self) -> ComposeResult:
        """Words, then bars as rows that scroll, and how far it is."""
        yield self.words()
        yield LineTable(_columns(self.app.size.width), id="figures", title=False)
        yield ProgressLine()

    def on_mount(self) -> None:
        """Begin to read the logbooks."""
        self.say("Reading every logbook.")
        self.begin(partial(_work_out, today=self.today()), self.take, "logbooks")

    def take(self, found: Found) -> None:
        """Show what was found; its line is room for figures from now on."""
        self.found = found
        self.query_one(ProgressLine).display = False
        self.show_figures()

    def on_resize(self) -> None:
        """Draw for the new width."""
        if self.found is not None:
            self.show_figures()

    def show_figures(self) -> None:
        """Draw what was found."""
        if self.found is None:
            return
        figures, dues = self.found
        past = tuple(due for due in dues if due.due_on < figures.day)
        self.show_words(load_words(figures, past))
        width, table = self.app.size.width, self.query_one(LineTable)
        table.columns = _columns(width)
        table.set_rows(figure_rows(figures, past, bar_columns(width), bar_signs(plain=self.plain)))
        self.say(f"{counted(figures.hoists, 'hoist')} in use, {figures.out_of_service} out of service")

    def action_report(self) -> None:
        """The same on paper."""
        self.fieldlog.shop_report("figures")

    def on_line_table_chosen(self, event: LineTable.Chosen) -> None:
        """A worn chain opens its hoist, a month the calendar; other rows tell how they are counted."""
        if self.found is None:
            return
        figures, dues = self.found
        if any(chain.id == event.key for chain in figures.worn):
            self.fieldlog.open_hoist(event.key)
            return
        day = first_day_of(event.key, figures, dues)
        if day is not None:
            self.fieldlog.push_screen(CalendarPage(day, plain=self.plain))
            return
        self.say(how_counted(event.key))


def _columns(width: int) -> tuple[Column, ...]:
    return Column(title="", width=LABEL), Column(title=""), Column(title="", width=tells_columns(width))


def _work_out(job: Job, *, today: date) -> Found:
    return shop_figures(job.shop, today, progress=job.tell), shop_dues(job.shop, today)
