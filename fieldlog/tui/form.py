"""A screen that asks a list of fields, checks each while it is typed, and loses nothing."""

from collections.abc import Mapping, Sequence
from typing import Any, ClassVar

from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import VerticalScroll
from textual.widgets import Input, Label

from fieldlog.errors import FieldlogError, IncompleteError, ProblemsError
from fieldlog.operations.entering import Field, check_field, take_all
from fieldlog.tui.commands import bindings
from fieldlog.tui.page import Page
from fieldlog.tui.widgets.form_row import FormRow

TYPED = "This field is typed; F3 steps where there is a choice."


class FormPage(Page):
    """Subclasses give `fields()` and `send(texts)`; they may keep drafts in `keep(texts)`."""

    BINDINGS: ClassVar[list[BindingType]] = [*bindings("form")]
    caution = ""
    again = "F10 again takes it as it stands."

    def __init__(self, texts: Mapping[str, str] | None = None) -> None:
        super().__init__()
        self.texts: dict[str, str] = dict(texts or {})
        self.asked: tuple[str, ...] = ()
        self.told = ""  # said instead of the hint of the field that gets the cursor next
        self.greeting = ""  # said until a key is typed
        self.trouble = ""  # why what is typed could not be kept; said at every key until it can be

    def fields(self) -> Sequence[Field]:
        """What is asked, in order."""
        return ()

    def send(self, texts: dict[str, str]) -> None:
        """Take the whole form; raises FieldlogError with what is wrong."""

    def taken(self, texts: dict[str, str]) -> dict[str, Any]:
        """The value of every field; IncompleteError names all that can not be taken."""
        values, problems = take_all(self.fields(), texts)
        if problems:
            raise IncompleteError("this form can not be taken yet", problems)
        return values

    def keep(self, texts: dict[str, str]) -> None:
        """Keep a draft; called at every key."""

    def questions(self, texts: dict[str, str]) -> tuple[str, ...]:
        """What is taken only after a second F10, which does what `again` says."""
        del texts
        return ()

    def body(self) -> ComposeResult:
        """One row a field."""
        yield Label(self.caution, id="caution", markup=False, classes="" if self.caution else "hidden")
        with VerticalScroll(id="form", can_focus=False):
            for field in self.fields():
                yield FormRow(field, self.texts.get(field.name, field.default))

    def on_mount(self) -> None:
        """Begin in the first field that is missing or wrong."""
        rows = list(self.query(FormRow))
        for row in rows:
            if check_field(row.field, row.start):
                # What was typed half is gone on with; a whole text is replaced by typing.
                row.query_one(Input).select_on_focus = not row.start
                row.query_one(Input).focus()
                return
        if rows:
            rows[0].query_one(Input).focus()

    def current_texts(self) -> dict[str, str]:
        """What stands in all fields."""
        return {row.field.name: row.text for row in self.query(FormRow)}

    def on_form_row_edited(self, event: FormRow.Edited) -> None:
        """Keep every key."""
        event.stop()
        self.take_edit(event.name, event.text)
        self._say_field()

    def take_edit(self, name: str, text: str) -> None:
        """A field holds another text now."""
        self.asked = ()
        self.greeting = ""
        self.texts[name] = text
        self.keep(self.current_texts())

    def _complete(self, row: FormRow) -> None:
        if row.complete():
            self.take_edit(row.field.name, row.text)

    def on_descendant_focus(self) -> None:
        """The message line says the hint or problem of the field with the cursor in full."""
        if self.told:
            self.say(self.told, bad=True)
            self.told = ""
        elif self.greeting:
            self.say(self.greeting)
        else:
            self._say_field()

    def show_caution(self, sentence: str) -> None:
        """Put a sentence above the form that stays there while it is typed."""
        label = self.query_one("#caution", Label)
        label.update(sentence)
        label.remove_class("hidden").add_class("bad")

    def _say_field(self) -> None:
        row = self._row_with_focus()
        if self.trouble:
            self.say(self.trouble, bad=True)
        elif row is not None:
            self.say(row.sentence, bad=bool(row.problem))

    def _row(self, name: str) -> FormRow:
        return self.query_one(f"#row-{name}", FormRow)

    def _row_with_focus(self) -> FormRow | None:
        if self.focused is None:
            return None
        return next((node for node in self.focused.ancestors if isinstance(node, FormRow)), None)

    def action_next(self) -> None:
        """To the next field; from the last one the form is sent. In the tag field Enter asks for the tag."""
        self._step(1)

    def action_previous(self) -> None:
        """To the field before."""
        self._step(-1)

    def _step(self, step: int) -> None:
        self.greeting = ""
        row = self._row_with_focus()
        if row is None:
            if isinstance(self.focused, Input):
                self.focused.post_message(Input.Submitted(self.focused, self.focused.value))
            return
        self._complete(row)
        rows = list(self.query(FormRow))
        place = rows.index(row) + step
        if place >= len(rows):
            self.action_send()
        elif place >= 0:
            rows[place].query_one(Input).focus()

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """F3 is no key of a form in which nothing is chosen, nor Up of one with a single field."""
        if action == "choice":
            return any(row.field.choices for row in self.query(FormRow))
        if action == "previous":
            return len(self.query(FormRow)) > 1
        return super().check_action(action, parameters)

    def action_choice(self, step: int) -> None:
        """Step through the choices of the field with the cursor."""
        row = self._row_with_focus()
        if row is not None and row.field.choices:
            row.step_choice(step)
        else:
            self.say(TYPED)

    def action_send(self) -> None:
        """Take the form, or go to the first field that stands in the way."""
        for row in self.query(FormRow):
            self._complete(row)
        texts = self.current_texts()
        questions = self.questions(texts)
        if questions and questions != self.asked:
            self.asked = questions
            self.say(f"{questions[0]} {self.again}", bad=True)
            return
        try:
            self.send(texts)
        except ProblemsError as error:
            self._point_at(error)
        except FieldlogError as error:
            self.say_error(error)

    def _point_at(self, error: ProblemsError) -> None:
        rows = {row.field.label: row for row in self.query(FormRow)}
        for problem in error.problems:
            if problem.place in rows:
                rows[problem.place].show_problem(f"{problem.wrong} {problem.todo}".strip())
        count = len(error.problems)
        sentence = (
            f"Not saved: {count} field{'s need' if count > 1 else ' needs'} a look."
            f" {error.problems[0].place}: {error.problems[0].wrong}"
        )
        self.say(sentence, bad=True)
        first = next((rows[p.place].query_one(Input) for p in error.problems if p.place in rows), None)
        if first is not None and not first.has_focus:
            self.told = sentence
            first.focus()
