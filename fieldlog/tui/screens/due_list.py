"""Home: the hoists of the shop, overdue first."""

from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.widgets import Input

from fieldlog.domain.verdict import Fitness
from fieldlog.operations.due import DueRow, due_list
from fieldlog.operations.finding import find_words
from fieldlog.operations.shop import damaged, need_settings, summaries
from fieldlog.tui.marks import FITNESS_MARKS, FITNESS_TONES
from fieldlog.tui.page import Page
from fieldlog.tui.widgets.line_table import Column, LineTable, Row

COLUMNS = (
    Column(title="Due", width=10),
    Column(title="Left", width=10),
    Column(title="Inspection", width=10),
    Column(title="Tag", width=9),
    Column(title="Where"),
    Column(title="State", width=12),
)
SHORT_STATES = {**FITNESS_MARKS, Fitness.OUT_OF_SERVICE: "X OUT"}
LOOK_EVERY_S = 2


def days_left(row: DueRow) -> str:
    """Days until the due day, short: '12 d', 'today', '3 d late'."""
    if row.days is None:
        return ""
    if row.days == 0:
        return "today"
    return f"{row.days} d" if row.days > 0 else f"{-row.days} d late"


def due_cells(row: DueRow) -> tuple[str, ...]:
    """A hoist in one line."""
    where = f"{row.site}, {row.place}" if row.place else row.site
    return (
        "" if row.due_on is None else row.due_on.isoformat(),
        f"{days_left(row)}{' !' if row.overdue else ''}",
        "first use" if row.kind == "before first use" else row.kind,
        row.id,
        f"{where}  {row.name}",
        SHORT_STATES[row.fitness],
    )


def due_tone(row: DueRow) -> str:
    """The tone of a line: out of service and overdue first."""
    if row.overdue or row.fitness is Fitness.OUT_OF_SERVICE:
        return "bad"
    return FITNESS_TONES[row.fitness]


class DueListPage(Page):
    """All hoists by urgency; find by any word; open with Enter."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("slash", "find", "Find", id="due.find"),
        Binding("n", "register", "New hoist", id="due.register"),
        Binding("d", "drafts", "Drafts", id="due.drafts"),
        Binding("t", "registers('instruments')", "Tools", id="due.tools"),
        Binding("p", "registers('people')", "People", id="due.people"),
        Binding("s", "registers('sites')", "Sites", show=False, id="due.sites"),
        Binding("r", "look_again", "Look again", show=False, id="due.refresh"),
        Binding("ctrl+q", "app.quit", "Leave", priority=True, id="app.leave"),
    ]
    first_focus = "#due-table"

    def body(self) -> ComposeResult:
        """A line to find by words (hidden until asked for) and the table."""
        yield Input(id="find", placeholder="any words: tag, site, place, maker, serial", classes="hidden")
        yield LineTable(COLUMNS, id="due-table")

    def heading(self) -> str:
        """The shop, the day and who is at the keys."""
        held = need_settings(self.shop)
        return f"{held.shop}   due list {self.today().isoformat()}   {self.fieldlog.by}"

    def on_mount(self) -> None:
        """Fill the list and go on looking for what other sessions seal."""
        super().on_mount()
        self.query_one("#find", Input).cursor_blink = False
        self.show_rows()
        self.set_interval(LOOK_EVERY_S, self._look)

    def on_screen_resume(self) -> None:
        """Coming back, the list shows what was done meanwhile."""
        if self.is_mounted:
            self.show_rows()

    def _look(self) -> None:
        if self.is_current and self.shop.register.refresh():
            self.show_rows()

    def show_rows(self) -> None:
        """Show the due list as it stands."""
        rows = due_list(self.shop, self.today())
        words = self.query_one("#find", Input).value
        if words.strip():
            found = set(find_words(words, summaries(self.shop)))
            rows = [row for row in rows if row.id in found]
        table = self.query_one(LineTable)
        table.set_rows([Row(key=row.id, cells=due_cells(row), tone=due_tone(row)) for row in rows])
        self.set_heading(self.heading())
        self.say(self._line(rows, words), bad=bool(damaged(self.shop)))

    def _line(self, rows: list[DueRow], words: str) -> str:
        broken = damaged(self.shop)
        if broken:
            return next(iter(broken.values()))
        if not rows:
            return "No hoist has these words." if words.strip() else "No hoist yet: press n for a new one."
        overdue = sum(row.overdue for row in rows)
        out = sum(row.fitness is Fitness.OUT_OF_SERVICE for row in rows)
        hoists = "1 hoist" if len(rows) == 1 else f"{len(rows)} hoists"
        return f"{hoists}, {overdue} overdue, {out} out of service"

    def action_find(self) -> None:
        """Show the line to find by words."""
        field = self.query_one("#find", Input)
        field.remove_class("hidden")
        field.focus()

    def action_look_again(self) -> None:
        """Read what changed on disk."""
        self.show_rows()

    def action_register(self) -> None:
        """Register a new hoist."""
        self.fieldlog.begin_registration()

    def action_registers(self, kind: str) -> None:
        """The shop's instruments, people or sites."""
        self.fieldlog.show_register(kind)

    def action_drafts(self) -> None:
        """Show what was left open."""
        self.fieldlog.show_drafts()

    def on_input_changed(self, event: Input.Changed) -> None:
        """Filter at every key."""
        if event.input.id == "find":
            self.show_rows()

    def on_input_submitted(self, event: Input.Submitted) -> None:
        """Enter goes to the list that was found."""
        if event.input.id == "find":
            self.query_one(LineTable).focus()

    def leave(self) -> None:
        """Escape drops the filter; home has nothing below it."""
        field = self.query_one("#find", Input)
        field.value = ""
        field.add_class("hidden")
        self.query_one(LineTable).focus()

    def on_line_table_chosen(self, event: LineTable.Chosen) -> None:
        """Open the hoist."""
        self.fieldlog.open_hoist(event.key)
