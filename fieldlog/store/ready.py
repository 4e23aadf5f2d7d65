"""The due list as rows that know no day, kept so that a day's list costs a look at the logbooks and no more.

A cache worked out from register and logbooks; deleting it loses nothing. All rows stand in one file; those
worked out since stand in a small second one, so that a sealed record does not make all of them be written
again. A row counts only where its logbook still stands as it did when the row was worked out.

Quick answers load this module and no more of the store, so it loads next to nothing itself.
"""

import os
import sys
from array import array
from collections.abc import Container, Iterable, Iterator, Sequence
from datetime import date
from mmap import ACCESS_READ, mmap
from zlib import crc32

from fieldlog.store.trust import RACY_NS, is_racy

FILE, SINCE = "due.rows", "due-since.rows"
FORMAT = 4
HEAD_BYTES = 192
"""Text begins there in every file, so that its places are places in the file."""
LAST_DAY = date.max.toordinal()
_AT_ONCE = 500
COLUMNS = 8


class Rows:
    """The rows of one file, each with its phases: what it says from one day until before another.

    `lines` holds the states of the logbooks, as `scan.state_lines` gives them, a line a row; that of a row
    that is not to be trusted is empty. The columns hold an item a phase: the row it is of; the days from
    which and before which it holds, and on which the hoist is due, as date.toordinal gives them, 0 where
    nothing is due; whether it is overdue; where its text begins, where the days left go in, and where the
    text ends. On a day without a phase the hoist is not in the list: it is retired, or its logbook gives
    no row.
    """

    __slots__ = ("columns", "data", "lines")

    def __init__(self, data: bytes | mmap, lines: bytes, columns: "Sequence[array[int]]") -> None:
        self.data, self.lines, self.columns = data, lines, columns


def head_line(stamp: str, lines: int, phases: int, text: int, newest_ns: int) -> bytes:
    """How a file with so many bytes of lines and text begins; `newest_ns` is the latest mtime in them."""
    words = f"fieldlog due {FORMAT} {sys.byteorder} {stamp} {lines} {phases} {text} {newest_ns}"
    return words.encode().ljust(HEAD_BYTES)


Kept = tuple[Rows, Rows]
"""The rows of the small file, worked out since, and those of the one with all rows."""


def read_ready(root: str | os.PathLike[str], stamp: str) -> Kept:
    """What is kept under that stamp of the rules; no rows where a file is missing or spoilt."""
    return _read(f"{os.fspath(root)}/{SINCE}", stamp), _read(f"{os.fspath(root)}/{FILE}", stamp)


def _read(path: str, stamp: str) -> Rows:
    none = Rows(b"", b"", [array("q")] * COLUMNS)
    try:
        fd = os.open(path, os.O_RDONLY | os.O_CLOEXEC)
    except OSError:
        return none
    try:
        # mapped, not copied: the file is only ever replaced as a whole, never changed in place
        return rows_of(mmap(fd, 0, access=ACCESS_READ), stamp, written_ns=os.fstat(fd).st_mtime_ns)
    except (OSError, ValueError):
        return none
    finally:
        os.close(fd)


def rows_of(data: bytes | mmap, stamp: str, *, written_ns: int) -> Rows:
    """The rows of a file that was written then; ValueError where it is not as `head_line` says."""
    lines, phases, text, newest_ns = [int(word) for word in data[:HEAD_BYTES].split()[-4:]]
    if data[:HEAD_BYTES] != head_line(stamp, lines, phases, text, newest_ns):
        raise ValueError("another form or other rules")
    at, width = HEAD_BYTES + text, 8 * phases
    if len(data) != at + lines + COLUMNS * width:
        raise ValueError("not whole")
    held = data[at : at + lines]
    columns = []
    for begin in range(at + lines, len(data), width or 1):
        columns.append(array("q", data[begin : begin + width]))
    columns = columns or [array("q")] * COLUMNS
    if max(columns[0], default=-1) >= held.count(b"\n"):
        raise ValueError("a phase of no row")
    return Rows(data, _trusted(held, newest_ns, written_ns), columns)


def _trusted(lines: bytes, newest_ns: int, written_ns: int) -> bytes:
    if newest_ns <= written_ns - RACY_NS:
        return lines
    held = lines.splitlines(keepends=True)
    return b"".join(b"\n" if is_racy(int(line.split()[2]), written_ns) else line for line in held)


def changes(kept: Kept, now: bytes) -> tuple[set[bytes], list[bytes]]:
    """The hoists whose rows are out of date, and the lines for which there is no row.

    `now` is a look at the logbooks as `scan.state_lines` gives it. A row of the small file stands for the
    hoist also where the other file has one.
    """
    if not kept[0].lines and kept[1].lines == now:
        return set(), []
    since, every, present = (set(lines.splitlines()) for lines in (kept[0].lines, kept[1].lines, now))
    replaced = _names(since)
    stale = _names(since - present)
    missing = present - every - since
    missing |= {line for line in present & every if _name(line) in stale} if stale else set()
    return stale | (_names(every - present) - replaced), sorted(missing)


def _name(line: bytes) -> bytes:
    return line.partition(b" ")[0]


def _names(lines: Iterable[bytes]) -> set[bytes]:
    return {_name(line) for line in lines}


Listed = tuple[int, int, bytes, bytes]
"""A hoist in the list of a day: -1 where it is overdue, its due day and its ID to sort by, and its JSON."""


def listed(day: date, kept: Kept) -> list[Listed]:
    """The list of the day in its order, as the kept rows have it."""
    since, every = kept
    found = rows_on(day, since)
    found += rows_on(day, every, _names(since.lines.splitlines()))
    found.sort()
    return found


def rows_on(day: date, rows: Rows, passed_over: Container[bytes] = ()) -> list[Listed]:
    """What these rows say on the day, in the order of the file, without those of some hoists."""
    number, names, data = day.toordinal(), [_name(line) for line in rows.lines.splitlines()], rows.data
    found: list[Listed] = []
    for row, begins, ends, due_on, overdue, start, cut, end in zip(*rows.columns, strict=True):
        name = names[row]
        if begins <= number < ends and name and name not in passed_over:
            days = due_on - number
            text = b"%b%d%b" % (data[start:cut], days, data[cut:end]) if due_on else data[start:end]
            found.append((-overdue, due_on or LAST_DAY, name, text))
    return found


def due_text(day: date, texts: Sequence[bytes]) -> Iterator[bytes]:
    """A due list of these rows in their order, each the JSON of one hoist, a piece after the other."""
    yield b'{"day":"%b","hoists":[' % day.isoformat().encode()
    between = b"\n"
    for at in range(0, len(texts), _AT_ONCE):
        yield between + b",\n".join(texts[at : at + _AT_ONCE])
        between = b",\n"
    yield b"\n]}\n" if texts else b"]}\n"


def quick_stamp(root: str | os.PathLike[str]) -> str:
    """What rows depend on beside logbooks: the shipped rules and formulas, and the shop's own rules.

    By names, sizes and times of their files, which is quicker than reading them.
    """
    package = __file__.rpartition("/store/")[0]
    told: list[str] = []
    waiting = [f"{package}/{name}" for name in ("domain", "rulebook", "operations")]
    waiting.append(f"{os.fspath(root)}/rulebook")
    while waiting:
        try:
            with os.scandir(waiting.pop()) as items:
                found = sorted(items, key=lambda item: item.name)
        except OSError:
            continue
        for item in found:
            if item.is_dir():
                waiting.append(item.path)
            elif item.name.endswith((".py", ".toml")):
                held = item.stat()
                told.append(f"{item.path} {held.st_size} {held.st_mtime_ns}")
    return f"{crc32(' '.join(told).encode()):08x}-{len(told)}"
