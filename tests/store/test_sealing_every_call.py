"""Whichever call of a save fails, and however often, every acknowledged record stays and the next save works.

Killed sessions at every call are in test_logbooks_sessions.py; here the call itself refuses.
"""

import errno
import os
from pathlib import Path

import pytest

from fieldlog.errors import NotSavedError, StoreError
from fieldlog.store.files import FileCalls
from fieldlog.store.logbooks import Logbooks
from fieldlog.store.verify_logbook import verify_bytes
from tests.store.samples import HOIST, chain_by_hand, seal, uid

FULL = (errno.ENOSPC, errno.EIO, errno.EDQUOT)


class RefusingCalls(FileCalls):
    """Refuses the calls from the one of that number on, `times` of them."""

    def __init__(self, number: int, fault: int, *, times: int = 1) -> None:
        self.made = 0
        self._refused = range(number, number + times)
        self._fault = fault

    def _count(self) -> None:
        self.made += 1
        if self.made in self._refused:
            raise OSError(self._fault, os.strerror(self._fault))

    def open(self, path: Path, flags: int, mode: int = 0o600) -> int:
        self._count()
        return super().open(path, flags, mode)

    def write(self, fd: int, data: memoryview) -> int:
        self._count()
        return super().write(fd, data)

    def fsync(self, fd: int) -> None:
        self._count()
        super().fsync(fd)

    def truncate(self, fd: int, size: int) -> None:
        self._count()
        super().truncate(fd, size)


def file_of(root: Path) -> Path:
    return root / "logbooks" / f"{HOIST}.jsonl"


def begin(root: Path, begun: str) -> int:
    """A logbook with nothing, lines, or lines and a torn tail; how many lines."""
    lines = 0 if begun == "nothing" else 2
    for number in range(lines):
        seal(Logbooks(root), number)
    if begun == "torn":
        with file_of(root).open("ab") as file:
            file.write(b'{"v":1,"prev"')
    return lines


def refusal_of(root: Path, calls: RefusingCalls) -> StoreError | None:
    try:
        seal(Logbooks(root, files=calls), 99)
    except StoreError as error:
        return error
    return None


@pytest.mark.parametrize("fault", FULL)
@pytest.mark.parametrize("times", [1, 2, 10**6])
@pytest.mark.parametrize("begun", ["nothing", "lines", "torn"])
def test_a_save_that_is_refused_at_any_call_loses_nothing(
    tmp_path: Path, begun: str, times: int, fault: int
) -> None:
    number, refused = 0, 0
    while True:
        number += 1
        root = tmp_path / str(number)
        root.mkdir()
        lines = begin(root, begun)
        calls = RefusingCalls(number, fault, times=times)
        error = refusal_of(root, calls)
        if error is None:
            lines += 1
        else:
            refused += 1
            assert isinstance(error, NotSavedError)
            assert f"{HOIST} was not saved" in str(error)
        check(root, lines)
        if calls.made < number:
            break  # the save was over before that call
    assert refused >= 4  # lock, logbook, write, sync


def check(root: Path, lines: int) -> None:
    """Every acknowledged line is there; the refused one may be, and is not doubled when it is sent again."""
    logbooks = Logbooks(root)
    book = logbooks.read(HOIST)
    assert book.problem is None
    assert len(book.entries) in (lines, lines + 1)
    again = seal(logbooks, 99, head=None)
    assert again.uid == uid(99)
    uids = [entry.uid for entry in logbooks.read(HOIST).entries]
    assert uids.count(uid(99)) == 1
    assert uids in ([uid(99)], [uid(0), uid(1), uid(99)])
    data = file_of(root).read_bytes()
    assert [entry.prev for entry in logbooks.read(HOIST).entries] == chain_by_hand(data)
    assert [problem.wrong for problem in verify_bytes(HOIST, data).problems] == [
        "the logbook does not begin with the registration of its hoist."
    ]
