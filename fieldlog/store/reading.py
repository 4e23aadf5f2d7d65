"""A logbook's file as read: where it stands, its bytes, and every line of them with the chain checked."""

import errno
import os
import stat
from collections.abc import Iterable, Iterator
from contextlib import suppress
from pathlib import Path

from msgspec import Struct

from fieldlog.domain.records import Entry
from fieldlog.errors import InputError, Problem
from fieldlog.store.codec import LineError, decode
from fieldlog.store.ending import GENESIS, Ending
from fieldlog.store.scan import HOIST_NAME, SUFFIX

SHOP_NAMES = ("settings", "people", "instruments", "sites")
OR_REGISTER = "Compare it with a backup; where it is right as it stands, delete register.json."
REMEDY = "Nothing is added to this logbook until it is put right: compare it with a backup."


class Logbook(Struct, frozen=True, kw_only=True):
    """A logbook as read. `head` is the hash of the last good line, `end` where that line ends [bytes].

    `problem` names the first line that can not be trusted; `entries` are those before it. `torn` says
    that the file goes on after them with a piece of a line: a record that was being written when power or
    disk failed. `unended` says that the last good line is whole but for its newline, which may have been cut
    off after the record was acknowledged, so that it counts. `size` and `mtime_ns` are the file's when it was
    read.
    """

    name: str
    entries: tuple[Entry, ...] = ()
    head: str = GENESIS
    end: int = 0
    size: int = 0
    mtime_ns: int = 0
    problem: Problem | None = None
    torn: bool = False
    unended: bool = False


def place_of(name: str) -> str:
    """The file of a logbook below the store; InputError for a name that is neither a hoist ID nor the shop's.

    This is the only way from a name to a path, so no tag and no import can lead out of the store.
    """
    if name in SHOP_NAMES:
        return f"shop/{name}{SUFFIX}"
    if HOIST_NAME.fullmatch(name):
        return f"logbooks/{name}{SUFFIX}"
    raise InputError(f"no logbook can be called {name[:30]!r}: a hoist's is called by its tag, as SW-0007-X")


def ending_of(book: Logbook) -> Ending:
    """How this logbook ends, for the next record to follow."""
    return Ending(
        name=book.name,
        head=book.head,
        end=book.end,
        torn_bytes=book.size - book.end if book.torn else 0,
        unended=book.unended,
        lines=len(book.entries),
        problem=book.problem,
        last=book.entries[-1] if book.entries else None,
        sealed={entry.uid: entry for entry in reversed(book.entries)},
    )


def check_chain(name: str, data: bytes) -> Logbook:
    """The logbook that these bytes hold: every line decoded, and each naming the hash of the one before."""
    entries: list[Entry] = []
    head, end, problem = GENESIS, 0, None
    for number, line in enumerate(lines_of(data), start=1):
        try:
            entry = decode(line, number)
            if entry.prev != head:
                raise LineError(number, broken_link(number))
        except LineError as fault:
            problem = Problem(place=f"{place_of(name)} line {number}", wrong=fault.wrong, todo=REMEDY)
            break
        entries.append(entry)
        head, end = entry.line, end + len(line)
    tail = data[data.rfind(b"\n") + 1 :]
    last = None if problem is not None else whole_tail(tail, head, len(entries) + 1)
    if last is not None:
        entries.append(last)
        head, end = last.line, end + len(tail)
    return Logbook(
        name=name,
        entries=tuple(entries),
        head=head,
        end=end,
        size=len(data),
        problem=problem,
        torn=bool(tail) and last is None,
        unended=last is not None,
    )


def lines_of(data: bytes) -> Iterator[bytes]:
    """Each whole line with its newline, in order."""
    begin, end = 0, data.find(b"\n") + 1
    while end:
        yield data[begin:end]
        begin, end = end, data.find(b"\n", end) + 1


def whole_tail(tail: bytes, head: str, number: int) -> Entry | None:
    """The record that bytes after the last newline hold, where nothing but the newline is missing."""
    if not tail.endswith(b"}"):
        return None
    with suppress(LineError):
        entry = decode(tail + b"\n", number)
        return entry if entry.prev == head else None
    return None


def broken_link(number: int) -> str:
    """What is said of a line that does not name the hash of the line above."""
    if number == 1:
        return "it does not begin a logbook: the lines before it are missing, or it was changed."
    return "it does not follow the line above: a line was changed, removed, put in or moved here."


def holds_line(entries: Iterable[Entry], head: str) -> bool:
    """Whether the line of this hash is among them; nothing known is always among them."""
    return head in ("", GENESIS) or any(entry.line == head for entry in entries)


def missing_line(name: str, head: str) -> Problem:
    """What is said of a logbook that has lost a line which the register knows."""
    return Problem(
        place=place_of(name),
        wrong=f"it no longer holds the line {head[:10]} that it ended with.",
        todo=OR_REGISTER,
    )


def contents(path: Path) -> tuple[bytes, os.stat_result]:
    """The file's bytes up to the size it had when it was opened, so that both belong together.

    What is no file, a pipe for instance, is refused with an OSError and never waited for.
    """
    fd = os.open(path, os.O_RDONLY | os.O_CLOEXEC | os.O_NOFOLLOW | os.O_NONBLOCK)
    with os.fdopen(fd, "rb") as file:
        held = os.fstat(fd)
        if not stat.S_ISREG(held.st_mode):
            raise OSError(errno.EINVAL, "it is no file")
        return file.read(held.st_size), held


def unreadable(place: str, fault: OSError) -> Problem:
    """What is said of a logbook that can not be opened."""
    wrong = f"it can not be read ({fault.strerror})."
    if isinstance(fault, PermissionError):
        return Problem(place=place, wrong=wrong, todo="Ask the store's owner (fieldlog store share GROUP).")
    return Problem(place=place, wrong=wrong, todo=REMEDY)
