"""What a logbook's bytes hold: whole records count, with or without the last newline, and no piece of one."""

import errno
import os
from collections.abc import Callable
from pathlib import Path

import pytest

from fieldlog.store.ending import GENESIS
from fieldlog.store.logbooks import Logbooks
from fieldlog.store.reading import check_chain, ending_of, holds_line, missing_line, unreadable, whole_tail
from tests.store.samples import HOIST, seal


@pytest.fixture
def data(tmp_path: Path) -> bytes:
    """Two sealed records."""
    logbooks = Logbooks(tmp_path)
    seal(logbooks, 1)
    seal(logbooks, 2)
    return (tmp_path / "logbooks" / f"{HOIST}.jsonl").read_bytes()


def test_at_every_length_the_records_that_are_whole_count(data: bytes) -> None:
    first = data.index(b"\n")
    for length in range(len(data) + 1):
        book = check_chain(HOIST, data[:length])
        whole = int(length >= first) + int(length >= len(data) - 1)
        assert (len(book.entries), book.problem) == (whole, None), length
        assert book.unended == (length in (first, len(data) - 1)), length
        assert book.torn == (bool(data[:length]) and not book.unended and not data[:length].endswith(b"\n"))


def test_a_whole_tail_that_follows_another_line_is_a_piece(data: bytes) -> None:
    first, second = data.splitlines()
    head = check_chain(HOIST, first + b"\n").head
    assert whole_tail(second, head, 2) is not None
    assert whole_tail(second, GENESIS, 2) is None
    assert check_chain(HOIST, second).torn


def test_after_a_line_that_is_broken_no_tail_counts(data: bytes) -> None:
    book = check_chain(HOIST, b"spoilt\n" + data[:-1])
    assert (book.entries, book.unended, book.problem is not None) == ((), False, True)


def test_an_ending_knows_what_its_last_line_lacks(data: bytes) -> None:
    ending = ending_of(check_chain(HOIST, data[:-1]))
    assert (ending.unended, ending.torn_bytes, ending.end, ending.lines) == (True, 0, len(data) - 1, 2)
    ending.end_line()
    assert (ending.unended, ending.end) == (False, len(data))


def test_a_line_is_held_or_missed(data: bytes) -> None:
    entries = check_chain(HOIST, data).entries
    assert all(holds_line(entries, entry.line) for entry in entries)
    assert holds_line((), "")
    assert holds_line((), GENESIS)
    assert not holds_line(entries[:1], entries[1].line)
    told = str(missing_line(HOIST, entries[1].line))
    assert told.startswith(f"logbooks/{HOIST}.jsonl: it no longer holds the line {entries[1].line[:10]}")


@pytest.mark.parametrize(("number", "todo"), [(errno.EACCES, "store share"), (errno.EIO, "backup")])
def test_what_can_not_be_opened_says_whom_or_what_to_ask(number: int, todo: str) -> None:
    told = unreadable("shop/people.jsonl", OSError(number, os.strerror(number)))
    assert os.strerror(number) in told.wrong
    assert todo in told.todo


@pytest.mark.parametrize("make", [os.mkfifo, os.mkdir])
def test_what_is_no_file_is_told_and_never_waited_for(tmp_path: Path, make: Callable[[Path], None]) -> None:
    (tmp_path / "logbooks").mkdir()
    make(tmp_path / "logbooks" / f"{HOIST}.jsonl")
    problem = Logbooks(tmp_path).read(HOIST).problem
    assert problem is not None
    assert "can not be read" in problem.wrong
