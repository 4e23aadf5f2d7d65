"""Registering a hoist."""

from collections.abc import Sequence
from typing import ClassVar

from textual.binding import BindingType

from fieldlog.domain.records import Draft
from fieldlog.operations.entering import Field
from fieldlog.operations.registering import (
    next_id,
    register_hoist,
    registration_fields,
    registration_questions,
    twin_questions,
)
from fieldlog.operations.setting_up import sites
from fieldlog.operations.shop import need_settings, summaries
from fieldlog.tui.commands import bindings
from fieldlog.tui.drafted_form import DraftedForm

GEAR = ("limit_switches", "container", "overload_device")


class RegisterPage(DraftedForm):
    """The nameplate, the book, the gear and the place of a new hoist."""

    BINDINGS: ClassVar[list[BindingType]] = [*bindings("registration")]

    caution = (
        "Take the figures from the nameplate and the maker's own book, not from a hoist that looks alike."
    )

    kept_words = "The new hoist is kept as a draft: d on the due list takes it up again."

    def __init__(self, draft: Draft) -> None:
        super().__init__(draft)
        self.sealed_tag = ""

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

    def take_edit(self, name: str, text: str) -> None:
        """Choosing a drive proposes its usual gear, a site the rulebook that holds there."""
        before = self.texts.get("drive", "")
        super().take_edit(name, text)
        if name == "drive" and "hand" in (before, text):
            self._propose_gear(text)
        if name == "site":
            self._propose_rulebook(text)

    def _propose_rulebook(self, site: str) -> None:
        held = next((held for name, held in sites(self.shop).items() if name == site.strip()), None)
        if held is not None and held.rulebook:
            self._row("rulebook").put(held.rulebook)
            self.keep(self.current_texts())

    def _propose_gear(self, drive: str) -> None:
        for field in registration_fields(rulebook=self._rulebook(), drive=drive, today=self.today()):
            if field.name in GEAR:
                self._row(field.name).put(field.default)
        self.keep(self.current_texts())

    def questions(self, texts: dict[str, str]) -> tuple[str, ...]:
        """A book length that does not go with the chain is asked about, and a hoist known already."""
        asked = registration_questions(texts, rulebook=self._rulebook(), today=self.today())
        return (*asked, *twin_questions(texts, summaries(self.shop)))

    def seal(self, texts: dict[str, str]) -> str:
        """Seal the registration."""
        hoist = register_hoist(
            self.shop, texts, by=self.fieldlog.by, now=self.now(), today=self.today(), uid=self.draft.uid
        )
        self.sealed_tag = hoist.id
        return f"Registered as {hoist.id}. Next: i inspects it, p prints its tag."

    def sealed(self, said: str) -> None:
        """Told on the page of the hoist; the signature follows beside the keys."""
        self.fieldlog.open_hoist(self.sealed_tag, said)
        self.fieldlog.sign(self.sealed_tag, self.shop.logbooks.read(self.sealed_tag).entries[0])
