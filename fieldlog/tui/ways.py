"""The ways between screens. Those that few days need are loaded when asked for."""

import asyncio
from collections.abc import Callable
from datetime import datetime

from textual.app import App
from textual.dom import DOMNode
from textual.screen import Screen

from fieldlog.domain.records import Draft, Entry
from fieldlog.domain.rules import ChecklistItem
from fieldlog.errors import FieldlogError, NotFoundError
from fieldlog.operations.draft_words import FIRST_START, REGISTERS, SETTING
from fieldlog.operations.drafting import INSPECTION, REGISTRATION, begin_registration
from fieldlog.operations.shop import Shop, need_settings, open_hoist
from fieldlog.operations.signing import sign_sealed
from fieldlog.tui.page import Page
from fieldlog.tui.screens.due_list import DueListPage
from fieldlog.tui.screens.hoist import HoistPage
from fieldlog.tui.screens.inspection import InspectionPage
from fieldlog.tui.work import InspectionWork


class Ways(App[int]):
    """What screens ask the app for. `by` is who is at the keys, `clock` gives the moment."""

    shop: Shop
    by: str
    clock: Callable[[], datetime]

    def tell(self, sentence: str) -> None:
        """One sentence on the screen that just came to the front, after what that screen says of itself."""
        if isinstance(self.screen, Page):
            self.screen.news = sentence

    def refuse(self, sentence: str) -> None:
        """Say on the screen in front why something can not be done."""
        if isinstance(self.screen, Page):
            self.screen.say(sentence, bad=True)

    def open(self, make: Callable[[], Screen[None]]) -> None:
        """Push a screen, or say in place why it can not be opened."""
        try:
            screen = make()
            self.push_screen(screen)
        except FieldlogError as error:
            self.refuse(str(error))

    async def _dispatch_action(self, namespace: DOMNode, action_name: str, params: object) -> bool:
        """What a key asks for and the store or the rules refuse is said in place; the app goes on."""
        try:
            return await super()._dispatch_action(namespace, action_name, params)
        except FieldlogError as error:
            self.refuse(str(error))
            return True

    def go_home(self) -> None:
        """Back to the due list; work in hand is kept as a draft, never left open below."""
        kept = [words for words in map(self._kept_words, self.screen_stack) if words]
        while not isinstance(self.screen, DueListPage):
            self.pop_screen()
        if kept:
            self.tell(kept[-1])

    @staticmethod
    def _kept_words(screen: Screen[object]) -> str:
        """What is said of the work in hand on a screen that is left by another way than Escape."""
        if isinstance(screen, InspectionPage):
            return f"The inspection of {screen.work.opened.hoist.id} is kept as a draft."
        return str(getattr(screen, "kept_words", "")) if getattr(screen, "is_kept", False) else ""

    def go_to_hoist(self, hoist_id: str) -> None:
        """From anywhere to a hoist; what was in hand is said there."""
        self.go_home()
        home = self.screen
        kept = ""
        if isinstance(home, Page):
            kept, home.news = home.news, ""
        self.open_hoist(hoist_id, kept)

    def open_hoist(self, hoist_id: str, greeting: str = "") -> None:
        """The hoist's page, where there is such a hoist."""
        self.open(lambda: HoistPage(open_hoist(self.shop, hoist_id).hoist.id, greeting))

    def begin_inspection(self, hoist_id: str) -> None:
        """Choose the kind of inspection, or take up one that was left open."""
        from fieldlog.tui.screens.kinds import KindsPage  # noqa: PLC0415

        self.open(lambda: KindsPage(hoist_id))

    def open_inspection(self, work: InspectionWork) -> None:
        """The checklist."""
        work.tell = self.warn
        self.open(lambda: InspectionPage(work))

    def take_up(self, draft: Draft) -> None:
        """Go on with a draft, from where it belongs."""
        if draft.kind == INSPECTION:
            self.open(lambda: InspectionPage(self._taken_up(draft)))
        elif draft.kind == REGISTRATION:
            self._begin_hoist(draft)
        elif draft.kind in REGISTERS:
            from fieldlog.tui.screens.registers import RegisterEntryPage  # noqa: PLC0415

            self.open(lambda: RegisterEntryPage(draft))
        elif draft.kind == SETTING:
            from fieldlog.tui.screens.setting_forms import setting_of  # noqa: PLC0415

            self.open(lambda: setting_of(self.shop, draft))
        elif draft.kind == FIRST_START:
            self.refuse("This store is set up already: l looks at what was typed, F8 throws it away.")
        else:
            from fieldlog.tui.screens.service import ServicePage  # noqa: PLC0415

            self.open(lambda: ServicePage.from_draft(self.shop, draft, self.clock().date()))

    def _taken_up(self, draft: Draft) -> InspectionWork:
        work = InspectionWork.taken_up(self.shop, draft, by=self.by, clock=self.clock)
        work.tell = self.warn
        return work

    def warn(self, sentence: str) -> None:
        """Say something on the screen in front once what the key did is shown, so that it stays."""
        self.call_after_refresh(self.refuse, sentence)

    def measure(self, work: InspectionWork, item: ChecklistItem) -> None:
        """The page for the figures of a measured item."""
        from fieldlog.tui.screens.measure import DiameterPage, HookPage  # noqa: PLC0415

        if item.measure == "diameter":
            self.open(lambda: DiameterPage(work))
        elif item.measure == "hook":
            self.open(lambda: HookPage(work))
        else:
            self.measure_chain(work)

    def measure_chain(self, work: InspectionWork) -> None:
        """Chain readings."""
        from fieldlog.tui.screens.readings import ReadingsPage  # noqa: PLC0415

        self.open(lambda: ReadingsPage(work))

    def describe_defect(self, work: InspectionWork, item: ChecklistItem) -> None:
        """The defect of an item."""
        from fieldlog.tui.screens.defect import DefectPage  # noqa: PLC0415

        self.open(lambda: DefectPage(work, item))

    def seal_page(self, work: InspectionWork) -> None:
        """What will be sealed."""
        from fieldlog.tui.screens.seal import SealPage  # noqa: PLC0415

        self.open(lambda: SealPage(work))

    def go_to_item(self, title: str) -> None:
        """Put the cursor of the checklist in front on the item with this title; readings have their page."""
        if isinstance(self.screen, InspectionPage):
            self.screen.go_to(title)

    def sign(self, hoist_id: str, entry: Entry) -> None:
        """Put the technician's signature under a sealed line, beside the keys: an agent may take its time."""
        self.run_worker(self._sign(hoist_id, entry), group="signing", exit_on_error=False)

    async def _sign(self, hoist_id: str, entry: Entry) -> None:
        by, now = self.by, self.clock()
        signed = await asyncio.to_thread(sign_sealed, self.shop, hoist_id, entry, by=by, now=now)
        if isinstance(self.screen, Page):
            self.screen.say_also(signed.why[:1].upper() + signed.why[1:] if signed.why else "Signed.")

    def sealed(self, work: InspectionWork, entry: Entry, *, no_sticker: str = "") -> None:
        """Back to the hoist, which shows what followed; `no_sticker` says why there is no due sticker."""
        hoist_id = work.opened.hoist.id
        said = f"Sealed. No due sticker: {no_sticker}" if no_sticker else "Sealed. p prints the due sticker."
        while len(self.screen_stack) > 2 and not isinstance(self.screen, HoistPage | DueListPage):
            self.pop_screen()
        if isinstance(self.screen, DueListPage):
            self.open_hoist(hoist_id, said)
        else:
            self.tell(said)
        self.sign(hoist_id, entry)

    def service(self, hoist_id: str, deed: str) -> None:
        """Withdraw, mend, fit a chain set and the like: anew, or what was left open of it."""
        from fieldlog.tui.screens.service import service_page  # noqa: PLC0415

        self.open(lambda: service_page(self.shop, hoist_id, deed, by=self.by, clock=self.clock))

    def begin_service(self, hoist_id: str, deed: str) -> None:
        """The same anew, whatever was left open."""
        from fieldlog.tui.screens.service import ServicePage  # noqa: PLC0415

        self.open(lambda: ServicePage.begun(self.shop, hoist_id, deed, by=self.by, now=self.clock()))

    def show_line(self, hoist_id: str, number: int) -> None:
        """A sealed line, whole."""
        from fieldlog.tui.screens.line import LinePage  # noqa: PLC0415

        def make() -> Screen[None]:
            held = {entry.number: entry for entry in open_hoist(self.shop, hoist_id).history.entries}
            if number not in held:
                raise NotFoundError(f"{hoist_id} has no line {number} any more: its logbook was changed")
            return LinePage(hoist_id, held[number])

        self.open(make)

    def show_text(self, title: str, lines: list[str]) -> None:
        """Plain lines: an explanation, a draft looked at, keys."""
        from fieldlog.tui.screens.text_page import TextPage  # noqa: PLC0415

        self.open(lambda: TextPage(title, lines))

    def explain(self, hoist_id: str, lines: list[str]) -> None:
        """Rule, arithmetic and source behind a verdict or a date."""
        self.show_text(f"{hoist_id}   why?", lines)

    def strike(self, hoist_id: str, entry: Entry) -> None:
        """Strike out a sealed line."""
        from fieldlog.tui.screens.line import StrikePage  # noqa: PLC0415

        self.open(lambda: StrikePage(hoist_id, entry))

    def edit_register(self, kind: str, name: str) -> None:
        """One instrument, person or site: anew, or one's own that was left open."""
        from fieldlog.tui.screens.registers import entry_page  # noqa: PLC0415

        self.open(lambda: entry_page(self.shop, kind, name, by=self.by, now=self.clock()))

    def draw(self, hoist_id: str, picture: str) -> None:
        """A picture of a hoist: 'trend', 'along' the chain, or its tag's 'code'."""
        from fieldlog.tui.screens.pictures import picture_page  # noqa: PLC0415

        self.open(lambda: picture_page(hoist_id, picture))

    def action_begin_registration(self) -> None:
        """The form for a new hoist."""
        self._begin_hoist(begin_registration(by=self.by, now=self.clock()))

    def _begin_hoist(self, draft: Draft) -> None:
        from fieldlog.tui.screens.register import RegisterPage  # noqa: PLC0415

        def make() -> Screen[None]:
            need_settings(self.shop)  # the form asks for them while it is composed, where nothing is said
            return RegisterPage(draft)

        self.open(make)

    def action_show_drafts(self) -> None:
        """What was left open."""
        from fieldlog.tui.screens.drafts import DraftsPage  # noqa: PLC0415

        self.open(DraftsPage)

    def action_show_register(self, kind: str) -> None:
        """The shop's instruments, people or sites."""
        from fieldlog.tui.screens.registers import RegisterListPage  # noqa: PLC0415

        self.open(lambda: RegisterListPage(kind))

    def action_calendar(self) -> None:
        """What is due, by days of a month."""
        from fieldlog.tui.screens.calendar import CalendarPage  # noqa: PLC0415

        self.open(CalendarPage)

    def action_figures(self) -> None:
        """Figures of the shop."""
        from fieldlog.tui.screens.figures import FiguresPage  # noqa: PLC0415

        self.open(FiguresPage)

    def action_verify(self) -> None:
        """Check every logbook."""
        from fieldlog.tui.screens.verify import VerifyPage  # noqa: PLC0415

        self.open(VerifyPage)

    def action_settings(self) -> None:
        """The shop's settings and this terminal's."""
        from fieldlog.tui.screens.settings import SettingsPage  # noqa: PLC0415

        self.open(SettingsPage)

    def action_commands(self) -> None:
        """Every command, found by any word."""
        from fieldlog.tui.screens.commands import CommandsPage  # noqa: PLC0415

        if not isinstance(self.screen, CommandsPage):
            below = self.screen
            self.open(lambda: CommandsPage(below))

    def action_keys(self) -> None:
        """The keys of this screen."""
        from fieldlog.tui.keys import help_lines  # noqa: PLC0415

        self.show_text("Keys of this screen", help_lines(self.screen))
