"""A small whole store, written through the logbooks' own door."""

from datetime import timedelta
from pathlib import Path
from typing import Any

from fieldlog.domain.records import Entry, Hoist, Instrument, Person, ShopSettings
from fieldlog.store.codec import from_plain, plain
from fieldlog.store.logbooks import Logbooks
from fieldlog.store.reading import Logbook
from fieldlog.store.register import Register
from tests.domain.build import hoist
from tests.store.samples import HOIST, OTHER, WHEN, uid, withdrawal


def put(logbooks: Logbooks, name: str, body: Any, *, number: int, by: str = "Ada Fenn") -> Entry:
    return logbooks.append(
        name,
        body,
        uid=uid(number),
        by=by,
        at=WHEN + timedelta(minutes=number),
        expected_head=logbooks.read(name).head,
    )


def registration(tag: str) -> Hoist:
    return from_plain({**plain(hoist()), "id": tag}, Hoist)


def small_store(root: Path, *, lines: int = 3) -> Logbooks:
    """A shop with a person, an instrument and two hoists of so many lines each."""
    logbooks = Logbooks(root)
    put(logbooks, "settings", ShopSettings(shop="Saltmarsh", prefix="SW", rulebook="general"), number=1)
    put(logbooks, "people", Person(name="Ada Fenn"), number=2)
    put(logbooks, "instruments", Instrument(name="caliper A", type="caliper-0.05"), number=3)
    for place, tag in enumerate((HOIST, OTHER), start=1):
        put(logbooks, tag, registration(tag), number=1000 * place)
        for number in range(1, lines):
            put(logbooks, tag, withdrawal(f"reason {number}"), number=1000 * place + number)
    return logbooks


def row_of(book: Logbook) -> dict[str, Any]:
    return {"entries": len(book.entries), "head": book.head}


def register(root: Path) -> Register:
    return Register(root / "register.json", Logbooks(root), stamp="test", row_of=row_of)


def contents_of(root: Path) -> dict[str, bytes]:
    """Every file of a store by its place, without locks and the register."""
    return {
        path.relative_to(root).as_posix(): path.read_bytes()
        for path in sorted(root.rglob("*"))
        if path.is_file() and "locks" not in path.parts and path.name != "register.json"
    }
