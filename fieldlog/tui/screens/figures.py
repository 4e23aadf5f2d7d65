"""Figures of the shop, drawn: load of work by month, most worn chains, chain lives, readings in doubt."""

from datetime import date
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import BindingType
from textual.worker import Worker, WorkerState, get_current_worker

from fieldlog.errors import FieldlogError
from fieldlog.operations.due_month import DueInspection, shop_dues
from fieldlog.operations.figures import ShopFigures, shop_figures
from fieldlog.operations.shop import open_shop
from fieldlog.tui.commands import bindings
from fieldlog.tui.screens.calendar import CalendarPage
from fieldlog.tui.screens.drawn import DrawnPage
from fieldlog.tui.widgets.bars import bar_signs
from fieldlog.tui.widgets.figure_rows import (
    LABEL,
    bar_columns,
    counted,
    figure_rows,
    first_day_of,
    load_words,
    tells_columns,
)
from fieldlog.tui.widgets.line_table import Column, LineTable

TOLD_EVERY = 50
Found = tuple[ShopFigures, tuple[DueInspection, ...]]


class PageLeftError(FieldlogError):
    """The page was left while its figures were worked out; nobody waits for them."""


class FiguresPage(DrawnPage):
    """All figures on one page that scrolls. Logbooks are read aside, so that keys are answered meanwhile."""

    BINDINGS: ClassVar[list[BindingType]] = [*bindings("figures")]
    first_focus = "#figures"

    def __init__(self, *, plain: bool | None = None) -> None:
        super().__init__(plain=plain)
        self.found: Found | None = None

    def heading(self) -> str:
        """The day that the figures hold for."""
        return f"Figures of the shop   {self.today().isoformat()}"

    def body(self) -> ComposeResult:
        """Words, then bars as rows that scroll."""
        yield self.words()
        yield LineTable(_columns(self.app.size.width), id="figures", title=False)

    def on_mount(self) -> None:
        """Begin to read the logbooks."""
        super().on_mount()
        self.say("Reading the logbooks; Esc leaves.")
        today = self.today()
        self.run_worker(lambda: self._work_out(today), thread=True, exclusive=True)

    def _work_out(self, today: date) -> Found | FieldlogError:
        """In a thread of its own; leaving the page ends it at the next logbook.

        The store is opened once more, so that the register in use is not changed by two threads at once.
        """
        worker, app = get_current_worker(), self.app

        def progress(done: int, total: int) -> None:
            if worker.is_cancelled:
                raise PageLeftError
            if done % TOLD_EVERY == 0:
                app.call_from_thread(self._tell, f"Read {done} of {total} logbooks; Esc leaves.")

        try:
            shop = open_shop(self.shop.root)
            return shop_figures(shop, today, progress=progress), shop_dues(shop, today)
        except FieldlogError as error:
            return error

    def _tell(self, sentence: str) -> None:
        """How far it is; nothing to tell it to where the page is just being left."""
        if self.query("#message"):
            self.say(sentence)

    def on_worker_state_changed(self, event: Worker.StateChanged) -> None:
        """Show what was found, or say in place why nothing was."""
        found = event.worker.result if event.state is WorkerState.SUCCESS else None
        if isinstance(found, FieldlogError):
            self.say_error(found)
        elif found is not None:
            self.found = found
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
        hoists = "1 hoist" if figures.hoists == 1 else f"{figures.hoists} hoists"
        self.say(f"{hoists} in use, {figures.out_of_service} out of service")

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
        self.say(counted(event.key))


def _columns(width: int) -> tuple[Column, ...]:
    return Column(title="", width=LABEL), Column(title=""), Column(title="", width=tells_columns(width))
