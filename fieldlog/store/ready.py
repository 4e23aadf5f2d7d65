"""The due list as rows that know no day, kept so that a day's list costs a look at the logbooks and no more.

A cache worked out from register and logbooks; deleting it loses nothing. What reads it here loads no records.
All rows stand in one file; those worked out since stand in a small second one, so that a sealed record does
not make all of them be written again.
"""

import os
from collections.abc import Iterable, Mapping
from datetime import date
from mmap import ACCESS_READ, mmap
from pathlib import Path
from zlib import crc32

import msgspec

from fieldlog.store.files import FileCalls, is_shared, replace_file
from fieldlog.store.scan import RACY_NS, State

FILE = "due.msgpack"
SINCE = "due-since.msgpack"
SINCE_MOST = 500
"""So many rows are written again with each further one; beyond it all rows are."""
FORMAT = 2
LAST_DAY = date.max.toordinal()


class Phase(msgspec.Struct, array_like=True, frozen=True, gc=False):
    """What a hoist's row says from the day `begins` until before the day `ends`, and where that text stands.

    It stands in the row's `text` from `start` to `end`; the days left until `due_on` go in at `cut`, none
    where nothing is due. Days are numbers as date.toordinal gives them.
    """

    begins: int
    ends: int
    overdue: bool
    due_on: int | None
    start: int
    cut: int
    end: int


class ReadyRow(msgspec.Struct, array_like=True, frozen=True, gc=False):
    """One hoist: its logbook's state when the row was worked out, and what the row says in its time.

    Its JSON text on a day is the part of that day's phase and then the first `common` bytes. On a day without
    a phase the hoist is not in the list: it is retired, or its logbook gives no row.
    """

    name: str
    state: State
    text: memoryview
    common: int
    phases: tuple[Phase, ...]


class _File(msgspec.Struct, array_like=True, gc=False):
    format: int
    stamp: str
    rows: list[ReadyRow]


_Rows = dict[str, ReadyRow]


class Ready(msgspec.Struct, gc=False):
    """The rows that were kept, by hoist, seen on `day` (ISO 8601); `since` holds those of the second file."""

    day: str
    stamp: str
    rows: _Rows
    since: _Rows

    @property
    def text(self) -> memoryview:
        """The list of the day, just as it is printed."""
        return memoryview(list_text(self))


def read_ready(root: Path, day: str, stamp: str) -> Ready:
    """What is kept under that stamp of the rules; nothing where it is missing or spoilt.

    A row that may have been worked out just before its logbook changed once more is left out.
    """
    rows, since = _read(root / FILE, stamp), _read(root / SINCE, stamp)
    return Ready(day=day, stamp=stamp, rows=rows | since, since=since)


def _read(path: Path, stamp: str) -> _Rows:
    try:
        written_ns = path.stat().st_mtime_ns
        with path.open("rb") as file:
            # mapped, not copied: the file is only ever replaced as a whole, never changed in place
            data = mmap(file.fileno(), 0, access=ACCESS_READ)
        held = msgspec.msgpack.decode(data, type=_File)
    except (OSError, ValueError, RecursionError):
        return {}
    if (held.format, held.stamp) != (FORMAT, stamp):
        return {}
    return {row.name: row for row in held.rows if abs(written_ns - row.state[1]) >= RACY_NS}


def outdated(ready: Ready, states: Mapping[str, State]) -> list[str]:
    """The hoists whose row does not go with their logbook as it stands now, or is missing."""
    known = {row.name: row.state for row in ready.rows.values()}
    if known == states:
        return []
    return [name for name, state in states.items() if known.get(name) != state]


def with_rows(ready: Ready, fresh: Iterable[ReadyRow], names: Mapping[str, object]) -> Ready:
    """The same with these rows in the place of older ones, and without those that are not in `names`."""
    new = {row.name: row for row in fresh}
    since = {name: row for name, row in (ready.since | new).items() if name in names}
    rows = {name: row for name, row in (ready.rows | new).items() if name in names}
    return Ready(day=ready.day, stamp=ready.stamp, rows=rows, since=since)


def keep_ready(files: FileCalls, root: Path, ready: Ready) -> None:
    """Write the rows for the next time: those worked out since alone, as long as they are few.

    OSError where the system refuses. Each row is checked when it is read, so it does no harm that the two
    files are not replaced in one step, or that another session writes them too.
    """
    if 2 * len(ready.since) > len(ready.rows) or len(ready.since) > SINCE_MOST:
        # in the order of the list, which is then nearly in order on later days
        listed = {row.name: row for *_, row in _in_order(ready.rows.values(), ready.day)}
        _write(files, root / FILE, ready.stamp, listed | ready.rows)
        (root / SINCE).unlink(missing_ok=True)
    else:
        _write(files, root / SINCE, ready.stamp, ready.since)


def _write(files: FileCalls, path: Path, stamp: str, rows: _Rows) -> None:
    data = msgspec.msgpack.encode(_File(format=FORMAT, stamp=stamp, rows=list(rows.values())))
    replace_file(files, path, data, shared=is_shared(path.parent), durable=True)


def _number(day: str) -> int:
    return date.fromisoformat(day).toordinal()


def list_text(ready: Ready) -> bytes:
    """The list of the day that the rows are seen on, as JSON."""
    number, ordered = _number(ready.day), _in_order(ready.rows.values(), ready.day)
    return due_text(ready.day, (_pieces(row, phase, number) for *_, phase, row in ordered))


def due_text(day: str, texts: Iterable[Iterable[bytes | memoryview]]) -> bytes:
    """A due list of these rows in their order, each given in pieces of JSON text."""
    pieces: list[bytes | memoryview] = [b'{"day":"', day.encode(), b'","hoists":[']
    opened = len(pieces)
    for text in texts:
        pieces.append(b"\n" if len(pieces) == opened else b",\n")
        pieces += text
    pieces.append(b"]}\n" if len(pieces) == opened else b"\n]}\n")
    return b"".join(pieces)


def _pieces(row: ReadyRow, phase: Phase, number: int) -> tuple[bytes | memoryview, ...]:
    text = row.text
    days = b"" if phase.due_on is None else b"%d" % (phase.due_on - number)
    return text[phase.start : phase.cut], days, text[phase.cut : phase.end], text[: row.common]


def _in_order(rows: Iterable[ReadyRow], day: str) -> list[tuple[bool, int, str, Phase, ReadyRow]]:
    """The rows that are in the list of the day: overdue ones first, then by due day."""
    found, number = [], _number(day)
    for row in rows:
        for phase in row.phases:
            if phase.begins <= number < phase.ends:
                due_on = LAST_DAY if phase.due_on is None else phase.due_on
                found.append((not phase.overdue, due_on, row.name, phase, row))
    found.sort()
    return found


def quick_stamp(root: Path) -> str:
    """What rows depend on beside logbooks: the shipped rules and formulas, and the shop's own rules.

    By names, sizes and times of their files, which is quicker than reading them.
    """
    package = Path(__file__).parent.parent
    folders = (package / "domain", package / "rulebook", package / "operations", root / "rulebook")
    told: list[str] = []
    waiting = list(folders)
    while waiting:
        folder = waiting.pop()
        try:
            with os.scandir(folder) as items:
                found = sorted(items, key=lambda item: item.name)
        except OSError:
            continue
        for item in found:
            if item.is_dir():
                waiting.append(Path(item.path))
            elif item.name.endswith((".py", ".toml")):
                held = item.stat()
                told.append(f"{item.path} {held.st_size} {held.st_mtime_ns}")
    return f"{crc32(' '.join(told).encode()):08x} {len(told)}"
