"""A ready shop on a folder of its own, a clock that stands, and somebody at the keys."""

import asyncio
import shutil
from collections.abc import AsyncIterator, Callable, Coroutine
from contextlib import asynccontextmanager
from datetime import UTC, datetime, timedelta
from functools import cache, wraps
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any, ParamSpec

from fieldlog.domain.checklist import items_for
from fieldlog.domain.records import AnswerKind, Entry, Inspection, InspectionKind, Person
from fieldlog.operations.drafting import AnswerDraft, InspectionDraft, begin_inspection, save_inspection
from fieldlog.operations.inspecting import seal_inspection
from fieldlog.operations.registering import register_hoist
from fieldlog.operations.setting_up import add_person, set_up
from fieldlog.operations.shop import Shop, new_uid, open_hoist, open_shop
from fieldlog.tui.app import FieldlogApp
from fieldlog.tui.work import InspectionWork
from tests.tui.hands import Hands

P = ParamSpec("P")
MORNING = datetime(2026, 11, 25, 8, 0, tzinfo=UTC)
TODAY = MORNING.date()
ADA, BERT = "Ada Fenn", "Bert Quill"
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
