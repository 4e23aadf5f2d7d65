"""A ready shop on a folder of its own, a clock that stands, and a technician's hands on the keyboard.

Keys are posted all at once, as a packet from a terminal brings them, so every test types ahead.
"""

import asyncio
import shutil
import time
from collections.abc import AsyncIterator, Callable, Coroutine
from contextlib import asynccontextmanager
from datetime import UTC, datetime, timedelta
from functools import cache, wraps
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any, ParamSpec

from textual.binding import Binding
from textual.events import Key
from textual.keys import _character_to_key
from textual.pilot import Pilot
from textual.widgets import Input

from fieldlog.domain.checklist import items_for
from fieldlog.domain.records import AnswerKind, Entry, Inspection, InspectionKind, Person
from fieldlog.operations.drafting import AnswerDraft, InspectionDraft, begin_inspection, save_inspection
from fieldlog.operations.inspecting import seal_inspection
from fieldlog.operations.registering import register_hoist
from fieldlog.operations.setting_up import add_person, set_up
from fieldlog.operations.shop import Shop, new_uid, open_hoist, open_shop
from fieldlog.tui.app import FieldlogApp
from fieldlog.tui.screens.inspection import InspectionPage
from fieldlog.tui.widgets.line_table import LineTable
from fieldlog.tui.work import InspectionWork

P = ParamSpec("P")
MORNING = datetime(2026, 11, 25, 8, 0, tzinfo=UTC)
TODAY = MORNING.date()
ADA, BERT = "Ada Fenn", "Bert Quill"
PATIENCE_S = 30
NARROW, WIDE = (80, 24), (120, 40)
SHOP = {
    "shop": "Saltmarsh Hoist Service",
    "prefix": "SW",
    "rulebook": "general",
    "person": ADA,
    "qualification": "",
}
PLATE = {
    "maker": "Fenwright",
    "model": "LC 500",
    "serial": "4711",
    "year": "2019",
    "drive": "electric",
    "capacity": "500",
    "falls": "1",
    "lift": "6",
    "chain": "5x15",
    "grade": "T",
    "book_links": "11",
    "book_basis": "inside",
    "book_length": "",
    "book_discard": "",
    "book_document": "",
    "hook_throat": "30",
    "limit_switches": "yes",
    "container": "yes",
    "overload_device": "yes",
    "trolley": "no",
    "lifts_persons": "no",
    "group": "",
    "site": "intake hall",
    "place": "bay 2",
    "service": "normal",
    "rulebook": "general",
}


class Clock:
    """A clock that stands until a test moves it."""

    def __init__(self, moment: datetime = MORNING) -> None:
        self.moment = moment

    def __call__(self) -> datetime:
        return self.moment

    def forward(self, **by: int) -> None:
        self.moment += timedelta(**by)


@cache
def _kept_store(do: Callable[[Shop], None]) -> TemporaryDirectory[str]:
    """A store made once by these deeds; tests work on copies."""
    folder = TemporaryDirectory(prefix="fieldlog-test-")
    shop = open_shop(Path(folder.name))
    set_up(shop, SHOP, login="ada", now=MORNING)
    add_person(shop, Person(name=BERT, login="bert"), by=ADA, now=MORNING)
    do(shop)
    return folder


def shop_as(root: Path, do: Callable[[Shop], None]) -> Shop:
    """A copy in `root` of the ready shop after these deeds."""
    shutil.copytree(_kept_store(do).name, root, dirs_exist_ok=True)
    return open_shop(root)


def _nothing(shop: Shop) -> None:
    del shop


def ready_shop(root: Path) -> Shop:
    """The shop is set up; Ada Fenn (login ada) and Bert Quill (login bert) may seal."""
    return shop_as(root, _nothing)


def with_hoist(shop: Shop, **other: str) -> str:
    """Register a hoist by its plate; `other` replaces fields of the form. Gives back its tag."""
    texts = {**PLATE, **other}
    return register_hoist(shop, texts, by=ADA, now=MORNING, today=TODAY, uid=new_uid()).id


def draft_inspection(
    shop: Shop,
    tag: str,
    kind: InspectionKind = InspectionKind.FREQUENT,
    *,
    by: str = ADA,
    now: datetime = MORNING,
) -> tuple[Any, InspectionDraft]:
    """An inspection begun with a caliper and nothing answered."""
    draft, content = begin_inspection(shop, open_hoist(shop, tag), kind, by=by, now=now, today=now.date())
    content.instrument = "caliper-0.05"
    return save_inspection(shop, draft, content, now=now), content


def answer_all(
    shop: Shop, tag: str, content: InspectionDraft, readings: tuple[str, ...] = ("165.4", "165.5", "165.6")
) -> None:
    """Every item ok, every figure typed."""
    opened = open_hoist(shop, tag)
    items = items_for(opened.hoist, content.occasion, opened.rulebook)
    for reading, text in zip(content.readings, readings, strict=True):
        reading.text = text
    content.d1, content.d2, content.hook.throat = "4.9", "5", "31"
    for item in items:
        if not item.measure:
            content.answers[item.id] = AnswerDraft(answer=AnswerKind.OK)


def begun_work(
    shop: Shop, tag: str, kind: InspectionKind = InspectionKind.FREQUENT, *, by: str = ADA
) -> InspectionWork:
    """An inspection in hand, kept, with a caliper and nothing answered."""
    draft, content = draft_inspection(shop, tag, kind, by=by)
    return InspectionWork(shop, draft, by=by, clock=Clock(), content=content)


def finished_work(
    shop: Shop, tag: str, kind: InspectionKind = InspectionKind.FREQUENT, *, by: str = ADA, **given: Any
) -> InspectionWork:
    """An inspection in hand with every item answered ok and every figure typed, not yet sealed."""
    work = begun_work(shop, tag, kind, by=by)
    answer_all(shop, tag, work.content, **given)
    work.keep()
    return work


def inspected(shop: Shop, tag: str, *, by: str = ADA, now: datetime = MORNING) -> Entry:
    """Seal an inspection before first use without a defect."""
    draft, content = draft_inspection(shop, tag, InspectionKind.FIRST_USE, by=by, now=now)
    answer_all(shop, tag, content)
    return seal_inspection(shop, draft, content, by=by, now=now, today=now.date())


def records(shop: Shop, tag: str) -> list[Any]:
    """What is sealed on disk, oldest first."""
    return [entry.body for entry in shop.logbooks.read(tag).entries]


def last_inspection(shop: Shop, tag: str) -> Inspection:
    """The inspection sealed last."""
    return [body for body in records(shop, tag) if isinstance(body, Inspection)][-1]


def as_key(name: str) -> Key:
    """A key as a terminal brings it: a character, or a name such as enter, f10, ctrl+q."""
    if len(name) == 1:
        return Key(_character_to_key(name), name)
    return Key(name, {"enter": "\r", "escape": "\x1b", "space": " "}.get(name))


class Hands:
    """Presses keys and reads the screen of a running app."""

    def __init__(self, app: FieldlogApp, pilot: Pilot[int]) -> None:
        self.app = app
        self.pilot = pilot

    async def press(self, *names: str) -> None:
        """Keys by name, all in one packet."""
        for name in names:
            self.app.post_message(as_key(name))
        await self.settle()

    async def type(self, *texts: str) -> None:
        """Characters, all in one packet; a name in angles is a key: '<f10>'."""
        await self.press(*(name for text in texts for name in keys_of(text)))

    async def settle(self) -> None:
        """Until every key is handled and the screen is drawn."""
        for _ in range(2):
            reached = asyncio.Event()
            if self.app.call_later(reached.set):
                await self._until(reached.is_set)
            await self._until(lambda: self.app.typed._task is None or self.app.typed._task.done())
        await self.pilot.pause()

    async def _until(self, done: Callable[[], bool]) -> None:
        deadline = time.monotonic() + PATIENCE_S
        while not done() and self.app._exception is None and self.app.is_running:
            assert time.monotonic() < deadline, "the keys are still not handled"
            await asyncio.sleep(0.002)

    def lines(self) -> list[str]:
        """The screen as plain text, a line each, without blanks at the end."""
        strips = self.app.screen._compositor.render_strips()
        return ["".join(segment.text for segment in strip).rstrip() for strip in strips]

    def text(self) -> str:
        """The whole screen as plain text."""
        return "\n".join(self.lines())

    def flat(self) -> str:
        """The screen with wrapped lines joined and blanks run together, for sentences that wrap."""
        return " ".join(self.text().split())

    def message(self) -> str:
        """The line above the tag field."""
        return str(self.app.screen.query_one("#message").content)  # type: ignore[attr-defined]

    def heading(self) -> str:
        """The title line."""
        return str(self.app.screen.query_one("#heading").content)  # type: ignore[attr-defined]

    def tag_line(self) -> str:
        """What stands beside the tag field."""
        return str(self.app.screen.query_one("#tag-line").content)  # type: ignore[attr-defined]

    def field(self, name: str) -> Input:
        """A field of the form in front."""
        return self.app.screen.query_one(f"#field-{name}", Input)

    def beside(self, name: str) -> str:
        """The hint or problem beside a field of the form."""
        return self.app.screen.query_one(f"#row-{name}").sentence  # type: ignore[attr-defined,no-any-return]

    async def go_to_field(self, name: str) -> None:
        """Put the cursor into a field of the form in front."""
        self.field(name).focus()
        await self.settle()

    async def fill(self, **texts: str) -> None:
        """Replace what stands in fields of the form in front, key by key."""
        for name, text in texts.items():
            await self.go_to_field(name)
            await self.type("<end><ctrl+u>" + text)

    @property
    def page(self) -> str:
        """The class name of the screen in front."""
        return type(self.app.screen).__name__

    def table(self) -> LineTable:
        """The table of the screen in front."""
        return self.app.screen.query_one(LineTable)

    def bindings(self) -> list[Binding]:
        """The keys that the help of the screen in front lists."""
        held = self.app.screen.active_bindings.values()
        return [h.binding for h in held if h.enabled and h.binding.id is not None]

    def row(self, key: str) -> str:
        """A row of the table in front with the rows its text goes on in, in one line."""
        parts = [
            " ".join(cell for cell in row.cells if cell)
            for row in self.table().rows
            if row.key == key or row.key.startswith(f"{key}~")
        ]
        return " ".join(parts)

    async def go_to_item(self, item: str) -> None:
        """Put the cursor of the checklist in front on an item."""
        assert isinstance(self.app.screen, InspectionPage)
        self.table().move_to(item)
        await self.settle()


def keys_of(text: str) -> list[str]:
    """'ab<f10>' as a, b, f10."""
    names: list[str] = []
    while text:
        if text.startswith("<") and ">" in text:
            name, text = text[1:].split(">", 1)
            names.append(name)
        else:
            names.append(text[0])
            text = text[1:]
    return names


@asynccontextmanager
async def at_the_keys(
    shop: Shop,
    *,
    by: str = ADA,
    login: str = "",
    size: tuple[int, int] = NARROW,
    clock: Callable[[], datetime] | None = None,
) -> AsyncIterator[Hands]:
    """The app on this store with a person at the keys; `by` empty leaves it to the login name."""
    app = FieldlogApp(shop, login=login, clock=clock or Clock(), by=by)
    async with app.run_test(size=size) as pilot:
        hands = Hands(app, pilot)
        await hands.settle()
        yield hands


def in_terminal(test: Callable[P, Coroutine[Any, Any, None]]) -> Callable[P, None]:
    """A test that needs an event loop, as a plain function."""

    @wraps(test)
    def run(*args: P.args, **kwargs: P.kwargs) -> None:
        asyncio.run(test(*args, **kwargs))

    return run
