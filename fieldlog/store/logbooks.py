"""The logbook files: listing, reading with the hash chain checked, and sealing a record as one line.

A hoist's logbook is logbooks/<ID>.jsonl, the shop's own are shop/<name>.jsonl. Readers take no lock.
"""

import os
import threading
from collections.abc import Callable
from contextlib import suppress
from datetime import datetime
from pathlib import Path
from typing import TypeVar

from msgspec.structs import replace

from fieldlog.domain.records import Body, Entry
from fieldlog.errors import DamagedError, Problem, StoreError
from fieldlog.store.codec import encode_checked
from fieldlog.store.ending import Ending, check_may_follow
from fieldlog.store.files import FileCalls, is_shared, make_folder, refusal
from fieldlog.store.locks import WAIT_SECONDS, hold, signals_blocked
from fieldlog.store.reading import (
    Logbook,
    check_chain,
    contents,
    ending_of,
    holds_line,
    missing_line,
    place_of,
    unreadable,
)
from fieldlog.store.scan import hoist_states, state_lines
from fieldlog.store.sealing import add_line, make_sure

_Seen = TypeVar("_Seen")
KEPT_LOGBOOKS = 8


_Stamp = tuple[int, int, int, int]


def _stamp(found: os.stat_result) -> _Stamp:
    return (found.st_ino, found.st_size, found.st_mtime_ns, found.st_ctime_ns)


class Logbooks:
    """All logbooks of the store at `root`. Nothing is written, not even a folder, before the first append."""

    def __init__(
        self,
        root: Path,
        *,
        files: FileCalls | None = None,
        wait_seconds: float = WAIT_SECONDS,
        known_head: Callable[[str], str] | None = None,
    ) -> None:
        """`known_head` tells the hash of a line that is known to stand in a logbook, or an empty text."""
        self.root = root
        self.files = files or FileCalls()
        self.wait_seconds = wait_seconds
        self.known_head = known_head
        # The last few logbooks checked, so that sealing need not check again what has not changed since:
        # a save then costs the same whatever the history.
        self._kept: dict[str, tuple[_Stamp, Logbook | Ending]] = {}
        self._kept_lock = threading.Lock()
        self._made: set[str] = set()

    def stat_all(self) -> dict[str, tuple[int, int]]:
        """Size [bytes] and mtime [ns] of every hoist's logbook by ID. An empty file is no logbook yet."""
        return self._looked(hoist_states)

    def state_lines(self) -> bytes:
        """The same as a line each, as `scan.state_lines` gives them."""
        return self._looked(state_lines)

    def _looked(self, look: Callable[[Path], _Seen]) -> _Seen:
        try:
            return look(self.root / "logbooks")
        except OSError as fault:
            raise StoreError(f"the logbooks in {self.root} can not be read ({fault.strerror})") from fault

    def hoist_names(self) -> list[str]:
        """The IDs of all hoists that have a logbook, in order."""
        return sorted(self.stat_all())

    def read(self, name: str) -> Logbook:
        """The logbook with every line and the whole chain checked. What is wrong with it stands in it.

        A file that is not there is an empty logbook; one that can not be opened has a problem.
        """
        book, held = self._look(name)
        if held is not None:
            self._keep(name, held, book)
        return book

    def read_once(self, name: str) -> Logbook:
        """As `read`, for those who read very many and seal into none: nothing of it is kept in mind."""
        return self._look(name)[0]

    def _look(self, name: str) -> tuple[Logbook, os.stat_result | None]:
        place = place_of(name)
        try:
            data, held = contents(self.root / place)
        except FileNotFoundError:
            return Logbook(name=name), None
        except OSError as fault:
            return Logbook(name=name, problem=unreadable(place, fault)), None
        book = replace(check_chain(name, data), size=held.st_size, mtime_ns=held.st_mtime_ns)
        return book, held

    def doubt(self, book: Logbook) -> Problem | None:
        """What stands against a logbook: its own problem, or that a line which is known is not in it."""
        if book.problem is not None or self.known_head is None:
            return book.problem
        head = self.known_head(book.name)
        return missing_line(book.name, head) if not holds_line(book.entries, head) else None

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
        path, lock = self.root / place, self.root / "locks" / f"{name}.lock"
        waiting = hold(lock, name, shared=shared, seconds=self.wait_seconds, files=self.files)
        with waiting, signals_blocked():
            ending = self._ended(self._ending(name, path), path, shared=shared)
            if uid in ending.sealed:
                make_sure(self.files, path, name)
                return ending.sealed[uid]
            check_may_follow(ending, expected_head)
            self._check_known(ending)
            return self._seal(ending, path, line, entry, shared=shared)

    def check_may_write(self) -> None:
        """StoreError where nothing can be sealed, as far as rights tell."""
        for folder in (self.root / "logbooks", self.root / "locks"):
            if folder.is_dir() and not os.access(folder, os.W_OK | os.X_OK):
                raise StoreError(f"{folder} can only be read from here, so nothing can be sealed")

    def _check_known(self, ending: Ending) -> None:
        """DamagedError where a line is gone that is known: nothing is sealed over that.

        Asked once for a logbook that nobody else changes meanwhile: where a large register was not read yet,
        its file is searched.
        """
        if ending.checked:
            return
        head = self.known_head(ending.name) if self.known_head is not None else ""
        if head != ending.head and not holds_line(ending.sealed.values(), head):
            raise DamagedError(f"{ending.name} was not saved. {missing_line(ending.name, head)}")
        ending.checked = True

    def _make_folders(self, name: str, place: str, *, shared: bool) -> None:
        names = {place.partition("/")[0], "locks"} - self._made
        try:
            for folder in names:
                make_folder(self.files, self.root / folder, shared=shared)
        except OSError as fault:
            raise refusal(fault, name) from fault
        self._made |= names

    def _keep(self, name: str, held: os.stat_result, known: Logbook | Ending) -> None:
        with self._kept_lock:
            self._kept.pop(name, None)
            self._kept[name] = (_stamp(held), known)
            while len(self._kept) > KEPT_LOGBOOKS:
                del self._kept[next(iter(self._kept))]

    def _ending(self, name: str, path: Path) -> Ending:
        """How the logbook ends; checked anew unless the file is the one checked before.

        To be asked, and changed, only under the lock of this logbook.
        """
        with self._kept_lock:
            stamp, known = self._kept.get(name, (None, None))
        with suppress(OSError):
            if known is not None and stamp == _stamp(path.lstat()):
                return known if isinstance(known, Ending) else ending_of(known)
        return ending_of(self.read(name))

    def _ended(self, ending: Ending, path: Path, *, shared: bool) -> Ending:
        """The logbook with the newline that its last line lacks."""
        if ending.unended and ending.problem is None:
            held = add_line(
                self.files, path, b"\n", name=ending.name, end=ending.end, torn_bytes=0, shared=shared
            )
            ending.end_line()
            self._keep(ending.name, held, ending)
        return ending

    def _seal(self, ending: Ending, path: Path, line: bytes, read_back: Entry, *, shared: bool) -> Entry:
        entry = replace(read_back, number=ending.lines + 1)
        held = add_line(
            self.files,
            path,
            line,
            name=ending.name,
            end=ending.end,
            torn_bytes=ending.torn_bytes,
            shared=shared,
        )
        ending.grow(entry, len(line))
        # only now: what is kept with the file's old state is not taken for the one that it has come to
        self._keep(ending.name, held, ending)
        return entry
