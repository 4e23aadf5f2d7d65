"""First start: whose store is this, and who is at the keys."""

from collections.abc import Sequence
from datetime import datetime

from fieldlog.domain.records import Draft
from fieldlog.errors import FieldlogError
from fieldlog.operations.draft_words import FIRST_START
from fieldlog.operations.drafting import begin_form, discard_draft, kept_drafts
from fieldlog.operations.entering import Field
from fieldlog.operations.opening import open_to, opening_field
from fieldlog.operations.setting_up import set_up, setup_fields
from fieldlog.operations.shop import Shop, people
from fieldlog.tui.drafted_form import DraftedForm
from fieldlog.tui.form import FormPage


class SetupPage(DraftedForm):
    """Asks the shop's name, tag prefix, rulebook and person; writes them as records."""

    caution = "A new store. These go into its records; the rulebook can differ for each place later."

    def heading(self) -> str:
        """The title line."""
        return "fieldlog: first start"

    def fields(self) -> Sequence[Field]:
        """Shop, prefix, rulebook, person, and who may open the store."""
        return (*setup_fields(self.fieldlog.login), opening_field(self.shop.root))

    def send(self, texts: dict[str, str]) -> None:
        """Write the records, forget what was left open of this form, and go to the due list."""
        opens = self.taken(texts)["opens"]
        set_up(self.shop, texts, login=self.fieldlog.login, now=self.now())
        for draft in _first_starts(self.shop):
            discard_draft(self.shop, draft)
        said = self._opened(opens)
        self.fieldlog.by = texts["person"].strip()
        self.fieldlog.start_work()
        if said:
            self.fieldlog.tell(said)

    def _opened(self, opens: str) -> str:
        """Rights that the system refuses do not undo the store: it stands, and what is left to do is said."""
        try:
            return open_to(self.shop.root, opens)
        except FieldlogError as error:
            return f"The store is set up, but {error}."

    def leave(self) -> None:
        """There is nothing below this screen."""
        kept = "what is typed is kept" if self.is_kept else "nothing is written yet"
        self.say(f"Fill in the form and press F10, or leave with Ctrl-Q: {kept}.")

    def action_throw_away(self) -> None:
        """Throw what was typed away, when asked twice, and begin anew: there is nothing to go back to."""
        asked = self.asked_to_discard
        super().action_throw_away()
        if not asked:
            return
        self.fieldlog.tell("")
        self.draft = begin_form(FIRST_START, by=self.draft.by, now=self.now())
        for field in self.fields():
            self._row(field.name).put(field.default)
        self.asked_to_discard = False
        self.refresh_bindings()
        self.say("Thrown away.")


def setup_page(shop: Shop, *, login: str, now: datetime) -> SetupPage:
    """The form of the first start: as it was left open, else empty."""
    left = _first_starts(shop)
    return SetupPage(left[0] if left else begin_form(FIRST_START, by=login or "somebody", now=now))


def _first_starts(shop: Shop) -> list[Draft]:
    return [draft for draft in kept_drafts(shop) if draft.kind == FIRST_START]


class WhoPage(FormPage):
    """Asks who is at the keys where the login name does not tell."""

    again = "F10 again takes that one."

    def heading(self) -> str:
        """The title line."""
        return "fieldlog: who is at the keys?"

    def fields(self) -> Sequence[Field]:
        """The person's name; a new one is added to the shop's people."""
        return tuple(field for field in setup_fields(self.fieldlog.login) if field.name in self._asked())

    def _asked(self) -> tuple[str, ...]:
        return ("person", "qualification")

    def _known(self, name: str) -> str:
        """The person whom the shop knows by this name in other letters or blanks, else the name as typed."""
        alike = [known for known in people(self.shop) if _folded(known) == _folded(name)]
        return name if name.strip() in alike or len(alike) != 1 else alike[0]

    def questions(self, texts: dict[str, str]) -> tuple[str, ...]:
        """A known person in other letters is hardly a new one."""
        typed = texts["person"].strip()
        known = self._known(typed)
        return () if known == typed else (f"{known} is known here: is that who you are?",)

    def send(self, texts: dict[str, str]) -> None:
        """Take a known person, or record a new one."""
        values = self.taken(texts)
        self.fieldlog.take_person(self._known(values["person"]), values["qualification"] or "")
        self.fieldlog.start_work()

    def leave(self) -> None:
        """There is nothing below this screen."""
        self.say("Say who you are and press F10, or leave with Ctrl-Q.")


def _folded(name: str) -> list[str]:
    return name.casefold().split()
