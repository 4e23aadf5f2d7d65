"""A sealed line, whole; striking it out, and doing an inspection again from it."""

from collections.abc import Sequence
from typing import ClassVar

from textual.binding import BindingType

from fieldlog.domain.records import Entry, Inspection
from fieldlog.operations.correcting import strike_and_redo, strike_out
from fieldlog.operations.entering import YES_NO, Field, read_text, read_yes_no
from fieldlog.operations.explaining import line_words
from fieldlog.tui.commands import bindings
from fieldlog.tui.form import FormPage
from fieldlog.tui.screens.text_page import TextPage
from fieldlog.tui.work import InspectionWork


class LinePage(TextPage):
    """Everything that a sealed line says. F8 leads to striking it out."""

    BINDINGS: ClassVar[list[BindingType]] = [*bindings("line")]

    def __init__(self, hoist_id: str, entry: Entry) -> None:
        super().__init__(f"{hoist_id}   line {entry.number} of the logbook", line_words(entry))
        self.hoist_id = hoist_id
        self.entry = entry

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """Only an inspection has a report of its own."""
        if action == "report":
            return isinstance(self.entry.body, Inspection)
        return super().check_action(action, parameters)

    def action_report(self) -> None:
        """The report of the inspection in this very line."""
        self.fieldlog.report(self.hoist_id, self.entry.number)

    def action_strike(self) -> None:
        """Ask why it does not hold."""
        self.fieldlog.strike(self.hoist_id, self.entry)


class StrikePage(FormPage):
    """Why a line does not hold. It stays in the logbook, and so does the strike."""

    BINDINGS: ClassVar[list[BindingType]] = [*bindings("strike")]
    caution = (
        "Nothing is deleted: line and reason both stay. State, trend and due dates follow what still holds."
    )

    def __init__(self, hoist_id: str, entry: Entry) -> None:
        super().__init__()
        self.hoist_id = hoist_id
        self.entry = entry

    def heading(self) -> str:
        """The line."""
        return f"{self.hoist_id}   strike out line {self.entry.number}: {self.entry.body.kind}"

    def fields(self) -> Sequence[Field]:
        """The reason, and whether the inspection is done again from it."""
        why = Field(name="why", label="Why it is wrong", read=read_text("the reason"))
        if not isinstance(self.entry.body, Inspection):
            return (why,)
        again = Field(
            name="again",
            label="Put it right now",
            read=read_yes_no,
            choices=YES_NO,
            default="yes",
            hint="yes opens it again with all that it says",
        )
        return (why, again)

    def send(self, texts: dict[str, str]) -> None:
        """Strike it out, and open the right one where asked."""
        by, now = self.fieldlog.by, self.now()
        if texts.get("again", "no").strip().lower().startswith("y"):
            _, draft, content = strike_and_redo(
                self.shop, self.hoist_id, self.entry.line, texts["why"], by=by, now=now, today=now.date()
            )
            work = InspectionWork(self.shop, draft, by=by, clock=self.fieldlog.clock, content=content)
            self._back_to_hoist()
            self.fieldlog.open_inspection(work)
            return
        struck = strike_out(
            self.shop, self.hoist_id, self.entry.line, texts["why"], by=by, now=now, today=now.date()
        )
        self._back_to_hoist()
        self.fieldlog.tell(f"Line {self.entry.number} is struck out.")
        self.fieldlog.sign(self.hoist_id, struck)

    def _back_to_hoist(self) -> None:
        """From here over the line's page to the hoist."""
        self.app.pop_screen()
        if isinstance(self.app.screen, LinePage):
            self.app.pop_screen()
