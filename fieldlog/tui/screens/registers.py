"""The shop's instruments, people and sites: a list, and a form for one of them."""

from collections.abc import Callable, Mapping, Sequence
from datetime import date, datetime
from functools import partial
from pathlib import Path
from typing import ClassVar, Protocol

from msgspec import Struct
from textual.app import ComposeResult
from textual.binding import BindingType

from fieldlog.domain.records import Draft, Entry
from fieldlog.operations.draft_hands import sealed_as
from fieldlog.operations.draft_words import REGISTERS as CALLED
from fieldlog.operations.drafting import begin_form, kept_drafts
from fieldlog.operations.entering import Field
from fieldlog.operations.instruments import instrument_state, instruments
from fieldlog.operations.setting_up import sites
from fieldlog.operations.shop import Shop, people
from fieldlog.operations.tool_forms import (
    instrument_fields,
    person_fields,
    site_fields,
    take_instrument,
    take_person,
    take_site,
)
from fieldlog.operations.tracing import doubt_lines
from fieldlog.store.reading import place_of
from fieldlog.tui.commands import bindings
from fieldlog.tui.drafted_form import DraftedForm
from fieldlog.tui.long_work import Job, LongWork
from fieldlog.tui.watching import WatchesFiles
from fieldlog.tui.widgets.line_table import Column, LineTable, Row
from fieldlog.tui.widgets.progress_line import ProgressLine


class Take(Protocol):
    """A verb of operations that seals one record of a register from a form."""

    def __call__(
        self,
        shop: Shop,
        texts: Mapping[str, str],
        *,
        by: str,
        now: datetime,
        today: date,
        uid: str | None = None,
    ) -> Entry:
        """Seal it."""
        ...


class Register(Struct, frozen=True, kw_only=True):
    """A register of the shop: its title, columns, rows, form and verb."""

    title: str
    columns: tuple[Column, ...]
    rows: Callable[[Shop, date], list[Row]]
    fields: Callable[[Shop, date, str], tuple[Field, ...]]
    take: Take


def _instrument_rows(shop: Shop, today: date) -> list[Row]:
    rows = []
    for name, held in instruments(shop).items():
        state = instrument_state(held, today)
        tone = "plain" if state.startswith("in calibration") else "caution"
        rows.append(Row(key=name, cells=(name, held.type, state), tone=tone))
    return rows


def _person_rows(shop: Shop, today: date) -> list[Row]:
    rows = []
    for name, held in people(shop).items():
        over = held.until is not None and today > held.until
        until = "" if held.until is None else f" until {held.until.isoformat()}"
        may = f"may seal{until}" if held.may_seal and not over else f"may not seal{until}"
        rows.append(Row(key=name, cells=(name, held.qualification, may)))
    return rows


def _site_rows(shop: Shop, _today: date) -> list[Row]:
    return [
        Row(key=name, cells=(name, held.address, f"rulebook {held.rulebook}" if held.rulebook else ""))
        for name, held in sites(shop).items()
    ]


REGISTERS = {
    "instruments": Register(
        title="Instruments",
        columns=(
            Column(title="Instrument", width=20),
            Column(title="Kind", width=16),
            Column(title="State"),
        ),
        rows=_instrument_rows,
        fields=instrument_fields,
        take=take_instrument,
    ),
    "people": Register(
        title="People",
        columns=(
            Column(title="Name", width=22),
            Column(title="Qualification", width=28),
            Column(title="Seals"),
        ),
        rows=_person_rows,
        fields=lambda shop, _today, name: person_fields(shop, name),
        take=take_person,
    ),
    "sites": Register(
        title="Sites",
        columns=(Column(title="Site", width=20), Column(title="Address"), Column(title="Rulebook", width=18)),
        rows=_site_rows,
        fields=lambda shop, _today, name: site_fields(shop, name),
        take=take_site,
    ),
}


class RegisterListPage(WatchesFiles, LongWork):
    """One register as a list; Enter changes an entry, n adds one."""

    BINDINGS: ClassVar[list[BindingType]] = [*bindings("register")]
    first_focus = "#register"

    def __init__(self, kind: str) -> None:
        super().__init__()
        self.kind = kind
        self.register = REGISTERS[kind]

    def watched(self) -> Sequence[Path]:
        """The shop's own logbook that the register is folded from."""
        return (self.shop.root / place_of(self.kind),)

    def heading(self) -> str:
        """The register."""
        return f"{self.register.title}   Enter changes, n adds"

    def body(self) -> ComposeResult:
        """The list, and how far a search through the logbooks is."""
        yield LineTable(self.register.columns, id="register")
        yield ProgressLine()

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """Only instruments have readings in doubt."""
        if action == "trace":
            return self.kind == "instruments"
        return super().check_action(action, parameters)

    def show_rows(self) -> None:
        """Read the register."""
        rows = self.register.rows(self.shop, self.today())
        self.query_one(LineTable).set_rows(rows)
        self.say_whether_empty("Nothing here yet: n adds one.", empty=not rows)

    def on_line_table_chosen(self, event: LineTable.Chosen) -> None:
        """Change the entry; what was before stays in its history."""
        self.fieldlog.edit_register(self.kind, event.key)

    def action_new(self) -> None:
        """Add an entry."""
        self.fieldlog.edit_register(self.kind, "")

    def action_trace(self) -> None:
        """After a failed calibration: every reading since the last good one."""
        name = self.query_one(LineTable).current_key
        if not name:
            self.say("No instrument is here yet.")
            return
        self.say("Reading every logbook.")
        self.begin(partial(_look_for_doubts, name=name), partial(self._tell_doubts, name), "logbooks")

    def _tell_doubts(self, name: str, lines: list[str]) -> None:
        self.say("")
        if self.app.screen is self:
            self.fieldlog.show_text(f"{name}   readings in doubt", lines)

    def on_screen_suspend(self) -> None:
        """Whoever goes on to something else is not interrupted by what was looked for before."""
        if self.job is not None:
            self.job.stop()


def _look_for_doubts(job: Job, *, name: str) -> list[str]:
    return doubt_lines(job.shop, name, job.tell)


class RegisterEntryPage(DraftedForm):
    """One entry of a register; `draft.about` is its name, or empty for one that is not there yet."""

    BINDINGS: ClassVar[list[BindingType]] = [*bindings("entry")]
    again = "F10 again seals it as one more."

    def __init__(self, draft: Draft) -> None:
        super().__init__(draft)
        self.register = REGISTERS[draft.kind]
        self.entry_name = draft.about

    def heading(self) -> str:
        """The register and the entry."""
        return f"{self.register.title}   {self.entry_name or 'new'}"

    def fields(self) -> Sequence[Field]:
        """The form, with what is known proposed."""
        return self.register.fields(self.shop, self.today(), self.entry_name)

    def questions(self, texts: dict[str, str]) -> tuple[str, ...]:
        """One who is there already in other letters is hardly another one."""
        name = " ".join(texts.get("name", "").split())
        known = [row.key for row in self.register.rows(self.shop, self.today())]
        alike = [other for other in known if other.casefold() == name.casefold()]
        if name in known or not alike:
            return ()
        return (f"There is a {CALLED[self.draft.kind]} {alike[0]} already: is it the same?",)

    def seal(self, texts: dict[str, str]) -> str:
        """Seal it as a record of the shop; what an ended session sealed from it is not sealed again."""
        if sealed_as(self.shop, self.draft.kind, self.draft) is not None:
            return "It was sealed already, as a record of the shop."
        by, now, today, uid = self.fieldlog.by, self.now(), self.today(), self.draft.uid
        self.register.take(self.shop, texts, by=by, now=now, today=today, uid=uid)
        return "Sealed as a record of the shop."


def entry_page(shop: Shop, kind: str, name: str, *, by: str, now: datetime) -> RegisterEntryPage:
    """The form of an entry: one's own that was left open, else from what is known of it."""
    left = [draft for draft in kept_drafts(shop, about=name) if (draft.kind, draft.by) == (kind, by)]
    return RegisterEntryPage(left[0] if left else begin_form(kind, name, by=by, now=now))
