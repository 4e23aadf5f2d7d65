"""Registering a hoist."""

from collections.abc import Sequence
from typing import ClassVar

from textual.binding import Binding, BindingType

from fieldlog.domain.records import Draft
from fieldlog.operations.drafting import discard_draft, save_fields
from fieldlog.operations.entering import Field
from fieldlog.operations.registering import (
    next_id,
    register_hoist,
    registration_fields,
    registration_questions,
)
from fieldlog.operations.shop import need_settings
from fieldlog.tui.form import FormPage
from fieldlog.tui.widgets.form_row import FormRow

GEAR = ("limit_switches", "container", "overload_device")


class RegisterPage(FormPage):
    """The nameplate, the book, the gear and the place of a new hoist."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("f10", "send", "Seal", id="register.send", priority=True)
    ]

    caution = (
        "Take the figures from the nameplate and the maker's own book, not from a hoist that looks alike."
    )

    def __init__(self, draft: Draft) -> None:
        super().__init__({name: str(text) for name, text in draft.fields.items()})
        self.draft = draft

    def heading(self) -> str:
        """The tag ID that it would get."""
        return f"New hoist: will get the tag {next_id(self.shop)}   (* must be filled in)"

    def _rulebook(self) -> str:
        return need_settings(self.shop).rulebook

    def fields(self) -> Sequence[Field]:
        """The registration form."""
        return registration_fields(
            rulebook=self._rulebook(), drive=self.texts.get("drive", ""), today=self.today()
        )

    def keep(self, texts: dict[str, str]) -> None:
        """Every key goes into the draft."""
        self.draft = save_fields(self.shop, self.draft, texts, now=self.now())

    def take_edit(self, name: str, text: str) -> None:
        """Choosing a drive proposes its usual gear."""
        before = self.texts.get("drive", "")
        super().take_edit(name, text)
        if name == "drive" and "hand" in (before, text):
            self._propose_gear(text)

    def _propose_gear(self, drive: str) -> None:
        for field in registration_fields(rulebook=self._rulebook(), drive=drive, today=self.today()):
            if field.name in GEAR:
                self.query_one(f"#row-{field.name}", FormRow).put(field.default)
        self.keep(self.current_texts())

    def questions(self, texts: dict[str, str]) -> tuple[str, ...]:
        """A book length that does not go with the chain is asked about."""
        return registration_questions(texts, rulebook=self._rulebook(), today=self.today())

    def send(self, texts: dict[str, str]) -> None:
        """Seal the registration and open the hoist's page."""
        hoist = register_hoist(
            self.shop, texts, by=self.fieldlog.by, now=self.now(), today=self.today(), uid=self.draft.uid
        )
        discard_draft(self.shop, self.draft)
        self.app.pop_screen()
        self.fieldlog.open_hoist(
            hoist.id, f"Registered as {hoist.id}. Next: i inspects it, p prints its tag."
        )

    def leave(self) -> None:
        """Leaving keeps what was typed."""
        super().leave()
        if self.texts:
            self.fieldlog.tell("The new hoist is kept as a draft: d on the due list takes it up again.")
