"""A form with a list below it: the arrows lead from the last field into the list and back."""

from collections.abc import Callable, Sequence
from typing import ClassVar

from msgspec.structs import replace
from textual.binding import BindingType
from textual.timer import Timer
from textual.widgets import Input

from fieldlog.tui.commands import bindings
from fieldlog.tui.form import FormPage
from fieldlog.tui.long_work import Job, LongWork, Result
from fieldlog.tui.widgets.form_row import FormRow
from fieldlog.tui.widgets.line_table import CONTINUED, LineTable, Row, wrap_rows

SOON_S = 0.2


def wrapped_rows(rows: Sequence[Row], width: int, label: int) -> list[Row]:
    """Rows wrapped as `wrap_rows` does; the very last line can be reached too."""
    wrapped = wrap_rows(rows, width, label)
    return [*wrapped[:-1], replace(wrapped[-1], selectable=True)] if wrapped else []


class ListedForm(LongWork, FormPage):
    """Enter goes to the next field; in the list it opens the hoist of the row."""

    BINDINGS: ClassVar[list[BindingType]] = [*bindings("listed")]

    _soon: Timer | None = None

    def soon(self, work: Callable[[], None]) -> None:
        """Begin this once the keys pause; what waited to begin is forgotten for it."""
        self._forget_soon()
        self._soon = self.set_timer(SOON_S, work)

    def begin(self, work: Callable[[Job], Result], done: Callable[[Result], None], things: str) -> None:
        """As LongWork does; what waited for the keys to pause must not take its place."""
        self._forget_soon()
        super().begin(work, done, things)

    def _forget_soon(self) -> None:
        if self._soon is not None:
            self._soon.stop()

    def action_open(self) -> None:
        """Open what the row stands for, or go to the next field."""
        table = self.query_one(LineTable)
        if table.has_focus:
            table.action_choose()
        else:
            self.action_next()

    def _step(self, step: int) -> None:
        table = self.query_one(LineTable)
        rows = list(self.query(FormRow))
        row = self._row_with_focus()
        if table.has_focus:
            self._step_in(table, rows[-1], step)
        elif step > 0 and row is rows[-1]:
            self._complete(row)
            self.after_last()
        else:
            super()._step(step)

    def _step_in(self, table: LineTable, above: FormRow, step: int) -> None:
        before = table.cursor
        table.action_move(step)
        if step < 0 and table.cursor == before:
            above.query_one(Input).focus()

    def after_last(self) -> None:
        """Below the last field stands the list."""
        table = self.query_one(LineTable)
        if table.rows:
            table.focus()
        else:
            self.say("Nothing is listed yet.")

    def on_line_table_chosen(self, event: LineTable.Chosen) -> None:
        """Open the hoist; Escape comes back to this form as it stands."""
        tag = event.key.split(CONTINUED)[0]
        if tag in self.shop.logbooks.hoist_names():
            self.fieldlog.open_hoist(tag)
        else:
            self.say("This row is no hoist: there is nothing to open.")
