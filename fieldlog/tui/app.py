"""The app: who is at the keys, how it starts and ends, keys and scans, and how it looks."""

import asyncio
from collections.abc import Callable, Iterator
from datetime import datetime
from pathlib import Path
from typing import ClassVar

from rich.console import RenderableType
from textual._compositor import CompositorUpdate
from textual.binding import BindingType
from textual.events import Event, Key
from textual.geometry import Size
from textual.message_pump import MessagePump
from textual.screen import Screen

from fieldlog.domain.records import Draft, Person
from fieldlog.errors import FieldlogError
from fieldlog.operations.draft_words import draft_says
from fieldlog.operations.drafting import kept_drafts
from fieldlog.operations.finding import find_tag
from fieldlog.operations.setting_up import add_person
from fieldlog.operations.shop import Shop, damaged, people, person_of_login, settings
from fieldlog.store.preferences import Preferences
from fieldlog.tui.commands import bindings, key_faults
from fieldlog.tui.escape_keys import keep_escapes
from fieldlog.tui.key_queue import KeyQueue
from fieldlog.tui.leaving import SIGNAL_EXIT, Leaving, keep_in_hand
from fieldlog.tui.looks import THEMES, plain_signs, set_signs, theme_name
from fieldlog.tui.paper_ways import PaperWays
from fieldlog.tui.screens.due_list import DueListPage
from fieldlog.tui.thrift import Sent, Thrift

STYLES = Path(__file__).with_name("styles") / "fieldlog.tcss"


class FieldlogApp(PaperWays):
    """fieldlog at the terminal. `clock` is read here and handed down; `login` proposes the person."""

    CSS_PATH = STYLES
    TITLE = "fieldlog"
    ENABLE_COMMAND_PALETTE = False
    BINDINGS: ClassVar[list[BindingType]] = [*bindings("app")]

    def __init__(
        self,
        shop: Shop,
        *,
        login: str,
        clock: Callable[[], datetime],
        by: str = "",
        preferences: Preferences | None = None,
    ) -> None:
        super().__init__()
        self.shop = shop
        self.login = login
        self.clock = clock
        self.by = by
        self.preferences = preferences or Preferences()
        self.crash: BaseException | None = None
        self.key_time = 0.0  # when the key that is being handled came in
        self.leaving: Leaving | None = None
        self.thrift = Thrift()
        self.sent_size = Size(0, 0)
        self.typed = KeyQueue(self._handle_key, self.scanned, self._busy_with_a_key)
        for theme in THEMES:
            self.register_theme(theme)
        self.take_preferences(self.preferences)

    def take_preferences(self, chosen: Preferences) -> None:
        """Look and keys as chosen; keys with a fault keep what the table of commands gives them."""
        self.preferences = chosen
        self.theme = theme_name(chosen.theme)
        self.plain = plain_signs(chosen.signs)
        set_signs(plain=self.plain)
        if not key_faults(dict(chosen.keys)):
            self.set_keymap(dict(chosen.keys))

    async def on_event(self, event: Event) -> None:
        """Keys wait for the one before them; everything else goes its way."""
        if isinstance(event, Key) and not event.is_forwarded:
            self.typed.take(event)
        else:
            await super().on_event(event)

    async def _handle_key(self, key: Key) -> None:
        """A fault in what a key sets off is the app's, not lost in the task that hands out the keys."""
        self.key_time = key.time
        try:
            await super().on_event(key)
        except Exception as error:
            self._handle_exception(error)

    def _busy_with_a_key(self) -> Iterator[MessagePump]:
        if self.focused is not None:
            yield from self.focused.ancestors_with_self
        elif self.screen_stack:
            yield self.screen
            yield self

    def _display(self, screen: Screen[object], renderable: RenderableType | None) -> None:
        """Send what changed in the window and no more: the line may be slow."""
        if isinstance(renderable, CompositorUpdate) and self._running and not self._batch_count:
            if screen.size != self.sent_size:
                self.sent_size = screen.size
                self.thrift.forget()
            sequences = self.thrift.sequences(renderable, self.console)
            renderable = renderable if sequences is None else Sent(sequences)
        super()._display(screen, renderable)

    def action_repaint(self) -> None:
        """Send everything again: another program wrote over the window."""
        self.thrift.forget()
        self.screen.refresh(layout=True)

    def on_unmount(self) -> None:
        """No key is looked at any more."""
        self.typed.stop()
        if self.leaving is not None:
            self.leaving.end()

    def _fatal_error(self) -> None:
        """Leave without a traceback on the screen; `run` hands the fault on to who started the app."""
        self.crash = self._exception
        draft = self.draft_in_hand()
        if self.crash is not None and draft is not None:
            about = f" of {draft.about}" if draft.about else ""
            file = self.shop.drafts.folder / f"{draft.uid}.json"
            self.crash.add_note(f"The draft in hand, {draft_says(draft)}{about}, is in {file}.")
        self._close_messages_no_wait()

    def draft_in_hand(self) -> Draft | None:
        """The kept draft of the screen that is nearest to the front; none where nothing was typed."""
        for screen in reversed(self.screen_stack):
            draft = getattr(getattr(screen, "work", screen), "draft", None)
            if isinstance(draft, Draft) and draft.fields:
                return draft
        return None

    def on_mount(self) -> None:
        """First start, who is at the keys, or the due list."""
        self._watch_for_the_end()
        for left in (self.app_suspend_signal, self.app_resume_signal):
            left.subscribe(self, lambda _app: self.thrift.forget())
        if settings(self.shop) is None or not people(self.shop):
            from fieldlog.tui.screens.setup import setup_page  # noqa: PLC0415

            self.push_screen(setup_page(self.shop, login=self.login, now=self.clock()))
            return
        known = people(self.shop)
        found = known.get(self.by) if self.by else person_of_login(self.shop, self.login)
        if found is None:
            from fieldlog.tui.screens.setup import WhoPage  # noqa: PLC0415

            self.push_screen(WhoPage({"person": self.by or self.login}))
            return
        self.by = found.name
        self.push_screen(DueListPage())
        self._tell_at_start()

    def _watch_for_the_end(self) -> None:
        """Signals and a cut line end the app whatever the loop is at; without a terminal come neither."""
        if self.is_headless:
            return
        loop = asyncio.get_running_loop()
        self.leaving = Leaving(
            lambda number: loop.call_soon_threadsafe(self._leave_on_signal, number),
            keep=lambda: keep_in_hand(self.screen_stack),
            attributes=lambda: getattr(self._driver, "attrs_before", None),
        )
        self.leaving.begin()

    def _leave_on_signal(self, number: int) -> None:
        """The line was cut or the machine goes down: drafts are kept at every key, so leave at once."""
        self.exit(return_code=SIGNAL_EXIT + number)

    @property
    def nobody_yet(self) -> bool:
        """Before the first start is done, or before it is said who is at the keys."""
        return not any(isinstance(screen, DueListPage) for screen in self.screen_stack)

    def scanned(self, text: str) -> None:
        """A tag was scanned, whatever had the cursor: open the hoist, or say why not."""
        if self.nobody_yet:
            self.refuse("Nobody is at the keys yet: fill in this form first.")
            return
        try:
            found = find_tag(text, self.shop.logbooks.hoist_names())
        except FieldlogError as error:
            self.refuse(str(error))
            return
        if not found.id:
            near = f" Near: {', '.join(found.near)}" if found.near else ""
            self.refuse(f"{found.sentence}{near}")
            return
        self.go_to_hoist(found.id)

    def start_work(self) -> None:
        """From the first screen to the due list."""
        self.switch_screen(DueListPage())
        self._tell_at_start()

    def _tell_at_start(self) -> None:
        faults = [*self.preferences.faults, *key_faults(dict(self.preferences.keys))]
        drafts = kept_drafts(self.shop)
        if damaged(self.shop):
            return  # the due list says so, which matters more
        if faults:
            self.tell(f"Settings file: {faults[0]}. The usual holds instead.")
        elif drafts:
            self.tell(f"{len(drafts)} left open from earlier work: d shows and takes up.")

    def take_person(self, name: str, qualification: str) -> None:
        """Put a person at the keys; a new one becomes one of the shop's people."""
        if name not in people(self.shop):
            person = Person(name=name, login=self.login, qualification=qualification)
            add_person(self.shop, person, by=name, now=self.clock())
        self.by = name


def run(
    shop: Shop,
    *,
    login: str,
    clock: Callable[[], datetime],
    by: str = "",
    preferences: Preferences | None = None,
) -> int:
    """Run the app; gives back the exit code."""
    app = FieldlogApp(shop, login=login, clock=clock, by=by, preferences=preferences)
    keep_escapes()
    app.run(mouse=False)
    if app.crash is not None:
        raise app.crash
    return app.return_code or 0
