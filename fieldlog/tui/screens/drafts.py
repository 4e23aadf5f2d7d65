"""What was left open: take up, take over, look at or throw away."""

from collections.abc import Sequence
from pathlib import Path
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import BindingType

from fieldlog.domain.records import Draft
from fieldlog.errors import FieldlogError
from fieldlog.operations.draft_hands import take_over, throw_away
from fieldlog.operations.draft_words import (
    DEEDS,
    FIRST_START,
    REGISTERS,
    SETTING,
    draft_says,
    form_lines,
    inspection_lines,
    left_open,
    sentence,
)
from fieldlog.operations.drafting import INSPECTION, kept_drafts
from fieldlog.operations.entering import Field
from fieldlog.operations.opening import opening_field
from fieldlog.operations.registering import registration_fields
from fieldlog.operations.setting_up import setup_fields
from fieldlog.operations.shop import need_settings, open_hoist
from fieldlog.tui.commands import bindings
from fieldlog.tui.watching import WatchesFiles
from fieldlog.tui.widgets.line_table import Column, LineTable, Row


class DraftChoicePage(WatchesFiles):
    """A table with drafts in it: one's own are taken up at once, another's is asked about."""

    BINDINGS: ClassVar[list[BindingType]] = [*bindings("drafts")]

    def __init__(self) -> None:
        super().__init__()
        self.drafts: dict[str, Draft] = {}  # by the key of their row
        self.asked: tuple[str, str] = ("", "")  # what was asked about which row

    def watched(self) -> Sequence[Path]:
        """The folder in which each draft that is kept is replaced."""
        return (self.shop.root / "drafts",)

    def show_changes(self) -> None:
        """A question stands only while its draft is as it was, and Enter is for the row that stood there."""
        table = self.query_one(LineTable)
        row, asked_of = table.current_key, self.drafts.get(self.asked[1])
        self.show_rows()
        if asked_of is not None and self.drafts.get(self.asked[1]) != asked_of:
            self._ask_anew()
        if row and table.current_key not in ("", row):
            table.held_off = True
            self.say("What stood at the cursor is gone: another row is there now.", bad=True)
        self.refresh_bindings()

    def _ask_anew(self) -> None:
        self.asked = ("", "")
        self.say("That draft changed meanwhile: look at it, then ask again.", bad=True)

    def on_screen_resume(self) -> None:
        """One may have been sealed meanwhile; the question is off, and the rows are shown anew."""
        self.asked = ("", "")

    def on_line_table_moved(self) -> None:
        """Another draft: the question is off."""
        self.asked = ("", "")

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """Without a draft there is nothing to look at and nothing to throw away."""
        if action in ("look", "discard"):
            return bool(self.drafts)
        return super().check_action(action, parameters)

    def _here(self) -> tuple[str, Draft] | None:
        """The row under the cursor and its draft, as it stands on the disk now; none on other rows."""
        key = self.query_one(LineTable).current_key
        if key not in self.drafts:
            return None
        try:
            return key, self.shop.drafts.load(self.drafts[key].uid)
        except FieldlogError as error:
            self.show_rows()
            self.say_error(error)
            return None

    def choose_draft(self) -> None:
        """Take up the draft under the cursor; another person's only when asked twice."""
        here = self._here()
        if here is None:
            return
        key, draft = here
        mine = draft.by == self.fieldlog.by
        if not mine and self.asked != ("take", key):
            self.asked = ("take", key)
            self.say(f"{self._whose(draft)} Enter takes it over, l looks, F8 throws it away.", bad=True)
            return
        if not mine and draft != self.drafts[key]:
            self.show_rows()
            self._ask_anew()
            return
        try:
            draft = draft if mine else take_over(self.shop, draft, by=self.fieldlog.by, now=self.now())
        except FieldlogError as error:
            self.say_error(error)
            return
        self.app.pop_screen()
        self.fieldlog.take_up(draft)

    @staticmethod
    def _whose(draft: Draft) -> str:
        return f"{sentence(left_open(draft))}."

    def action_look(self) -> None:
        """Show what it holds, without taking it up."""
        here = self._here()
        if here is None:
            self.say("This is no draft.")
            return
        _, draft = here
        begun, since = draft.begun_by or draft.by, draft.begun.date()
        alike = (begun, since) == (draft.by, draft.saved.date())
        told = "" if alike else f" Begun by {begun} on {since.isoformat()}."
        lines = [f"{self._whose(draft)}{told}", "", *self._lines(draft)]
        self.fieldlog.show_text(f"{draft.about or 'new'}   {draft_says(draft)}", lines)

    def _lines(self, draft: Draft) -> list[str]:
        try:
            if draft.kind == INSPECTION:
                return inspection_lines(open_hoist(self.shop, draft.about), draft)
            return form_lines(self._fields(draft), draft.fields)
        except FieldlogError as error:
            return [str(error), *form_lines((), draft.fields)]

    def _fields(self, draft: Draft) -> Sequence[Field]:
        if draft.kind in DEEDS:
            from fieldlog.tui.screens.service import ServicePage  # noqa: PLC0415

            return ServicePage.from_draft(self.shop, draft, self.today()).asks
        if draft.kind in REGISTERS:
            from fieldlog.tui.screens.registers import REGISTERS as FORMS  # noqa: PLC0415

            return FORMS[draft.kind].fields(self.shop, self.today(), draft.about)
        if draft.kind == SETTING:
            from fieldlog.tui.screens.setting_forms import setting_of  # noqa: PLC0415

            return setting_of(self.shop, draft).asks
        if draft.kind == FIRST_START:
            return (*setup_fields(""), opening_field(self.shop.root))
        drive = str(draft.fields.get("drive", ""))
        return registration_fields(
            rulebook=need_settings(self.shop).rulebook, drive=drive, today=self.today()
        )

    def action_discard(self) -> None:
        """Throw it away, when asked twice; not where somebody took it up meanwhile."""
        here = self._here()
        if here is None:
            self.say("This is no draft.")
            return
        key, draft = here
        if self.asked != ("discard", key):
            self.asked = ("discard", key)
            whose = "" if draft.by == self.fieldlog.by else f"{self._whose(draft)} "
            self.say(f"{whose}F8 again throws this draft away for good.", bad=True)
            return
        try:
            words = throw_away(self.shop, self.drafts[key])
        except FieldlogError as error:
            self.say(f"Not thrown away: {error}", bad=True)
            return
        said = f"{words} It stays." if words else "Thrown away."
        self.show_rows()
        self.refresh_bindings()
        self.say(said, bad=bool(words))


class DraftsPage(DraftChoicePage):
    """Drafts of everybody, newest first."""

    first_focus = "#drafts"

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

    def show_rows(self) -> None:
        """Read them from the store."""
        self.drafts = {draft.uid: draft for draft in kept_drafts(self.shop)}
        rows = [
            Row(
                key=draft.uid,
                cells=(_about(draft), draft_says(draft), draft.by, f"{draft.saved:%Y-%m-%d %H:%M}"),
                tone="plain" if draft.by == self.fieldlog.by else "caution",
            )
            for draft in self.drafts.values()
        ]
        self.query_one(LineTable).set_rows(rows)
        self.say_whether_empty("Nothing was left open.", empty=not rows)

    def on_line_table_chosen(self) -> None:
        """Take it up."""
        self.choose_draft()


def _about(draft: Draft) -> str:
    """The tag; what is the shop's own has none."""
    return "" if draft.kind in (*REGISTERS, SETTING, FIRST_START) else draft.about or "new"


class DeedDraftsPage(DraftChoicePage):
    """What others left open of one deed on one hoist, or a form of one's own."""

    first_focus = "#deed-drafts"

    def __init__(self, hoist_id: str, deed: str) -> None:
        super().__init__()
        self.hoist_id = hoist_id
        self.deed = deed

    def heading(self) -> str:
        """The tag and the deed."""
        return f"{self.hoist_id}   {DEEDS[self.deed]}   what was left open, or anew?"

    def body(self) -> ComposeResult:
        """The drafts, then a form of one's own."""
        columns = (Column(title="What", width=30), Column(title="Left open"))
        yield LineTable(columns, id="deed-drafts")

    def show_rows(self) -> None:
        """Read them from the store."""
        left = [draft for draft in kept_drafts(self.shop, about=self.hoist_id) if draft.kind == self.deed]
        self.drafts = {draft.uid: draft for draft in left}
        rows = [
            Row(key=uid, cells=(draft_says(draft), left_open(draft)), tone="caution")
            for uid, draft in self.drafts.items()
        ]
        rows.append(Row(key="anew", cells=("begin one of your own", "")))
        self.query_one(LineTable).set_rows(rows)

    def on_line_table_chosen(self, event: LineTable.Chosen) -> None:
        """Take it up, or begin anew."""
        if event.key in self.drafts:
            self.choose_draft()
            return
        self.app.pop_screen()
        self.fieldlog.begin_service(self.hoist_id, self.deed)
