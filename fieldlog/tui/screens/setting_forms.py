"""The short forms behind the settings: one of the shop's, sealed as a record, or one of this terminal's."""

from collections.abc import Callable, Sequence
from datetime import date, datetime
from typing import ClassVar

from msgspec.structs import replace
from textual.binding import BindingType

from fieldlog.domain.records import Draft
from fieldlog.operations.draft_words import SETTING
from fieldlog.operations.drafting import begin_form, kept_drafts
from fieldlog.operations.entering import Field, read_choice
from fieldlog.operations.label_log import offset_of
from fieldlog.operations.shop import Shop, need_settings
from fieldlog.operations.shop_settings import offset_fields, set_offset, set_shop, shop_fields
from fieldlog.store.preferences import (
    SIGNS,
    THEMES,
    Preferences,
    read_preferences,
    set_aside,
    write_preferences,
)
from fieldlog.tui.commands import bindings
from fieldlog.tui.drafted_form import DraftedForm
from fieldlog.tui.form import FormPage

SHOP_ROWS = {
    "name": ("Name", ("shop",)),
    "address": ("Address", ("address",)),
    "rulebook": ("Rulebook", ("rulebook",)),
    "stricter": ("Stricter", ("stricter",)),
    "units": ("Paper speaks", ("length_unit", "mass_unit")),
}
PRINTER = "printer "
"""How the name of a printer's offset begins; the queue follows."""
SIGNS_SAY = "auto asks the terminal; full has lines and blocks, plain only what every keyboard has"


class ShopSettingPage(DraftedForm):
    """One setting of the shop, sealed as a record; `draft.about` is its name."""

    BINDINGS: ClassVar[list[BindingType]] = [*bindings("entry")]

    def __init__(self, draft: Draft, asks: Sequence[Field], take: Callable[..., object]) -> None:
        super().__init__(draft)
        self.asks = tuple(asks)
        self.take = take

    def heading(self) -> str:
        """The setting, and who seals."""
        return f"Settings   {self.draft.about}   {self.fieldlog.by}"

    @property
    def kept_words(self) -> str:
        """What is said when this form is left with something in it."""
        return f"What was typed for '{self.draft.about}' is kept as a draft: Enter takes it up again."

    def fields(self) -> Sequence[Field]:
        """What holds is proposed."""
        return self.asks

    def seal(self, texts: dict[str, str]) -> str:
        """Seal it."""
        if texts == {field.name: field.default for field in self.asks}:
            return "Nothing was changed."
        self.take(self.shop, texts, by=self.fieldlog.by, now=self.now(), today=self.today())
        return "Sealed as a record of the shop."


def setting_page(shop: Shop, about: str, *, by: str, now: datetime) -> ShopSettingPage:
    """The form of one of the shop's settings or of a printer's offset: as one left it open, else anew."""
    left = [draft for draft in kept_drafts(shop, about=about) if (draft.kind, draft.by) == (SETTING, by)]
    return setting_of(shop, left[0] if left else begin_form(SETTING, about, by=by, now=now))


def setting_of(shop: Shop, draft: Draft) -> ShopSettingPage:
    """The form that a draft of a setting belongs to."""
    if draft.about.startswith(PRINTER):
        return _printer_setting(shop, draft)
    names = next((names for label, names in SHOP_ROWS.values() if label.lower() == draft.about), ())
    return ShopSettingPage(draft, [f for f in shop_fields(need_settings(shop)) if f.name in names], set_shop)


def _printer_setting(shop: Shop, draft: Draft) -> ShopSettingPage:
    queue = draft.about.removeprefix(PRINTER)

    def take(shop: Shop, texts: dict[str, str], *, by: str, now: datetime, today: date) -> object:
        return set_offset(shop, queue, texts, by=by, now=now, today=today)

    return ShopSettingPage(draft, offset_fields(offset_of(shop, queue)), take)


class TerminalSettingPage(FormPage):
    """Theme or signs: written into the user's own file, and shown at once."""

    def __init__(self, name: str, chosen: Preferences) -> None:
        super().__init__()
        self.setting = name
        self.chosen = chosen
        self.choices = THEMES if name == "theme" else SIGNS

    def heading(self) -> str:
        """The setting."""
        return f"Settings   {self.setting} of this terminal"

    def fields(self) -> Sequence[Field]:
        """One choice."""
        default = self.chosen.theme if self.setting == "theme" else self.chosen.signs
        return (
            Field(
                name=self.setting,
                label=self.setting.capitalize(),
                read=read_choice(f"the {self.setting}", self.choices),
                choices=self.choices,
                default=default,
                hint="" if self.setting == "theme" else SIGNS_SAY,
            ),
        )

    def questions(self, texts: dict[str, str]) -> tuple[str, ...]:
        """A file with a fault is not written over without asking."""
        del texts
        held = self._held()
        if not held.faults:
            return ()
        self.again = (
            "F10 again puts it aside under another name and writes a fresh one."
            if held.unreadable
            else "F10 again writes theme and signs into it; all else in it stays."
        )
        return (f"{held.faults[0]}.",)

    def _held(self) -> Preferences:
        """The file as it stands now; it may have been mended by hand meanwhile."""
        return self.chosen if self.chosen.file is None else read_preferences(self.chosen.file)

    def send(self, texts: dict[str, str]) -> None:
        """Write it and let it take effect."""
        value = self.taken(texts)[self.setting]
        held = self._held()
        wanted = replace(held, theme=value) if self.setting == "theme" else replace(held, signs=value)
        said = f"The {self.setting} is {value} from now on."
        if held.file is None:
            said = f"The {self.setting} is {value} until fieldlog ends: it has no settings file here."
        else:
            if held.unreadable:
                said = f"{said} The faulty file is {set_aside(held.file)}."
            write_preferences(wanted, held.file)
            wanted = read_preferences(held.file)
        self.fieldlog.take_preferences(wanted)
        self.leave()
        self.fieldlog.tell(said)
