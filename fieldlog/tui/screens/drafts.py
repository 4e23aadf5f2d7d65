"""What was left open: take up or throw away."""

from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType

from fieldlog.domain.records import Draft
from fieldlog.operations.drafting import INSPECTION, discard_draft, kept_drafts
from fieldlog.tui.page import Page
from fieldlog.tui.widgets.line_table import Column, LineTable, Row


def draft_says(draft: Draft) -> str:
    """A draft in one line."""
    if draft.kind == INSPECTION:
        return f"{draft.fields.get('occasion', '')} inspection"
    named = " ".join(str(draft.fields.get(name, "")) for name in ("maker", "model", "serial"))
    return f"new hoist {named}".strip()


class DraftsPage(Page):
    """Drafts of everybody, newest first."""

    BINDINGS: ClassVar[list[BindingType]] = [Binding("f8", "discard", "Discard", id="drafts.discard")]
    first_focus = "#drafts"

    def __init__(self) -> None:
        super().__init__()
        self.drafts: dict[str, Draft] = {}
        self.asked = ""

    def heading(self) -> str:
        """The title."""
        return "Left open: Enter takes it up, Escape leaves it as it is"

    def body(self) -> ComposeResult:
        """The drafts."""
        columns = (
            Column(title="Tag", width=10),
            Column(title="What"),
            Column(title="By", width=18),
            Column(title="Kept", width=16),
        )
        yield LineTable(columns, id="drafts")

    def on_mount(self) -> None:
        """Show them."""
        super().on_mount()
        self.show_drafts()

    def on_screen_resume(self) -> None:
        """One may have been sealed meanwhile."""
        if self.is_mounted and self.query("#drafts"):
            self.show_drafts()

    def show_drafts(self) -> None:
        """Read them from the store."""
        self.drafts = {draft.uid: draft for draft in kept_drafts(self.shop)}
        rows = [
            Row(
                key=draft.uid,
                cells=(draft.about or "new", draft_says(draft), draft.by, f"{draft.saved:%Y-%m-%d %H:%M}"),
            )
            for draft in self.drafts.values()
        ]
        self.query_one(LineTable).set_rows(rows)
        if not rows:
            self.say("Nothing was left open.")

    def on_line_table_chosen(self, event: LineTable.Chosen) -> None:
        """Take it up."""
        draft = self.drafts[event.key]
        self.app.pop_screen()
        self.fieldlog.take_up(draft)

    def on_line_table_moved(self) -> None:
        """Another draft: the question is off."""
        self.asked = ""

    def action_discard(self) -> None:
        """Throw it away, when asked twice."""
        key = self.query_one(LineTable).current_key
        if not key:
            return
        if self.asked != key:
            self.asked = key
            self.say("F8 again throws this draft away for good.", bad=True)
            return
        discard_draft(self.shop, self.drafts[key])
        self.asked = ""
        self.say("Thrown away.")
        self.show_drafts()
