"""Every command that can be run from here, found by any letters of its words."""

from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import BindingType
from textual.fuzzy import Matcher
from textual.screen import Screen
from textual.widgets import Input

from fieldlog.tui.commands import anywhere, bindings
from fieldlog.tui.keys import key_words
from fieldlog.tui.page import Page
from fieldlog.tui.widgets.line_table import Column, LineTable, Row

NOT_FROM_A_LIST = ("table.", "month.", "page.", "app.", "command.")
STEPS = (".next", ".previous")
TITLE = 3  # a word of the title tells more than one of the sentence
COLUMNS = (Column(title="", width=12), Column(title="", width=26), Column(title=""))


class CommandsPage(Page):
    """The commands of the screen below first, then those that can be run from everywhere."""

    BINDINGS: ClassVar[list[BindingType]] = [*bindings("commands")]
    first_focus = "#words"

    def __init__(self, below: Screen[object]) -> None:
        super().__init__()
        self.below = below
        self.found: dict[str, tuple[str, str, str, str]] = {}

    def heading(self) -> str:
        """The title."""
        return "Commands   type any part of a word, Enter runs it, Escape goes back"

    def body(self) -> ComposeResult:
        """The words to find by, and what they find."""
        yield Input(id="words", placeholder="any part of a word")
        yield LineTable(COLUMNS, id="found", title=False)

    def on_mount(self) -> None:
        """Show all."""
        super().on_mount()
        self.query_one("#words", Input).cursor_blink = False
        self.found = _here(self.below)
        if not self.fieldlog.nobody_yet:
            self.found |= _everywhere(self.below)
        self.show_rows()

    def show_rows(self) -> None:
        """Those that match, the best first; without words in the order of the table of commands."""
        words = self.query_one("#words", Input).value.strip()
        found = list(self.found.items())
        if words:
            match = Matcher(words).match
            scored = [(TITLE * match(title) + match(says), name) for name, (_, title, says, _) in found]
            best = sorted((pair for pair in scored if pair[0] > 0), key=lambda pair: -pair[0])
            found = [(name, self.found[name]) for _, name in best]
        rows = [Row(key=name, cells=(key, title, says)) for name, (key, title, says, _) in found]
        table = self.query_one("#found", LineTable)
        table.set_rows(rows)
        table.action_edge(-1)
        self.say("" if rows else "No command has these letters.")

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """This page leads to no second one of its kind."""
        return action != "app.commands" and super().check_action(action, parameters)

    def on_input_changed(self, event: Input.Changed) -> None:
        """Find at every key."""
        if event.input.id == "words":
            self.show_rows()

    def action_step(self, step: int) -> None:
        """Up and down work while words are typed."""
        self.query_one("#found", LineTable).action_move(step)

    def action_run(self) -> None:
        """Run the one under the cursor on the screen below; in the tag field Enter asks for the tag."""
        field = self.focused
        if isinstance(field, Input) and field.id == "tag-field":
            field.post_message(Input.Submitted(field, field.value))
            return
        self.run_command(self.query_one("#found", LineTable).current_key)

    def on_line_table_chosen(self, event: LineTable.Chosen) -> None:
        """Run it."""
        self.run_command(event.key)

    def run_command(self, name: str) -> None:
        """Go back, then do there what this command does."""
        if name in self.found:
            action = self.found[name][3]
            self.app.pop_screen()
            self.app.call_later(self.app.run_action, action, self.below)


def _here(below: Screen[object]) -> dict[str, tuple[str, str, str, str]]:
    held = [active.binding for active in below.active_bindings.values() if active.enabled]
    found: dict[str, tuple[str, str, str, str]] = {}
    for binding in held:
        name = binding.id or ""
        if name and not name.startswith(NOT_FROM_A_LIST) and not name.endswith(STEPS):
            found.setdefault(name, (key_words(binding), binding.description, binding.tooltip, binding.action))
    return found


def _everywhere(below: Screen[object]) -> dict[str, tuple[str, str, str, str]]:
    here = {active.binding.id for active in below.active_bindings.values()}
    return {
        command.id: ("", command.title, command.help, command.action)
        for command in anywhere()
        if command.id not in here and not command.id.startswith(NOT_FROM_A_LIST)
    }
