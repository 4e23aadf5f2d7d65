"""One question of a form: label, field, and beside it the hint or what is wrong, while it is typed."""

from textual.app import ComposeResult
from textual.containers import Horizontal
from textual.message import Message
from textual.widgets import Input, Label

from fieldlog.operations.entering import Field, check_field


class FormRow(Horizontal):
    """A field that checks itself at every key. Choices are completed from their first letters."""

    class Edited(Message):
        """The text of a field changed."""

        def __init__(self, name: str, text: str) -> None:
            super().__init__()
            self.name = name
            self.text = text

    def __init__(self, field: Field, text: str) -> None:
        super().__init__(id=f"row-{field.name}")
        self.field = field
        self.start = text
        self.problem = ""

    def compose(self) -> ComposeResult:
        """Label, field, unit, sentence."""
        star = "*" if self.field.required else " "
        yield Label(f"{self.field.label}{star}", classes="form-label", markup=False)
        yield Input(self.start, id=f"field-{self.field.name}", classes="form-field")
        yield Label(self.field.unit, classes="form-unit", markup=False)
        yield Label(self._hint(), classes="form-says", markup=False)

    def on_mount(self) -> None:
        """No blinking cursor over a slow line; wrong text of a kept draft is shown as wrong."""
        self.query_one(Input).cursor_blink = False
        if self.start:
            self._show(check_field(self.field, self.start))

    def _hint(self) -> str:
        if self.field.choices and not self.field.hint:
            return " / ".join(self.field.choices)
        return self.field.hint

    @property
    def text(self) -> str:
        """What stands in the field."""
        return self.query_one(Input).value

    @property
    def sentence(self) -> str:
        """What stands beside the field, whole: the window may be too narrow for it."""
        return self.problem or self._hint()

    def _show(self, problem: str) -> None:
        self.problem = problem
        says = self.query_one(".form-says", Label)
        says.update(problem or self._hint(), layout=False)
        says.set_class(bool(problem), "bad")

    def show_problem(self, problem: str) -> None:
        """Show a sentence that came from checking the whole form."""
        self._show(problem)

    def on_input_changed(self, event: Input.Changed) -> None:
        """Check at every key; an empty field is quiet until the form is sent."""
        event.stop()
        if event.value == self.start and not event.input.has_focus:
            return
        self._show(check_field(self.field, event.value) if event.value.strip() else "")
        self.post_message(self.Edited(self.field.name, event.value))

    def put(self, text: str) -> None:
        """Write a text into the field that nobody typed; no edit is told."""
        with self.prevent(Input.Changed):
            self.query_one(Input).value = text
        self._show(check_field(self.field, text) if text.strip() else "")

    def complete(self) -> bool:
        """Write a choice out in full once it is clear which one is meant; True if the text changed."""
        text = self.text.strip()
        if not self.field.choices or not text or check_field(self.field, text):
            return False
        begun = [c for c in self.field.choices if c.lower().startswith(text.lower())]
        full = next((c for c in begun if c.lower() == text.lower()), begun[0] if begun else self.text)
        if full == self.text:
            return False
        self.put(full)
        return True

    def step_choice(self, step: int) -> None:
        """Take the next choice, round and round."""
        choices = self.field.choices
        if not choices:
            return
        place = choices.index(self.text) if self.text in choices else -1 if step > 0 else 0
        self.query_one(Input).value = choices[(place + step) % len(choices)]
