"""A line is on the disk whole, or the logbook is as it was, whatever fails or interrupts."""

import errno
import os
import signal
from pathlib import Path

import pytest

from fieldlog.errors import NotSavedError, StoreError
from fieldlog.store.ending import GENESIS
from fieldlog.store.files import FileCalls
from fieldlog.store.logbooks import Logbooks
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


def check_first_save(calls: WatchedCalls) -> None:
    on_disk = [seen for seen in calls.seen if seen[0] in ("write", "fsync")]
    assert on_disk[-3:] == [("write", FILE), ("fsync", FILE), ("fsync", "folder")]


def check_later_save(calls: WatchedCalls) -> None:
    assert [seen for seen in calls.seen if seen[0] != "open"] == [("write", FILE), ("fsync", FILE)]


def test_a_save_is_one_write_and_one_sync_and_the_first_one_syncs_the_folder(
    logbooks: Logbooks, calls: WatchedCalls
) -> None:
    seal(logbooks, 1)
    check_first_save(calls)
    calls.clear()
    seal(logbooks, 2)
    check_later_save(calls)


def test_a_file_left_empty_by_a_killed_session_has_its_folder_synced_too(
    logbooks: Logbooks, calls: WatchedCalls
) -> None:
    (logbooks.root / "logbooks").mkdir()
    (logbooks.root / "logbooks" / FILE).write_bytes(b"")
    seal(logbooks, 1)
    assert calls.seen[-2:] == [("fsync", FILE), ("fsync", "folder")]


def test_a_record_that_is_sent_again_is_synced_before_it_is_acknowledged(
    logbooks: Logbooks, calls: WatchedCalls
) -> None:
    # its first session may have been killed between its write and its sync
    sealed = seal(logbooks, 1)
    calls.clear()
    assert seal(logbooks, 1, head=GENESIS) == sealed
    assert calls.seen[-2:] == [("fsync", FILE), ("fsync", "folder")]
    assert "write" not in [call for call, _ in calls.seen]
    calls.fail("fsync", FILE, fault(errno.EIO))
    with pytest.raises(NotSavedError):
        seal(logbooks, 1, head=GENESIS)


@pytest.mark.parametrize("number", [errno.ENOSPC, errno.EIO, errno.EDQUOT])
@pytest.mark.parametrize("how", ["nothing written", "a part written", "not synced"])
@pytest.mark.parametrize("earlier", [0, 2])
def test_a_failed_save_leaves_every_byte_as_it_was_and_the_next_one_works(
    logbooks: Logbooks, calls: WatchedCalls, earlier: int, how: str, number: int
) -> None:
    for sealed in range(earlier):
        seal(logbooks, sealed)
    before = contents(logbooks)
    calls.clear()
    if how == "a part written":
        calls.fail("write", FILE, fault(number), taking=40)
    calls.fail("fsync" if how == "not synced" else "write", FILE, fault(number))
    with pytest.raises(NotSavedError) as caught:
        seal(logbooks, 9)
    assert str(caught.value).startswith(f"{HOIST} was not saved: the disk ")
    assert os.strerror(number) in str(caught.value)
    assert contents(logbooks) == before
    # a failed sync is not tried again
    assert calls.seen.count(("fsync", FILE)) == (1 if how == "not synced" else 0)
    calls.clear()
    assert seal(logbooks, 9).number == earlier + 1
    assert logbooks.read(HOIST).problem is None


def test_a_folder_that_can_not_be_synced_is_a_failed_save(logbooks: Logbooks, calls: WatchedCalls) -> None:
    seal(logbooks, 1, name="SW-0008-V")
    calls.fail("fsync", "folder", fault(errno.EIO))
    with pytest.raises(NotSavedError):
        seal(logbooks, 1)
    assert FILE not in contents(logbooks)
    assert seal(logbooks, 1).number == 1


def test_a_write_that_stops_half_way_goes_on(logbooks: Logbooks, calls: WatchedCalls) -> None:
    calls.fail("write", FILE, fault(errno.EIO), taking=17)
    seal(logbooks, 1)
    assert [seen for seen in calls.seen if seen[0] == "write"] == [("write", FILE), ("write", FILE)]
    assert len(logbooks.read(HOIST).entries) == 1


def test_a_disk_that_does_not_even_take_the_line_back_is_told_and_the_rest_is_torn(
    logbooks: Logbooks, calls: WatchedCalls
) -> None:
    seal(logbooks, 1)
    calls.fail("write", FILE, fault(errno.EIO), taking=40)
    calls.fail("write", FILE, fault(errno.EIO))
    calls.fail("truncate", FILE, fault(errno.EIO))
    with pytest.raises(NotSavedError, match=r"the disk fails .*have it checked"):
        seal(logbooks, 2)
    book = logbooks.read(HOIST)
    assert (len(book.entries), book.torn, book.size - book.end) == (1, True, 40)
    calls.clear()
    assert seal(logbooks, 2).number == 2
    assert len(contents(logbooks)[TORN]) == 40


def test_a_line_that_was_written_but_could_not_be_taken_back_is_not_doubled(
    logbooks: Logbooks, calls: WatchedCalls
) -> None:
    seal(logbooks, 1)
    calls.fail("fsync", FILE, fault(errno.EIO))
    calls.fail("truncate", FILE, fault(errno.EIO))
    with pytest.raises(NotSavedError, match="will not be doubled"):
        seal(logbooks, 2, head=logbooks.read(HOIST).head)
    assert seal(logbooks, 2, head=logbooks.read(HOIST).entries[0].line).number == 2
    assert len(logbooks.read(HOIST).entries) == 2


@pytest.mark.parametrize("call", ["write", "fsync"])
def test_an_interruption_takes_the_line_back_and_goes_on_its_way(
    logbooks: Logbooks, calls: WatchedCalls, call: str
) -> None:
    # blocked signals can still arrive through another thread of the program
    seal(logbooks, 1)
    before = contents(logbooks)
    calls.fail(call, FILE, KeyboardInterrupt())
    with pytest.raises(KeyboardInterrupt):
        seal(logbooks, 2)
    assert contents(logbooks) == before
    assert seal(logbooks, 2).number == 2


@pytest.mark.parametrize("number", [signal.SIGINT, signal.SIGTERM, signal.SIGHUP, signal.SIGALRM])
def test_a_signal_in_the_middle_of_a_save_waits_until_the_record_is_sealed(
    tmp_path: Path, number: signal.Signals
) -> None:
    class Signalled(FileCalls):
        def write(self, fd: int, data: memoryview) -> int:
            os.kill(os.getpid(), number)
            return super().write(fd, data)

    def hang_up(_number: int, _frame: object) -> None:
        raise ConnectionError

    logbooks = Logbooks(tmp_path, files=Signalled())
    before = signal.signal(number, hang_up)
    try:
        with pytest.raises(ConnectionError):
            seal(logbooks, 1)
    finally:
        signal.signal(number, before)
    assert len(logbooks.read(HOIST).entries) == 1
    assert (tmp_path / "locks" / f"{HOIST}.lock").read_bytes().strip() == b""
    assert seal(Logbooks(tmp_path, wait_seconds=0.1), 2).number == 2


@pytest.mark.parametrize("ending", [f"{HOIST}.lock", FILE])
@pytest.mark.parametrize("number", [errno.EROFS, errno.EACCES])
def test_a_store_that_can_only_be_read_says_so(
    logbooks: Logbooks, calls: WatchedCalls, ending: str, number: int
) -> None:
    seal(logbooks, 1)
    before = contents(logbooks)
    calls.fail("open", ending, fault(number))
    with pytest.raises(StoreError, match=rf"{HOIST} was not saved: the store can only be read") as caught:
        seal(logbooks, 2)
    assert not isinstance(caught.value, NotSavedError)
    assert contents(logbooks) == before
    assert len(logbooks.read(HOIST).entries) == 1


def test_a_store_that_forgets_to_sync_would_be_noticed(tmp_path: Path) -> None:
    """Tests the tests: what they ask of the calls is not met where one sync is skipped."""

    class Forgetful(WatchedCalls):
        def fsync(self, fd: int) -> None:
            """Neither sync nor leave a trace of having been asked."""

    forgetful = Forgetful()
    seal(Logbooks(tmp_path, files=forgetful), 1)
    with pytest.raises(AssertionError):
        check_first_save(forgetful)
    with pytest.raises(AssertionError):
        check_later_save(forgetful)
