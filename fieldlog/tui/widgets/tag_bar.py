"""The one field that is always at hand: type or scan a tag, Enter opens the hoist."""

from textual.app import ComposeResult
from textual.containers import Horizontal
from textual.message import Message
from textual.widgets import Input, Label

from fieldlog.operations.finding import Search


class TagBar(Horizontal):
    """A tag field with a line beside it for what was found or why nothing was."""

    class Asked(Message):
        """A tag was typed or scanned."""

        def __init__(self, text: str) -> None:
            super().__init__()
            self.text = text

    def compose(self) -> ComposeResult:
        """The field and the line beside it."""
        yield Label("Tag", id="tag-label")
        yield Input(id="tag-field", placeholder="F2, then scan or type", select_on_focus=True)
        yield Label("", id="tag-line", markup=False)

    def on_mount(self) -> None:
        """A blinking cursor sends bytes for ever over a slow line."""
        self.query_one(Input).cursor_blink = False

    def focus_field(self) -> None:
        """Put the cursor into the tag field."""
        self.query_one(Input).focus()

    def on_input_submitted(self, event: Input.Submitted) -> None:
        """Enter asks for the hoist."""
        event.stop()
        self.post_message(self.Asked(event.value))

    def show(self, search: Search) -> None:
        """Offer near tags; why nothing was found is said above, where there is room for it."""
        self.say(f"Near: {', '.join(search.near)}" if search.near else "nothing near it")
        self.query_one(Input).select_all()

    def say(self, sentence: str) -> None:
        """Put a sentence beside the field."""
        self.query_one("#tag-line", Label).update(sentence)

    def clear(self) -> None:
        """Empty the field and the line."""
        self.query_one(Input).value = ""
        self.say("")
