"""The settings: the shop's, sealed as records, and this terminal's, in a file of its user."""

import asyncio
from collections.abc import Callable, Iterator, Sequence
from decimal import Decimal

from textual.app import ComposeResult

from fieldlog.operations.instruments import instruments
from fieldlog.operations.label_log import offset_of
from fieldlog.operations.setting_up import sites
from fieldlog.operations.shop import Shop, need_settings, people, rulebook_named
from fieldlog.operations.shop_settings import (
    date_rule_of,
    offset_queues,
)
from fieldlog.store.preferences import (
    THEMES,
    Preferences,
)
from fieldlog.tui.commands import COMMANDS, key_faults
from fieldlog.tui.page import Page
from fieldlog.tui.screens.setting_forms import (
    PRINTER,
    SHOP_ROWS,
    SIGNS_SAY,
    TerminalSettingPage,
    setting_page,
)
from fieldlog.tui.widgets.line_table import Column, LineTable, Row, wrap_rows
from fieldlog.units import format_mm

LABEL = 13
LISTS: dict[str, tuple[str, Callable[[Shop], Sequence[str]]]] = {
    "sites": ("Sites", lambda shop: list(sites(shop))),
    "people": ("People", lambda shop: list(people(shop))),
    "instruments": ("Instruments", lambda shop: list(instruments(shop))),
}
QUEUE = "queue-"


def _heading(key: str, text: str) -> Row:
    return Row(key=f"heading-{key}", cells=(text,), tone="heading", selectable=False)


def offset_words(offset_mm: tuple[Decimal, Decimal]) -> str:
    """How far a print is moved, in words."""
    x, y = offset_mm
    if not x and not y:
        return "no offset"
    across = f"{format_mm(abs(x))} mm {'right' if x > 0 else 'left'}" if x else ""
    along = f"{format_mm(abs(y))} mm {'down' if y > 0 else 'up'}" if y else ""
    return f"moved {', '.join(part for part in (across, along) if part)}"


def key_lines(chosen: Preferences) -> list[str]:
    """The keys that were given elsewhere, how to give one, and every command by its id."""
    file = chosen.file or "the settings file"
    lines = [f"Other keys stand in {file}, by hand:", "", "[keys]", 'hoist.inspect = "f6"', ""]
    lines += [f"Not taken: {fault}" for fault in (*chosen.faults, *key_faults(dict(chosen.keys)))]
    lines += ["They hold from the next start on. Every command:", ""]
    for commands in COMMANDS.values():
        for command in commands:
            key = chosen.keys.get(command.id, command.keys)
            lines.append(f"{command.id:<24} {key:<14} {command.title}")
    return lines


class SettingsPage(Page):
    """A row for each setting; Enter changes it, or leads to its list."""

    first_focus = "#settings"

    def __init__(self) -> None:
        super().__init__()
        self.queues: Sequence[str] | None = None  # not known until the host has answered

    def heading(self) -> str:
        """The title."""
        return f"Settings   Enter changes one   {self.fieldlog.by}"

    def body(self) -> ComposeResult:
        """The rows."""
        columns = (Column(title="", width=LABEL), Column(title=""))
        yield LineTable(columns, id="settings", title=False)

    def on_mount(self) -> None:
        """Show them; the printers once the host has named them."""
        super().on_mount()
        self.show_rows()
        self.run_worker(self._ask_for_queues())

    async def _ask_for_queues(self) -> None:
        from fieldlog.printing.printers import queues  # noqa: PLC0415

        self.queues = await asyncio.to_thread(queues)
        if self.query(LineTable):
            self.show_rows()

    def on_screen_resume(self) -> None:
        """Something may have been changed."""
        if self.is_mounted and self.query(LineTable):
            self.show_rows()

    def on_resize(self) -> None:
        """Wrap to the new width."""
        if self.query(LineTable):
            self.show_rows()

    def show_rows(self) -> None:
        """Read all settings and show them."""
        rows = [*self._shop_rows(), *self._list_rows(), *self._printer_rows(), *self._terminal_rows()]
        self.query_one(LineTable).set_rows(wrap_rows(rows, self.app.size.width, LABEL))

    def _shop_rows(self) -> Iterator[Row]:
        held = need_settings(self.shop)
        yield _heading("shop", "The shop: changes are sealed as records under your name")
        stricter = "the stricter of book and rulebook" if held.stricter_rule_governs else "the maker's book"
        said = {
            "name": f"{held.shop}, tags begin with {held.prefix}",
            "address": held.address or "not recorded",
            "rulebook": f"{held.rulebook}, for new hoists; {rulebook_named(held.rulebook, self.shop).title}",
            "stricter": f"{stricter} decides where both give a limit",
            "units": f"{held.length_unit} and {held.mass_unit}; records stay in mm and kg",
        }
        for key, (label, _) in SHOP_ROWS.items():
            yield Row(key=key, cells=(label, said[key]))
        says, source = date_rule_of(rulebook_named(held.rulebook, self.shop))
        yield Row(key="dates", cells=("Due dates", f"{says} (from the rulebook: {source.title})"))

    def _list_rows(self) -> Iterator[Row]:
        yield _heading("lists", "Lists: Enter opens one")
        for key, (label, names) in LISTS.items():
            known = names(self.shop)
            yield Row(key=key, cells=(label, f"{len(known)}: {', '.join(known)}" if known else "none yet"))

    def _printer_rows(self) -> Iterator[Row]:
        yield _heading("printers", "Printers: how far a print is moved to meet the paper")
        found = self.queues or ()
        for queue in sorted({*found, *offset_queues(self.shop)}):
            gone = "" if self.queues is None or queue in found else ", not found on this host"
            yield Row(
                key=f"{QUEUE}{queue}", cells=(queue, f"{offset_words(offset_of(self.shop, queue))}{gone}")
            )
        if not found:
            said = "asking the host ..." if self.queues is None else "no print queue found on this host"
            yield Row(key="no-queue", cells=("", said), selectable=False)

    def _terminal_rows(self) -> Iterator[Row]:
        chosen = self.fieldlog.preferences
        yield _heading("terminal", f"This terminal: kept in {chosen.file or 'no file'}")
        faults = [*chosen.faults, *key_faults(dict(chosen.keys))]
        yield Row(key="theme", cells=("Theme", f"{chosen.theme}   of {', '.join(THEMES)}"))
        yield Row(key="signs", cells=("Signs", f"{chosen.signs}   {SIGNS_SAY}"))
        count = len(chosen.keys)
        keys = f"{count} given elsewhere" if count else "as they are"
        yield Row(key="keys", cells=("Keys", f"{keys}   Enter tells how to give others"))
        for place, fault in enumerate(faults):
            yield Row(key=f"fault-{place}", cells=("Fault", f"{fault}. The usual holds."), tone="caution")

    def _change(self, about: str) -> None:
        by, now = self.fieldlog.by, self.now()
        self.fieldlog.open(lambda: setting_page(self.shop, about, by=by, now=now))

    def on_line_table_chosen(self, event: LineTable.Chosen) -> None:
        """Change it, or open its list."""
        key = event.key
        if key in SHOP_ROWS:
            self._change(SHOP_ROWS[key][0].lower())
        elif key == "dates":
            says, source = date_rule_of(rulebook_named(need_settings(self.shop).rulebook, self.shop))
            place = ", ".join(part for part in (source.title, source.edition, source.clause) if part)
            lines = [says, "", f"Source: {place} ({source.certainty.value})", "It changes with the rulebook."]
            self.fieldlog.show_text("How due dates are counted", lines)
        elif key in LISTS:
            self.fieldlog.action_show_register(key)
        elif key.startswith(QUEUE):
            self._change(f"{PRINTER}{key.removeprefix(QUEUE)}")
        elif key in ("theme", "signs"):
            self.app.push_screen(TerminalSettingPage(key, self.fieldlog.preferences))
        else:
            self.fieldlog.show_text("Keys", key_lines(self.fieldlog.preferences))
