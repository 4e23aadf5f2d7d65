"""Of several registrations at once each gets its own number, and one that is sent again is not doubled."""

import subprocess
import sys
from concurrent.futures import ThreadPoolExecutor
from datetime import date, timedelta
from pathlib import Path

import pytest

from fieldlog.operations.drafting import begin_registration, save_fields
from fieldlog.operations.registering import next_id
from fieldlog.operations.shop import new_uid, open_hoist, open_shop
from fieldlog.store.logbooks import Logbooks
from fieldlog.store.reading import Logbook
from tests.operations.builder import (
    ADA,
    BEN,
    NOW,
    REGISTRATION,
    TODAY,
    at,
    inspect,
    ready_shop,
    register,
    with_ben,
)


def test_two_technicians_at_once_get_different_numbers(tmp_path: Path) -> None:
    ready_shop(tmp_path)
    one, two = open_shop(tmp_path), open_shop(tmp_path)
    with_ben(one)
    assert next_id(one) == next_id(two)
    first, second = register(one, serial="1"), register(two, serial="2", by=BEN)
    assert first.id != second.id
    assert {open_hoist(one, name).hoist.serial for name in (first.id, second.id)} == {"1", "2"}


def test_who_comes_second_takes_the_next_number(tmp_path: Path) -> None:
    """All have seen the same free number; the store gives it to the first one only."""
    ready_shop(tmp_path)
    shops = [open_shop(tmp_path) for _ in range(4)]
    with ThreadPoolExecutor(4) as pool:
        found = list(pool.map(lambda number: register(shops[number], serial=str(number)).id, range(4)))
    assert len(set(found)) == 4
    assert shops[0].logbooks.hoist_names() == sorted(found)


SESSION = """
import sys
from pathlib import Path
from fieldlog.operations.shop import open_shop
from tests.operations.builder import register
shop = open_shop(Path(sys.argv[1]))
print("ready", flush=True)
sys.stdin.readline()
for number in range(int(sys.argv[2])):
    print(register(shop, serial=f"{sys.argv[3]}-{number}").id, flush=True)
"""


def test_two_processes_at_once_get_different_numbers(tmp_path: Path) -> None:
    shop = ready_shop(tmp_path)
    sessions = [
        subprocess.Popen(
            [sys.executable, "-c", SESSION, str(tmp_path), "15", name],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            text=True,
            cwd=Path(__file__).parents[2],
        )
        for name in ("one", "two")
    ]
    for session in sessions:
        assert session.stdout is not None
        assert session.stdout.readline() == "ready\n"
    for session in sessions:
        assert session.stdin is not None
        session.stdin.write("go\n")
        session.stdin.flush()
    given = [session.communicate(timeout=60)[0].split() for session in sessions]
    assert [len(ids) for ids in given] == [15, 15]
    assert len({*given[0], *given[1]}) == 30
    assert shop.logbooks.hoist_names() == sorted([*given[0], *given[1]])
    assert open_hoist(shop, given[0][0]).hoist.serial == "one-0"


def test_a_registration_sent_again_is_not_doubled(tmp_path: Path) -> None:
    """Killed between the disk and the answer, the session finds its draft and sends it again."""
    shop = ready_shop(tmp_path)
    draft = save_fields(shop, begin_registration(by=ADA, now=NOW), dict(REGISTRATION), now=NOW)
    sealed = register(shop, uid=draft.uid)
    for number in range(8):
        register(shop, serial=f"later {number}")
    fresh = open_shop(tmp_path)
    again = register(fresh, uid=draft.uid, day=TODAY + timedelta(days=30))
    assert again == sealed
    assert len(fresh.logbooks.hoist_names()) == 9


def test_one_sent_again_without_its_draft_is_known_among_the_latest(tmp_path: Path) -> None:
    shop = ready_shop(tmp_path)
    uid = new_uid()
    sealed = register(shop, uid=uid)
    register(shop, serial="later")
    assert register(shop, uid=uid).id == sealed.id
    assert len(shop.logbooks.hoist_names()) == 2


def test_looking_for_one_sealed_before_stops_at_the_hoists_that_were_there(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """However many hoists there are, only those registered since the draft was begun are read."""
    shop = ready_shop(tmp_path)
    for number in range(12):
        register(shop, serial=str(number), day=date(2025, 1, 1))
    read: list[str] = []
    whole = Logbooks.read

    def counted(books: Logbooks, name: str) -> Logbook:
        read.append(name)
        return whole(books, name)

    monkeypatch.setattr(Logbooks, "read", counted)
    draft = save_fields(shop, begin_registration(by=ADA, now=NOW), dict(REGISTRATION), now=NOW)
    register(shop, uid=draft.uid)
    assert len([name for name in read if name.startswith("SW-")]) <= 6


def test_a_draft_of_a_registration_that_was_inspected_meanwhile_is_still_known(tmp_path: Path) -> None:
    shop = ready_shop(tmp_path)
    draft = save_fields(shop, begin_registration(by=ADA, now=at(TODAY, 8)), {}, now=at(TODAY, 9))
    sealed = register(shop, uid=draft.uid)
    inspect(shop, sealed.id)
    assert register(shop, uid=draft.uid) == sealed
    assert shop.logbooks.hoist_names() == [sealed.id]
