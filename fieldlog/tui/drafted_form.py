"""A form that loses nothing: kept as a draft at every key until it is sealed or thrown away."""

from typing import ClassVar

from textual.binding import BindingType

from fieldlog.domain.records import Draft
from fieldlog.errors import FieldlogError, RefusedError, StoreError
from fieldlog.operations.draft_hands import OWN_NOW, keep_fields, throw_away, went_on
from fieldlog.operations.draft_words import draft_says, left_open, sentence
from fieldlog.operations.drafting import discard_draft
from fieldlog.tui.commands import bindings
from fieldlog.tui.form import FormPage


class DraftedForm(FormPage):
    """Subclasses give `fields()`, `seal(texts)` and `taken_up_by`; a form left untouched leaves no draft."""

    BINDINGS: ClassVar[list[BindingType]] = [*bindings("drafted")]
    taken_up_by = "d on the due list takes it up again."

    def __init__(self, draft: Draft) -> None:
        super().__init__({name: str(text) for name, text in draft.fields.items()})
        self.draft = draft
        self.taken_up = bool(draft.fields)
        self.untouched: dict[str, str] = {}
        self.asked_to_discard = False

    def seal(self, texts: dict[str, str]) -> str:
        """Seal the record; gives back what the screen below says. FieldlogError with what is wrong."""
        del texts
        return ""

    def on_mount(self) -> None:
        """Say that it was left open, and go where something is missing."""
        self.untouched = self.current_texts()
        if self.taken_up:
            self.greeting = f"{self._whose()}. F8 throws it away."
        super().on_mount()

    def _whose(self) -> str:
        draft = self.draft
        if draft.begun_by in ("", draft.by):
            return f"{sentence(left_open(draft))}: taken up"
        return f"Begun by {draft.begun_by} on {draft.begun.date().isoformat()}: taken over, yours now"

    @property
    def is_kept(self) -> bool:
        """Whether anything was typed that a draft holds."""
        return bool(self.draft.fields)

    @property
    def kept_words(self) -> str:
        """What is said when this form is left with something in it."""
        about = f", {self.draft.about}," if self.draft.about else ""
        return f"{sentence(draft_says(self.draft))}{about} is kept as a draft: {self.taken_up_by}"

    def keep(self, texts: dict[str, str]) -> None:
        """Every key goes into the draft; into one of its own where another session went on with this one."""
        self.asked_to_discard = False
        try:
            kept_before = self.is_kept
            self._keep(texts)
        except FieldlogError as error:
            self.trouble = sentence(str(error))
            return
        self.trouble = ""
        if not kept_before:
            self.refresh_bindings()

    def _keep(self, texts: dict[str, str]) -> str:
        """Keep it, apart from a draft that another session has in hand; says so, or nothing."""
        by, now = self.fieldlog.by or self.draft.by, self.now()
        self.draft, words = keep_fields(self.shop, self.draft, texts, by=by, now=now)
        if words:
            self.show_caution(f"{words} {OWN_NOW}")
        return words

    def keep_last(self) -> None:
        """Keep a key that was typed but not handled yet, where the app can not go on; from any thread."""
        texts = self.current_texts()
        if texts not in (self.untouched, self.draft.fields):
            by, now = self.fieldlog.by or self.draft.by, self.now()
            self.draft, _ = keep_fields(self.shop, self.draft, texts, by=by, now=now)

    def send(self, texts: dict[str, str]) -> None:
        """Seal it, forget the draft and go back."""
        if went_on(self.shop, self.draft):
            raise RefusedError(f"{self._keep(texts)} F10 again seals what stands here.")
        said = self.seal(texts)
        discard_draft(self.shop, self.draft)
        self.app.pop_screen()
        self.sealed(said)

    def sealed(self, said: str) -> None:
        """Told on the screen that comes to the front."""
        self.fieldlog.tell(said)

    def leave(self) -> None:
        """Leaving keeps what was typed, and says so."""
        if self.is_kept and not self.taken_up and self.current_texts() == self.untouched:
            throw_away(self.shop, self.draft)
            super().leave()
            return
        super().leave()
        if self.is_kept:
            self.fieldlog.tell(self.kept_words)

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """There is nothing to throw away before anything was typed."""
        if action == "throw_away":
            return self.is_kept
        return super().check_action(action, parameters)

    def action_throw_away(self) -> None:
        """Throw what was typed away, when asked twice; a draft in other hands stays."""
        if not self.asked_to_discard:
            self.asked_to_discard = True
            self.say("F8 again throws away what was typed here. Escape keeps it as a draft.", bad=True)
            return
        try:
            words = throw_away(self.shop, self.draft)
        except FieldlogError as error:
            raise StoreError(f"Not thrown away: {error}") from error
        super().leave()
        self.fieldlog.tell(words or "Thrown away.")
