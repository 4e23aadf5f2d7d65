"""Home: the hoists of the shop, overdue first; in a wide window the hoist under the cursor beside them."""

import asyncio
from datetime import date
from typing import ClassVar

from msgspec import Struct
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import Horizontal
from textual.timer import Timer
from textual.widgets import Input

from fieldlog.domain.counting import counted
from fieldlog.domain.verdict import Fitness
from fieldlog.errors import FieldlogError
from fieldlog.operations.due import DueRow, due_list
from fieldlog.operations.finding import facts_of, holds_all, wanted_words
from fieldlog.operations.hoist_page import hoist_page
from fieldlog.operations.shop import damaged, need_settings
from fieldlog.tui.commands import bindings
from fieldlog.tui.marks import FITNESS_TONES, short_state
from fieldlog.tui.page import Page
from fieldlog.tui.screens.hoist import LABEL, fact_rows
from fieldlog.tui.widgets.line_table import Column, LineTable, Row, wrap_rows

COLUMNS = (
    Column(title="Due", width=10),
    Column(title="Left", width=11),
    Column(title="Inspection", width=10),
    Column(title="Tag", width=9),
    Column(title="Where"),
    Column(title="State", width=12),
)
WIDE = 120
LOOK_EVERY_S = 1.5
REST_S = 0.15  # the hoist beside the list is read when the cursor rests


def days_left(row: DueRow) -> str:
    """Days until the due day, short: '12 d', 'today', '3 d late'."""
    if row.days is None:
        return ""
    if row.days == 0:
        return "today"
    return f"{row.days} d" if row.days > 0 else f"{-row.days} d late"


def state_words(row: DueRow) -> str:
    """May it be used: what stands against it first, then that an inspection is overdue."""
    return short_state(row.fitness, overdue=row.overdue)


def due_cells(row: DueRow) -> tuple[str, ...]:
    """A hoist in one line."""
    where = f"{row.site}, {row.place}" if row.place else row.site
    return (
        "" if row.due_on is None else row.due_on.isoformat(),
        f"{days_left(row)}{' !' if row.overdue else ''}",
        "first use" if row.kind == "before first use" else row.kind,
        row.id,
        f"{where}  {row.name}",
        state_words(row),
    )


def due_tone(row: DueRow) -> str:
    """The tone of a line: out of service and overdue first."""
    if row.overdue or row.fitness is Fitness.OUT_OF_SERVICE:
        return "bad"
    return FITNESS_TONES[row.fitness]


class Line(Struct, frozen=True):
    """A hoist of the list, its row, and all words it is found by."""

    due: DueRow
    row: Row
    words: str


def _line(due: DueRow) -> Line:
    cells = due_cells(due)
    words = facts_of(due, due.name, due.kind, due.fitness, state_words(due))
    return Line(due, Row(key=due.id, cells=cells, tone=due_tone(due)), words)


class DueListPage(Page):
    """All hoists by urgency; find by any word; open with Enter."""

    BINDINGS: ClassVar[list[BindingType]] = [*bindings("due")]
    first_focus = "#due-table"

    def __init__(self) -> None:
        super().__init__()
        self.lines: list[Line] = []
        self.broken: dict[str, str] = {}
        self.of_day: date | None = None
        self.resting: Timer | None = None

    def body(self) -> ComposeResult:
        """A line to find by words (hidden until asked for), the table, and the hoist beside it."""
        yield Input(id="find", placeholder="tag, site, place, maker, serial, state, kind", classes="hidden")
        with Horizontal(id="side-by-side"):
            yield LineTable(COLUMNS, id="due-table")
            columns = (Column(title="", width=LABEL), Column(title=""))
            beside = LineTable(columns, id="beside", title=False, opens=False)
            beside.can_focus = False
            yield beside

    def heading(self) -> str:
        """The shop, the day and who is at the keys."""
        held = need_settings(self.shop)
        return f"{held.shop}   due list {self.today().isoformat()}   {self.fieldlog.by}"

    def on_mount(self) -> None:
        """Fill the list and go on looking for what other sessions seal."""
        super().on_mount()
        self.query_one("#find", Input).cursor_blink = False
        self.set_interval(LOOK_EVERY_S, self._look)

    def on_resize(self) -> None:
        """From a certain width on there is room for the hoist beside the list."""
        self.query_one("#beside").set_class(self.app.size.width < WIDE, "hidden")
        self._show_beside()

    def on_screen_resume(self) -> None:
        """Coming back, the list shows what was done meanwhile."""
        if self.is_mounted:
            self.show_rows()

    async def _look(self) -> None:
        """Look for others' work beside the keys, which must not wait for a big store."""
        if not self.is_current:
            return
        try:
            changed = await asyncio.to_thread(self.shop.register.refresh)
            if self.is_current and (changed or self.of_day != self.today()):
                self.show_rows()
        except FieldlogError as error:  # a timer would end the app for it
            self._show_unread(error)

    def _show_unread(self, error: FieldlogError) -> None:
        """No state stands on the screen of which nobody knows whether it still holds."""
        self.lines, self.of_day = [], None
        self.table.set_rows([])
        self._show_beside()
        self.say_error(error)

    @property
    def table(self) -> LineTable:
        """The list."""
        return self.query_one("#due-table", LineTable)

    def show_rows(self) -> None:
        """Work the due list out as it stands, and show it."""
        self.of_day = self.today()
        self.lines = [_line(row) for row in due_list(self.shop, self.of_day)]
        self.broken = damaged(self.shop)
        self.set_heading(self.heading())
        self.show_found()

    def show_found(self) -> None:
        """Show the hoists in which every word that was typed occurs."""
        typed = self.query_one("#find", Input).value
        words = wanted_words(typed)
        found = [line for line in self.lines if holds_all(words, line.words)]
        self.table.set_rows([line.row for line in found])
        self._show_beside()
        if self.broken:
            self.say(_broken_words(list(self.broken)), bad=True)
        else:
            self.say(_found_words(found, typed))

    def on_line_table_moved(self, event: LineTable.Moved) -> None:
        """The hoist beside the list follows when the cursor rests."""
        if event.table.id == "due-table" and self.app.size.width >= WIDE:
            if self.resting is not None:
                self.resting.stop()
            self.resting = self.set_timer(REST_S, self._show_beside)

    def _show_beside(self) -> None:
        beside = self.query_one("#beside", LineTable)
        if beside.has_class("hidden"):
            return
        tag = self.table.current_key
        try:
            rows = fact_rows(hoist_page(self.shop, tag, self.today())) if tag else []
        except FieldlogError as error:
            rows = [Row(key="problem", cells=("Logbook", str(error)), tone="bad")]
        beside.set_rows(wrap_rows(rows, max(beside.size.width, 40), LABEL))

    def action_find(self) -> None:
        """Show the line to find by words."""
        field = self.query_one("#find", Input)
        field.remove_class("hidden")
        field.focus()

    def action_look_again(self) -> None:
        """Read what changed on disk."""
        self.show_rows()

    def on_input_changed(self, event: Input.Changed) -> None:
        """Filter at every key."""
        if event.input.id == "find":
            self.show_found()

    def on_input_submitted(self, event: Input.Submitted) -> None:
        """Enter goes to the list that was found."""
        if event.input.id == "find":
            self.table.focus()

    def leave(self) -> None:
        """Escape drops the filter; home has nothing below it."""
        field = self.query_one("#find", Input)
        field.value = ""
        field.add_class("hidden")
        self.table.focus()

    def on_line_table_chosen(self, event: LineTable.Chosen) -> None:
        """Open the hoist."""
        self.fieldlog.open_hoist(event.key)


def _broken_words(broken: list[str]) -> str:
    more = f" and {len(broken) - 1} more" if len(broken) > 1 else ""
    return f"The record of {broken[0]}{more} can not be trusted: Enter on it says why, y checks them all."


def _found_words(found: list[Line], typed: str) -> str:
    if not found:
        return "No hoist has these words." if typed.strip() else "No hoist yet: press n for a new one."
    overdue = sum(line.due.overdue for line in found)
    out = sum(line.due.fitness is Fitness.OUT_OF_SERVICE for line in found)
    return f"{counted(len(found), 'hoist')}, {overdue} overdue, {out} out of service"
