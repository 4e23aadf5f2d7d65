"""The logbook files: listing, reading with the hash chain checked, and sealing a record as one line.

A hoist's logbook is logbooks/<ID>.jsonl, the shop's own are shop/<name>.jsonl. Readers take no lock.
"""

import os
import threading
from contextlib import suppress
from dataclasses import dataclass, replace
from datetime import datetime
from pathlib import Path

from fieldlog.domain.records import Body, Entry
from fieldlog.errors import ConflictError, DamagedError, InputError, Problem, StoreError
from fieldlog.store.codec import LineError, decode, encode_checked
from fieldlog.store.files import FileCalls, is_shared, make_folder, refusal
from fieldlog.store.locks import WAIT_SECONDS, hold, signals_blocked
from fieldlog.store.scan import HOIST_NAME, SUFFIX, hoist_states
from fieldlog.store.sealing import add_line, make_sure

GENESIS = "0" * 64
SHOP_NAMES = ("settings", "people", "instruments", "sites")
KEPT_LOGBOOKS = 8
_REMEDY = "Nothing is added to this logbook until it is put right: compare it with a backup."


@dataclass(frozen=True, slots=True, kw_only=True)
class Logbook:
    """A logbook as read. `head` is the hash of the last good line, `end` where that line ends [bytes].

    `problem` names the first line that can not be trusted; `entries` are those before it. `torn` says
    that the file goes on past its last newline: a record that was being written when power or disk failed.
    `size` and `mtime_ns` are the file's when it was read.
    """

    name: str
    entries: tuple[Entry, ...] = ()
    head: str = GENESIS
    end: int = 0
    size: int = 0
    mtime_ns: int = 0
    problem: Problem | None = None
    torn: bool = False


def place_of(name: str) -> str:
    """The file of a logbook below the store; InputError for a name that is neither a hoist ID nor the shop's.

    This is the only way from a name to a path, so no tag and no import can lead out of the store.
    """
    if name in SHOP_NAMES:
        return f"shop/{name}{SUFFIX}"
    if HOIST_NAME.fullmatch(name):
        return f"logbooks/{name}{SUFFIX}"
    raise InputError(f"no logbook can be called {name[:30]!r}: a hoist's is called by its tag, as SW-0007-X")


def check_chain(name: str, data: bytes) -> Logbook:
    """The logbook that these bytes hold: every line decoded, and each naming the hash of the one before."""
    *lines, tail = data.split(b"\n")
    entries: list[Entry] = []
    head, end, problem = GENESIS, 0, None
    for number, text in enumerate(lines, start=1):
        line = text + b"\n"
        try:
            entry = decode(line, number)
            if entry.prev != head:
                raise LineError(number, broken_link(number))
        except LineError as fault:
            problem = Problem(place=f"{place_of(name)} line {number}", wrong=fault.wrong, todo=_REMEDY)
            break
        entries.append(entry)
        head, end = entry.line, end + len(line)
    return Logbook(
        name=name,
        entries=tuple(entries),
        head=head,
        end=end,
        size=len(data),
        problem=problem,
        torn=bool(tail),
    )


def broken_link(number: int) -> str:
    """What is said of a line that does not name the hash of the line above."""
    if number == 1:
        return "it does not begin a logbook: the lines before it are missing, or it was changed."
    return "it does not follow the line above: a line was changed, removed, put in or moved here."


_Stamp = tuple[int, int, int, int]


def _stamp(found: os.stat_result) -> _Stamp:
    return (found.st_ino, found.st_size, found.st_mtime_ns, found.st_ctime_ns)


class Logbooks:
    """All logbooks of the store at `root`. Nothing is written, not even a folder, before the first append."""

    def __init__(
        self, root: Path, *, files: FileCalls | None = None, wait_seconds: float = WAIT_SECONDS
    ) -> None:
        self.root = root
        self.files = files or FileCalls()
        self._wait_seconds = wait_seconds
        # The last few logbooks checked, so that sealing need not check again what has not changed since:
        # a save then costs the same whatever the history.
        self._kept: dict[str, tuple[_Stamp, Logbook, set[str]]] = {}
        self._kept_lock = threading.Lock()
        self._made: set[str] = set()

    def stat_all(self) -> dict[str, tuple[int, int]]:
        """Size [bytes] and mtime [ns] of every hoist's logbook by ID. An empty file is no logbook yet."""
        try:
            return hoist_states(self.root / "logbooks")
        except OSError as fault:
            raise StoreError(f"the logbooks in {self.root} can not be read ({fault.strerror})") from fault

    def hoist_names(self) -> list[str]:
        """The IDs of all hoists that have a logbook, in order."""
        return sorted(self.stat_all())

    def read(self, name: str) -> Logbook:
        """The logbook with every line and the whole chain checked. What is wrong with it stands in it.

        A file that is not there is an empty logbook; one that can not be opened has a problem.
        """
        place = place_of(name)
        try:
            data, held = contents(self.root / place)
        except FileNotFoundError:
            return Logbook(name=name)
        except OSError as fault:
            wrong = f"it can not be read ({fault.strerror})."
            return Logbook(name=name, problem=Problem(place=place, wrong=wrong, todo=_REMEDY))
        book = replace(check_chain(name, data), size=held.st_size, mtime_ns=held.st_mtime_ns)
        self._keep(book, held, {entry.uid for entry in book.entries})
        return book

    def append(self, name: str, body: Body, *, uid: str, by: str, at: datetime, expected_head: str) -> Entry:
        """Seal a record as the next line and return its entry when the disk has it.

        A uid that this logbook already holds is given back and nothing is written, so a save whose answer was
        lost can be sent again. ConflictError where the head is not `expected_head`, DamagedError where a
        line can not be trusted, LockedError where another session holds it, NotSavedError or StoreError
        where the system refuses. After any of these the good lines are as they were.
        """
        place = place_of(name)
        line, entry = encode_checked(body, prev=expected_head, uid=uid, by=by, at=at)
        shared = is_shared(self.root)
        self._make_folders(name, place, shared=shared)
        lock = self.root / "locks" / f"{name}.lock"
        waiting = hold(lock, name, shared=shared, seconds=self._wait_seconds, files=self.files)
        with waiting, signals_blocked():
            book, uids = self._current(name)
            if uid in uids:
                make_sure(self.files, self.root / place, name)
                return next(entry for entry in book.entries if entry.uid == uid)
            _check_may_follow(book, expected_head)
            return self._seal(book, uids, line, entry, shared=shared)

    def _make_folders(self, name: str, place: str, *, shared: bool) -> None:
        names = {place.partition("/")[0], "locks"} - self._made
        try:
            for folder in names:
                make_folder(self.files, self.root / folder, shared=shared)
        except OSError as fault:
            raise refusal(fault, name) from fault
        self._made |= names

    def _keep(self, book: Logbook, held: os.stat_result, uids: set[str]) -> None:
        with self._kept_lock:
            self._kept.pop(book.name, None)
            self._kept[book.name] = (_stamp(held), book, uids)
            while len(self._kept) > KEPT_LOGBOOKS:
                del self._kept[next(iter(self._kept))]

    def _current(self, name: str) -> tuple[Logbook, set[str]]:
        """The logbook as it stands and its uids; checked anew unless the file is the one checked before."""
        with self._kept_lock:
            kept = self._kept.get(name)
        with suppress(OSError):
            if kept is not None and kept[0] == _stamp((self.root / place_of(name)).lstat()):
                return kept[1:]
        book = self.read(name)
        return book, {entry.uid for entry in book.entries}

    def _seal(self, book: Logbook, uids: set[str], line: bytes, read_back: Entry, *, shared: bool) -> Entry:
        entry = replace(read_back, number=len(book.entries) + 1)
        path = self.root / place_of(book.name)
        held = add_line(
            self.files, path, line, name=book.name, end=book.end, torn_bytes=_torn_bytes(book), shared=shared
        )
        sealed = Logbook(
            name=book.name,
            entries=(*book.entries, entry),
            head=entry.line,
            end=book.end + len(line),
            size=held.st_size,
            mtime_ns=held.st_mtime_ns,
        )
        # A set of its own: one that another thread still looks at is not changed under it.
        self._keep(sealed, held, uids | {entry.uid})
        return entry


def _torn_bytes(book: Logbook) -> int:
    return book.size - book.end if book.torn else 0


def _check_may_follow(book: Logbook, expected_head: str) -> None:
    if book.problem is not None:
        raise DamagedError(f"{book.name} was not saved. {book.problem}")
    if book.head == expected_head:
        return
    if expected_head != GENESIS and all(entry.line != expected_head for entry in book.entries):
        raise ConflictError(
            f"{book.name} no longer holds the record you began from; nothing was written: open it again"
        )
    last = book.entries[-1]
    when = last.at.isoformat(sep=" ", timespec="minutes")
    raise ConflictError(f"{book.name} was sealed by {last.by} at {when} since you began; nothing was written")


def contents(path: Path) -> tuple[bytes, os.stat_result]:
    """The file's bytes up to the size it had when it was opened, so that both belong together."""
    fd = os.open(path, os.O_RDONLY | os.O_CLOEXEC | os.O_NOFOLLOW)
    with os.fdopen(fd, "rb") as file:
        held = os.fstat(fd)
        return file.read(held.st_size), held
