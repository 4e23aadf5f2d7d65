"""A torn tail is no damage: it is moved aside, byte for byte, before the next record and never lost."""

import errno
import os
from pathlib import Path

import pytest

from fieldlog.errors import ConflictError, NotSavedError
from fieldlog.store.ending import GENESIS
from fieldlog.store.logbooks import Logbooks
from fieldlog.store.reading import check_chain
from tests.store.faults import WatchedCalls
from tests.store.samples import HOIST, seal

FILE = f"{HOIST}.jsonl"
TORN = f"{FILE}.torn"


@pytest.fixture
def calls() -> WatchedCalls:
    return WatchedCalls()


@pytest.fixture
def logbooks(tmp_path: Path, calls: WatchedCalls) -> Logbooks:
    return Logbooks(tmp_path, files=calls)


def contents(logbooks: Logbooks) -> dict[str, bytes]:
    folder = logbooks.root / "logbooks"
    return {path.name: path.read_bytes() for path in folder.iterdir()} if folder.exists() else {}


def fault(number: int) -> OSError:
    return OSError(number, os.strerror(number))


def tear(logbooks: Logbooks, tail: bytes) -> None:
    with (logbooks.root / "logbooks" / FILE).open("ab") as file:
        file.write(tail)


def test_a_torn_tail_is_no_damage_and_is_kept_aside_byte_for_byte(logbooks: Logbooks) -> None:
    first = seal(logbooks, 1)
    tail = b'{"v":1,"prev":"\x00\xff'
    tear(logbooks, tail)
    book = logbooks.read(HOIST)
    assert (book.entries, book.head, book.problem, book.torn) == ((first,), first.line, None, True)
    assert seal(logbooks, 2, head=first.line).number == 2
    assert contents(logbooks)[TORN] == tail
    assert not logbooks.read(HOIST).torn
    tear(logbooks, b"more")
    seal(logbooks, 3)
    assert contents(logbooks)[TORN] == tail + b"\nmore"
    assert [entry.number for entry in logbooks.read(HOIST).entries] == [1, 2, 3]


def test_a_first_line_that_tore_is_kept_aside_too(logbooks: Logbooks) -> None:
    (logbooks.root / "logbooks").mkdir()
    tear(logbooks, b'{"v":1')
    assert logbooks.read(HOIST).torn
    assert seal(logbooks, 1, head=GENESIS).number == 1
    assert contents(logbooks)[TORN] == b'{"v":1'


@pytest.fixture
def cut(logbooks: Logbooks) -> bytes:
    """Two records, and the newline of the second cut off; the bytes as they were before that."""
    seal(logbooks, 1)
    seal(logbooks, 2)
    path = logbooks.root / "logbooks" / FILE
    whole = path.read_bytes()
    path.write_bytes(whole[:-1])
    return whole


def test_a_whole_record_that_lacks_only_its_newline_counts(logbooks: Logbooks, cut: bytes) -> None:
    book = logbooks.read(HOIST)
    assert (len(book.entries), book.torn, book.unended, book.problem) == (2, False, True, None)
    assert book.end == book.size == len(cut) - 1


def test_such_a_record_gets_its_newline_with_the_next_seal_and_is_never_moved_aside(
    logbooks: Logbooks, cut: bytes
) -> None:
    assert seal(logbooks, 3).number == 3
    assert contents(logbooks)[FILE].startswith(cut)
    assert TORN not in contents(logbooks)
    assert check_chain(HOIST, contents(logbooks)[FILE]).problem is None


def test_its_save_sent_again_is_answered_and_only_ends_the_line(logbooks: Logbooks, cut: bytes) -> None:
    assert seal(logbooks, 2, head="0" * 64).number == 2
    assert contents(logbooks) == {FILE: cut}


def test_who_did_not_see_it_is_told_and_nothing_is_sealed(logbooks: Logbooks, cut: bytes) -> None:
    first = logbooks.read(HOIST).entries[0].line
    with pytest.raises(ConflictError, match="Ada Fenn"):
        seal(logbooks, 3, head=first)
    assert contents(logbooks) == {FILE: cut}


def test_a_disk_that_refuses_the_newline_leaves_all_as_it_was(
    logbooks: Logbooks, cut: bytes, calls: WatchedCalls
) -> None:
    calls.fail("fsync", FILE, fault(errno.EIO))
    with pytest.raises(NotSavedError):
        seal(logbooks, 3)
    assert contents(logbooks) == {FILE: cut[:-1]}


def test_the_tail_is_cut_off_only_when_its_copy_has_reached_the_disk(
    logbooks: Logbooks, calls: WatchedCalls
) -> None:
    seal(logbooks, 1)
    tear(logbooks, b"tail")
    calls.clear()
    seal(logbooks, 2)
    assert [seen for seen in calls.seen if seen[0] != "open"] == [
        ("write", TORN),
        ("fsync", TORN),
        ("fsync", "folder"),
        ("truncate", FILE),
        ("fsync", FILE),
        ("write", FILE),
        ("fsync", FILE),
    ]


@pytest.mark.parametrize(
    ("call", "ending"),
    [("open", TORN), ("write", TORN), ("fsync", TORN), ("fsync", "folder"), ("truncate", FILE)],
)
def test_a_tail_that_can_not_be_kept_aside_stays_where_it_is(
    logbooks: Logbooks, calls: WatchedCalls, call: str, ending: str
) -> None:
    seal(logbooks, 1)
    tear(logbooks, b"tail")
    before = contents(logbooks)[FILE]
    calls.fail(call, ending, fault(errno.ENOSPC))
    with pytest.raises(NotSavedError, match="the disk is full"):
        seal(logbooks, 2)
    assert contents(logbooks)[FILE] == before
    assert seal(logbooks, 2).number == 2
    assert b"tail" in contents(logbooks)[TORN]


def test_a_failed_save_after_a_tail_was_kept_aside_keeps_both(
    logbooks: Logbooks, calls: WatchedCalls
) -> None:
    seal(logbooks, 1)
    good = contents(logbooks)[FILE]
    tear(logbooks, b"tail")
    calls.fail("write", FILE, fault(errno.ENOSPC))
    with pytest.raises(NotSavedError):
        seal(logbooks, 2)
    assert contents(logbooks) == {FILE: good, TORN: b"tail"}
