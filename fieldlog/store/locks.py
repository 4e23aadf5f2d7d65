"""One lock a logbook, held while a record is sealed, and signals kept out of that moment.

A lock file is never deleted: a second session could then lock the deleted one and both would write.
"""

import errno
import fcntl
import os
import pwd
import signal
import sys
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from datetime import UTC, datetime
from functools import cache
from pathlib import Path
from types import FrameType

import msgspec

from fieldlog.errors import LockedError, StoreError
from fieldlog.store.files import FileCalls, open_or_make, refusal

WAIT_SECONDS = 5.0
POLL_SECONDS = 0.01
NAME_BYTES = 256
_NO_LOCKS = {errno.ENOLCK, errno.ENOTSUP, errno.EOPNOTSUPP, errno.ENOSYS, errno.EINVAL}
_DISTURBING = frozenset(
    {
        signal.SIGINT,
        signal.SIGTERM,
        signal.SIGHUP,
        signal.SIGQUIT,
        signal.SIGTSTP,
        signal.SIGALRM,
        signal.SIGUSR1,
        signal.SIGUSR2,
        signal.SIGWINCH,
    }
)


_Handler = Callable[[int, FrameType | None], object]


class _WaitOverError(Exception):
    """Raised out of the waiting flock by the alarm."""


@contextmanager
def signals_blocked() -> Iterator[None]:
    """Keep signals waiting until the block is left; they are delivered then.

    The mask holds for this thread alone. Another thread may still take a signal, whose Python handler
    then runs in the main thread: there the handlers only take note until the block is left.
    """
    before = signal.pthread_sigmask(signal.SIG_BLOCK, ())
    noted: list[int] = []
    handlers: dict[signal.Signals, _Handler] = {}
    try:
        signal.pthread_sigmask(signal.SIG_BLOCK, _DISTURBING)
        handlers = _take_note(noted)
        yield
    finally:
        for number, handler in handlers.items():
            signal.signal(number, handler)
        signal.pthread_sigmask(signal.SIG_SETMASK, before)
        for received in dict.fromkeys(noted):
            signal.raise_signal(received)


def _take_note(noted: list[int]) -> dict[signal.Signals, _Handler]:
    """Put a handler that only takes note in the place of each one written in Python; gives those back.

    Where there is no other thread the mask is enough, and a seal is a tenth quicker for that.
    """
    alone = len(sys._current_frames()) == 1  # also counts threads that the threading module did not start
    if alone or threading.current_thread() is not threading.main_thread():
        return {}
    handlers: dict[signal.Signals, _Handler] = {}
    for number in _DISTURBING:
        handler = signal.getsignal(number)
        if callable(handler):
            handlers[number] = handler
            signal.signal(number, lambda received, _frame: noted.append(received))
    return handlers


@contextmanager
def hold(
    path: Path,
    what: str,
    *,
    shared: bool = False,
    seconds: float = WAIT_SECONDS,
    files: FileCalls | None = None,
) -> Iterator[None]:
    """Hold the lock file at `path` for `what` (the name shown to people) while the block runs.

    Waits at most `seconds`; LockedError names the holder, StoreError says where locks are not to be had.
    """
    _session()  # looked up before the lock is taken, because names may come from a slow network
    try:
        fd, _ = open_or_make(files or FileCalls(), path, os.O_RDWR, shared=shared)
    except OSError as fault:
        raise refusal(fault, what) from fault
    try:
        _take(fd, what, seconds)
        try:
            _sign(fd)
            yield
        finally:
            _leave(fd)
    finally:
        os.close(fd)


def _take(fd: int, what: str, seconds: float) -> None:
    try:
        if _try_once(fd) or _wait(fd, seconds):
            return
    except OSError as fault:
        if fault.errno not in _NO_LOCKS:
            raise StoreError(f"{what} could not be locked ({fault.strerror}); nothing was written") from fault
        raise StoreError(
            f"{what} was not saved: the file system of the store has no locks ({fault.strerror}), so two "
            "sessions could spoil each other's records; put the store on a disk that has them"
        ) from fault
    raise LockedError(f"{what} is held by {_holder(fd)}; nothing was written. Try again, or end that session")


def _try_once(fd: int) -> bool:
    try:
        fcntl.flock(fd, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except BlockingIOError:
        return False
    return True


def _wait(fd: int, seconds: float) -> bool:
    return _wait_with_alarm(fd, seconds) if _alarm_is_free() else _wait_polling(fd, seconds)


def _alarm_is_free() -> bool:
    """Whether this thread may set the alarm without taking it from somebody else."""
    return (
        threading.current_thread() is threading.main_thread()
        and signal.SIGALRM not in signal.pthread_sigmask(signal.SIG_BLOCK, ())
        and signal.getitimer(signal.ITIMER_REAL)[0] == 0
        and signal.getsignal(signal.SIGALRM) is not None
    )


def _ring(_number: int, _frame: FrameType | None) -> None:
    raise _WaitOverError


def _wait_with_alarm(fd: int, seconds: float) -> bool:
    """Block until the lock is free or the alarm rings; the kernel wakes us without any polling."""
    before = signal.signal(signal.SIGALRM, _ring)
    try:
        try:
            signal.setitimer(signal.ITIMER_REAL, max(seconds, POLL_SECONDS))
            fcntl.flock(fd, fcntl.LOCK_EX)
        finally:
            signal.setitimer(signal.ITIMER_REAL, 0)
    except _WaitOverError:
        return False
    finally:
        signal.signal(signal.SIGALRM, before)
    return True


def _wait_polling(fd: int, seconds: float) -> bool:
    until = time.monotonic() + seconds
    while time.monotonic() < until:
        time.sleep(POLL_SECONDS)
        if _try_once(fd):
            return True
    return False


@cache
def _session() -> dict[str, str | int]:
    try:
        user = pwd.getpwuid(os.geteuid()).pw_name
    except KeyError:
        user = f"user number {os.geteuid()}"
    return {"host": os.uname().nodename, "user": user}


def _sign(fd: int) -> None:
    """Write the holder's name into the lock file; a full disk must not keep a record from being sealed."""
    text = msgspec.json.encode({**_session(), "pid": os.getpid()})
    with suppress(OSError):
        os.pwrite(fd, text.ljust(NAME_BYTES), 0)


def _leave(fd: int) -> None:
    """Wipe the name, then let go: the other way round it could be the next holder's that is wiped."""
    with suppress(OSError):
        # the length stays, because to cut and to grow a file each time costs the disk more than the record
        os.pwrite(fd, b" " * NAME_BYTES, 0)
    with suppress(OSError):
        # closing alone would not let go while a child process still has the descriptor
        fcntl.flock(fd, fcntl.LOCK_UN)


def _holder(fd: int) -> str:
    try:
        held = msgspec.json.decode(os.pread(fd, 4096, 0))
        # the file's own time is that of the signing, so no clock is read here
        since = datetime.fromtimestamp(int(os.fstat(fd).st_mtime), UTC).isoformat()
        return f"{held['user']} on {held['host']} (process {held['pid']}) since {since}"
    except (OSError, ValueError, KeyError, TypeError):
        return "another session"
