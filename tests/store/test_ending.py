"""How a logbook ends says what may follow, and grows with each record as reading it anew would say."""

from pathlib import Path

import pytest

from fieldlog.errors import ConflictError, DamagedError
from fieldlog.store.ending import GENESIS, check_may_follow
from fieldlog.store.logbooks import Logbooks
from fieldlog.store.reading import Logbook, ending_of
from tests.store.samples import HOIST, seal


@pytest.fixture
def logbooks(tmp_path: Path) -> Logbooks:
    return Logbooks(tmp_path)


def test_it_grows_to_what_reading_anew_would_say(logbooks: Logbooks) -> None:
    seal(logbooks, 1)
    ending = ending_of(logbooks.read(HOIST))
    for number in (2, 3):
        before = ending.end
        entry = seal(logbooks, number)
        ending.grow(entry, logbooks.read(HOIST).end - before)
    assert ending == ending_of(logbooks.read(HOIST))


def test_a_torn_end_is_counted_and_gone_after_the_next_record(logbooks: Logbooks) -> None:
    entry = seal(logbooks, 1)
    path = logbooks.root / "logbooks" / f"{HOIST}.jsonl"
    whole = path.stat().st_size
    with path.open("ab") as file:
        file.write(b"torn")
    ending = ending_of(logbooks.read(HOIST))
    assert (ending.end, ending.torn_bytes, ending.head) == (whole, 4, entry.line)
    ending.grow(seal(logbooks, 2), 10)
    assert (ending.end, ending.torn_bytes, ending.lines) == (whole + 10, 0, 2)


def test_only_its_own_head_may_be_followed(logbooks: Logbooks) -> None:
    check_may_follow(ending_of(Logbook(name=HOIST)), GENESIS)
    first, second = seal(logbooks, 1), seal(logbooks, 2)
    ending = ending_of(logbooks.read(HOIST))
    check_may_follow(ending, second.line)
    for earlier in (GENESIS, first.line):
        with pytest.raises(ConflictError, match=f"{HOIST} was sealed by {second.by} at "):
            check_may_follow(ending, earlier)
    for unknown, known in (("f" * 64, ending), ("f" * 64, ending_of(Logbook(name=HOIST)))):
        with pytest.raises(ConflictError, match="no longer holds the record you began from"):
            check_may_follow(known, unknown)


def test_nothing_follows_what_can_not_be_trusted(logbooks: Logbooks) -> None:
    entry = seal(logbooks, 1)
    path = logbooks.root / "logbooks" / f"{HOIST}.jsonl"
    path.write_bytes(path.read_bytes() + b"spoilt\n")
    with pytest.raises(DamagedError, match=f"{HOIST} was not saved"):
        check_may_follow(ending_of(logbooks.read(HOIST)), entry.line)
