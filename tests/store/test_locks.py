"""A lock is held by one session at a time, names who holds it, and leaves signals and alarms as they were."""

import errno
import fcntl
import os
import pwd
import signal
import subprocess
import sys
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from fieldlog.errors import LockedError, StoreError
from fieldlog.store import locks
from fieldlog.store.locks import hold, signals_blocked

REPOSITORY = Path(__file__).parents[2]
SHORT = 0.1


@contextmanager
def other_session(path: Path) -> Iterator[subprocess.Popen[str]]:
    """Another process that holds the lock."""
    command = [sys.executable, "-m", "tests.store.writing_session", "hold", str(path)]
    with subprocess.Popen(
        command, cwd=REPOSITORY, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True
    ) as process:
        assert process.stdout is not None
        assert process.stdout.readline() == "held\n"
        yield process
        process.kill()


def names_holder(error: LockedError, pid: int) -> None:
    user, host = pwd.getpwuid(os.geteuid()).pw_name, os.uname().nodename
    assert f"SW-0007-X is held by {user} on {host} (process {pid}) since 20" in str(error)
    assert "nothing was written" in str(error)


def test_a_held_lock_names_its_holder_and_is_free_when_the_holder_is_gone(tmp_path: Path) -> None:
    path = tmp_path / "a.lock"
    with other_session(path) as other:
        with pytest.raises(LockedError) as caught, hold(path, "SW-0007-X", seconds=SHORT):
            pass
        names_holder(caught.value, other.pid)
        other.send_signal(signal.SIGSTOP)
        with pytest.raises(LockedError) as caught, hold(path, "SW-0007-X", seconds=SHORT):
            pass
        names_holder(caught.value, other.pid)
        other.kill()
        other.wait()
        # the killed session's name still stands in the file, but it holds nothing
        assert str(other.pid) in path.read_text()
        with hold(path, "SW-0007-X", seconds=SHORT):
            assert f'"pid":{os.getpid()}' in path.read_text()
    assert path.read_bytes().strip() == b""


def test_a_wait_ends_when_the_holder_lets_go(tmp_path: Path) -> None:
    path = tmp_path / "a.lock"
    with other_session(path) as other:
        assert other.stdin is not None
        threading.Timer(SHORT, other.stdin.close).start()
        with hold(path, "SW-0007-X", seconds=30):
            assert signal.getitimer(signal.ITIMER_REAL) == (0, 0)
            assert f'"pid":{os.getpid()}' in path.read_text()


@pytest.mark.parametrize("where", ["thread", "alarm in use", "alarm blocked"])
def test_where_the_alarm_is_not_free_the_wait_polls_and_leaves_the_alarm_alone(
    tmp_path: Path, where: str
) -> None:
    path = tmp_path / "a.lock"
    errors: list[LockedError] = []

    def try_it() -> None:
        with pytest.raises(LockedError) as caught, hold(path, "SW-0007-X", seconds=SHORT):
            pass
        errors.append(caught.value)

    with hold(path, "SW-0007-X"):  # flock belongs to the open file, so this process can stand in its own way
        if where == "thread":
            thread = threading.Thread(target=try_it)
            thread.start()
            thread.join()
        elif where == "alarm in use":
            signal.setitimer(signal.ITIMER_REAL, 1000)
            try_it()
            assert signal.setitimer(signal.ITIMER_REAL, 0)[0] > 900
        else:
            with signals_blocked():
                try_it()
    names_holder(errors[0], os.getpid())


def test_waiting_puts_the_alarm_back(tmp_path: Path) -> None:
    def mine(_number: int, _frame: object) -> None: ...

    before = signal.signal(signal.SIGALRM, mine)
    try:
        with (
            hold(tmp_path / "a.lock", "a"),
            pytest.raises(LockedError),
            hold(tmp_path / "a.lock", "a", seconds=SHORT),
        ):
            pass
        assert signal.getsignal(signal.SIGALRM) is mine
        assert signal.getitimer(signal.ITIMER_REAL) == (0, 0)
    finally:
        signal.signal(signal.SIGALRM, before)


def test_an_error_inside_lets_the_lock_go_and_keeps_the_file(tmp_path: Path) -> None:
    path = tmp_path / "a.lock"
    path.write_bytes(b"")
    number = path.stat().st_ino
    with pytest.raises(KeyError), hold(path, "a"):
        raise KeyError
    with hold(path, "a", seconds=SHORT):
        assert path.stat().st_ino == number


def test_a_child_process_that_has_the_descriptor_does_not_keep_the_lock(tmp_path: Path) -> None:
    path = tmp_path / "a.lock"
    with hold(path, "a"):
        found = [fd for fd in range(3, 256) if _leads_to(fd, path)]
        copy = os.dup(found[0])
    with hold(path, "a", seconds=SHORT):
        os.close(copy)


def _leads_to(fd: int, path: Path) -> bool:
    try:
        return os.path.samestat(os.fstat(fd), path.stat())
    except OSError:
        return False


@pytest.mark.parametrize("number", [errno.ENOLCK, errno.EOPNOTSUPP, errno.ENOTSUP])
def test_a_file_system_without_locks_is_told_and_refused(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, number: int
) -> None:
    def no_locks(_fd: int, how: int) -> None:
        raise OSError(number, os.strerror(number))

    monkeypatch.setattr(fcntl, "flock", no_locks)
    with (
        pytest.raises(StoreError, match=r"has no locks .*put the store on a disk"),
        hold(tmp_path / "a", "a"),
    ):
        pass


def test_another_fault_of_the_lock_is_told(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def broken(_fd: int, how: int) -> None:
        raise OSError(errno.EIO, "broken")

    monkeypatch.setattr(fcntl, "flock", broken)
    sentence = r"could not be locked \(broken\); nothing was written"
    with pytest.raises(StoreError, match=sentence), hold(tmp_path / "a", "a"):
        pass


def test_a_lock_file_that_can_not_be_opened_is_told(tmp_path: Path) -> None:
    (tmp_path / "a").mkdir()
    with pytest.raises(StoreError, match="was not saved"), hold(tmp_path / "a", "a"):
        pass


def test_a_lock_whose_text_does_not_read_is_still_a_lock(tmp_path: Path) -> None:
    path = tmp_path / "a.lock"
    with hold(path, "a"):
        path.write_text("x")
        with pytest.raises(LockedError, match="held by another session"), hold(path, "a", seconds=SHORT):
            pass


@pytest.fixture(params=["alone", "beside another thread"])
def _threads(request: pytest.FixtureRequest) -> Iterator[None]:
    ended = threading.Event()
    if request.param != "alone":
        threading.Thread(target=ended.wait).start()
    yield
    ended.set()


@pytest.mark.usefixtures("_threads")
def test_signals_wait_until_the_critical_part_is_left() -> None:
    rung: list[str] = []
    before = signal.signal(signal.SIGUSR1, lambda *_: rung.append("rung"))
    mask = signal.pthread_sigmask(signal.SIG_BLOCK, ())
    try:
        with signals_blocked():
            os.kill(os.getpid(), signal.SIGUSR1)
            rung.append("left")
        until = time.monotonic() + 10
        while len(rung) < 2 and time.monotonic() < until:
            time.sleep(0.001)  # another thread may have taken the signal, and hands it over in its own time
        assert rung == ["left", "rung"]
        with pytest.raises(KeyError), signals_blocked():
            raise KeyError
        with signals_blocked(), signals_blocked():
            pass
        assert signal.pthread_sigmask(signal.SIG_BLOCK, ()) == mask
    finally:
        signal.signal(signal.SIGUSR1, before)


def test_what_a_person_sends_from_the_keyboard_is_among_the_blocked_signals() -> None:
    with signals_blocked():
        blocked = signal.pthread_sigmask(signal.SIG_BLOCK, ())
    assert {signal.SIGINT, signal.SIGTERM, signal.SIGHUP, signal.SIGQUIT, signal.SIGTSTP} <= blocked


def test_a_user_without_a_name_is_named_by_number(monkeypatch: pytest.MonkeyPatch) -> None:
    def nobody(_number: int) -> None:
        raise KeyError

    monkeypatch.setattr(pwd, "getpwuid", nobody)
    locks._session.cache_clear()
    try:
        assert locks._session()["user"] == f"user number {os.geteuid()}"
    finally:
        locks._session.cache_clear()
