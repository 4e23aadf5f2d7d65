"""The app: who is at the keys, which screens there are, and how one leads to the next."""

import asyncio
import signal
from collections.abc import Callable, Iterator
from datetime import datetime
from pathlib import Path
from typing import ClassVar

from textual.app import App
from textual.binding import Binding, BindingType
from textual.events import Event, Key
from textual.message_pump import MessagePump
from textual.screen import Screen

from fieldlog.domain.records import Draft, Entry, Person
from fieldlog.domain.rules import ChecklistItem
from fieldlog.errors import FieldlogError
from fieldlog.operations.drafting import INSPECTION, begin_registration, kept_drafts
from fieldlog.operations.finding import find_tag
from fieldlog.operations.setting_up import add_person
from fieldlog.operations.shop import Shop, open_hoist, people, person_of_login, settings
from fieldlog.tui.key_queue import KeyQueue
from fieldlog.tui.keys import help_lines
from fieldlog.tui.page import Page
from fieldlog.tui.screens.defect import DefectPage
from fieldlog.tui.screens.drafts import DraftsPage
from fieldlog.tui.screens.due_list import DueListPage
from fieldlog.tui.screens.hoist import HoistPage
from fieldlog.tui.screens.inspection import InspectionPage
from fieldlog.tui.screens.kinds import KindsPage
from fieldlog.tui.screens.line import LinePage, StrikePage
from fieldlog.tui.screens.measure import DiameterPage, HookPage
from fieldlog.tui.screens.print_page import PrintPage
from fieldlog.tui.screens.readings import ReadingsPage
from fieldlog.tui.screens.register import RegisterPage
from fieldlog.tui.screens.registers import RegisterEntryPage, RegisterListPage
from fieldlog.tui.screens.seal import SealPage
from fieldlog.tui.screens.service import ServicePage
from fieldlog.tui.screens.setup import SetupPage, WhoPage
from fieldlog.tui.screens.text_page import TextPage
from fieldlog.tui.work import InspectionWork

SIGNAL_EXIT = 128
STYLES = Path(__file__).with_name("styles") / "fieldlog.tcss"


class FieldlogApp(App[int]):
    """fieldlog at the terminal. `clock` is read here and handed down; `login` proposes the person."""

    CSS_PATH = STYLES
    TITLE = "fieldlog"
    ENABLE_COMMAND_PALETTE = False
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("ctrl+q", "quit", "Leave", show=False, priority=True, id="app.quit"),
        Binding("ctrl+z", "suspend_process", "To the shell, fg comes back", show=False, id="app.suspend"),
    ]

    def __init__(self, shop: Shop, *, login: str, clock: Callable[[], datetime], by: str = "") -> None:
        super().__init__()
        self.shop = shop
        self.login = login
        self.clock = clock
        self.by = by
        self.crash: BaseException | None = None
        self.typed = KeyQueue(self._handle_key, self.scanned, self._busy_with_a_key)

    async def on_event(self, event: Event) -> None:
        """Keys wait for the one before them; everything else goes its way."""
        if isinstance(event, Key) and not event.is_forwarded:
            self.typed.take(event)
        else:
            await super().on_event(event)

    async def _handle_key(self, key: Key) -> None:
        """A fault in what a key sets off is the app's, not lost in the task that hands out the keys."""
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

    def on_unmount(self) -> None:
        """No key is looked at any more."""
        self.typed.stop()

    def _fatal_error(self) -> None:
        """Leave without a traceback on the screen; `run` hands the fault on to who started the app."""
        self.crash = self._exception
        self._close_messages_no_wait()

    def on_mount(self) -> None:
        """First start, who is at the keys, or the due list."""
        for number in (signal.SIGTERM, signal.SIGHUP):
            asyncio.get_running_loop().add_signal_handler(number, self._leave_on_signal, number)
        if settings(self.shop) is None or not people(self.shop):
            self.push_screen(SetupPage())
            return
        known = people(self.shop)
        found = known.get(self.by) if self.by else person_of_login(self.shop, self.login)
        if found is None:
            self.push_screen(WhoPage({"person": self.by or self.login}))
            return
        self.by = found.name
        self.push_screen(DueListPage())
        self._tell_drafts()

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
            self._refuse("Nobody is at the keys yet: fill in this form first.")
            return
        found = find_tag(text, self.shop.logbooks.hoist_names())
        if not found.id:
            near = f" Near: {', '.join(found.near)}" if found.near else ""
            self._refuse(f"{found.sentence}{near}")
            return
        self.go_to_hoist(found.id)

    def go_to_hoist(self, hoist_id: str) -> None:
        """From anywhere to a hoist; work in hand is kept as a draft, never left open below."""
        in_hand = [s.work for s in self.screen_stack if isinstance(s, InspectionPage)]
        while not isinstance(self.screen, DueListPage):
            self.pop_screen()
        kept = f"The inspection of {in_hand[-1].opened.hoist.id} is kept as a draft." if in_hand else ""
        self.open_hoist(hoist_id, kept)

    def start_work(self) -> None:
        """From the first screen to the due list."""
        self.switch_screen(DueListPage())
        self._tell_drafts()

    def _tell_drafts(self) -> None:
        drafts = kept_drafts(self.shop)
        if drafts:
            self.tell(f"{len(drafts)} left open from earlier work: d shows and takes up.")

    def take_person(self, name: str, qualification: str) -> None:
        """Put a person at the keys; a new one becomes one of the shop's people."""
        if name not in people(self.shop):
            person = Person(name=name, login=self.login, qualification=qualification)
            add_person(self.shop, person, by=name, now=self.clock())
        self.by = name

    def tell(self, sentence: str) -> None:
        """One sentence on the screen that just came to the front, after what that screen says of itself."""
        if isinstance(self.screen, Page):
            self.screen.news = sentence

    def _refuse(self, sentence: str) -> None:
        if isinstance(self.screen, Page):
            self.screen.say(sentence, bad=True)

    def _open(self, make: Callable[[], Screen[None]]) -> None:
        """Push a screen, or say in place why it can not be opened."""
        try:
            screen = make()
            self.push_screen(screen)
        except FieldlogError as error:
            self._refuse(str(error))

    def open_hoist(self, hoist_id: str, greeting: str = "") -> None:
        """The hoist's page."""

        def make() -> Screen[None]:
            open_hoist(self.shop, hoist_id)
            return HoistPage(hoist_id, greeting)

        self._open(make)

    def begin_registration(self) -> None:
        """The form for a new hoist."""
        self._open(lambda: RegisterPage(begin_registration(by=self.by, now=self.clock())))

    def begin_inspection(self, hoist_id: str) -> None:
        """Choose the kind of inspection, or take up one that was left open."""
        self._open(lambda: KindsPage(hoist_id))

    def open_inspection(self, work: InspectionWork) -> None:
        """The checklist."""
        self._open(lambda: InspectionPage(work))

    def show_drafts(self) -> None:
        """What was left open."""
        self._open(DraftsPage)

    def take_up(self, draft: Draft) -> None:
        """Go on with a draft."""
        if draft.kind == INSPECTION:
            self._open(
                lambda: InspectionPage(
                    InspectionWork.taken_up(self.shop, draft, by=self.by, clock=self.clock)
                )
            )
        else:
            self._open(lambda: RegisterPage(draft))

    def measure(self, work: InspectionWork, item: ChecklistItem) -> None:
        """The page for the figures of a measured item."""
        if item.measure == "diameter":
            self._open(lambda: DiameterPage(work))
        elif item.measure == "hook":
            self._open(lambda: HookPage(work))
        else:
            self.measure_chain(work)

    def measure_chain(self, work: InspectionWork) -> None:
        """Chain readings."""
        self._open(lambda: ReadingsPage(work))

    def describe_defect(self, work: InspectionWork, item: ChecklistItem) -> None:
        """The defect of an item."""
        self._open(lambda: DefectPage(work, item))

    def seal_page(self, work: InspectionWork) -> None:
        """What will be sealed."""
        self._open(lambda: SealPage(work))

    def go_to_item(self, title: str) -> None:
        """Put the cursor of the checklist in front on the item with this title; readings have their page."""
        if isinstance(self.screen, InspectionPage):
            self.screen.go_to(title)

    def sealed(self, work: InspectionWork, *, no_sticker: str = "") -> None:
        """Back to the hoist, which shows what followed; `no_sticker` says why there is no due sticker."""
        hoist_id = work.opened.hoist.id
        said = f"Sealed. No due sticker: {no_sticker}" if no_sticker else "Sealed. p prints the due sticker."
        while len(self.screen_stack) > 2 and not isinstance(self.screen, HoistPage | DueListPage):
            self.pop_screen()
        if isinstance(self.screen, DueListPage):
            self.open_hoist(hoist_id, said)
        else:
            self.tell(said)

    def print_for(self, hoist_id: str) -> None:
        """Print the tag or the due sticker."""
        self._open(lambda: PrintPage(hoist_id))

    def service(self, hoist_id: str, deed: str) -> None:
        """Withdraw, mend, fit a chain set, test or return to service."""
        self._open(lambda: ServicePage(hoist_id, deed))

    def show_line(self, hoist_id: str, number: int) -> None:
        """A sealed line, whole."""

        def make() -> Screen[None]:
            entries = open_hoist(self.shop, hoist_id).history.entries
            entry = next(entry for entry in entries if entry.number == number)
            return LinePage(hoist_id, entry)

        self._open(make)

    def explain(self, hoist_id: str, lines: list[str]) -> None:
        """Rule, arithmetic and source behind a verdict or a date."""
        self._open(lambda: TextPage(f"{hoist_id}   why?", lines))

    def strike(self, hoist_id: str, entry: Entry) -> None:
        """Strike out a sealed line."""
        self._open(lambda: StrikePage(hoist_id, entry))

    def show_register(self, kind: str) -> None:
        """The shop's instruments, people or sites."""
        self._open(lambda: RegisterListPage(kind))

    def edit_register(self, kind: str, name: str) -> None:
        """One instrument, person or site."""
        self._open(lambda: RegisterEntryPage(kind, name))

    def action_keys(self) -> None:
        """The keys of this screen."""
        lines = help_lines(self.screen)
        self._open(lambda: TextPage("Keys of this screen", lines))


def run(shop: Shop, *, login: str, clock: Callable[[], datetime], by: str = "") -> int:
    """Run the app; gives back the exit code."""
    app = FieldlogApp(shop, login=login, clock=clock, by=by)
    app.run(mouse=False)
    if app.crash is not None:
        raise app.crash
    return app.return_code or 0
