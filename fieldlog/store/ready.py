"""The due list of a day as text, kept so that asking again costs a look at the logbooks and no more.

A cache worked out from register and logbooks; deleting it loses nothing. What reads it here loads no records.
"""

import os
from collections.abc import Sequence
from pathlib import Path
from zlib import crc32

import msgspec

from fieldlog.store.scan import RACY_NS, State

FILE = "due.json"
FORMAT = 1
_LAST_DAY = "9999-12-31"


class ReadyRow(msgspec.Struct, array_like=True, gc=False):
    """One hoist: its logbook's state when the row was worked out, and its place in the list.

    `due_on` is empty where nothing is due; `length` that of its JSON text [bytes], 0 where its logbook gives
    no row.
    """

    name: str
    size: int
    mtime_ns: int
    overdue: bool
    due_on: str
    length: int


class _Head(msgspec.Struct, gc=False):
    """The first line of the file. After it comes the list itself, `length` bytes, just as it is printed."""

    format: int
    day: str
    stamp: str
    length: int
    rows: list[ReadyRow]


class Ready(msgspec.Struct, gc=False):
    """What was kept for a day: rows by hoist in the order of the list, the list, and when written [ns]."""

    rows: dict[str, ReadyRow]
    text: memoryview
    written_ns: int


NOTHING = Ready(rows={}, text=memoryview(b""), written_ns=0)


def read_ready(root: Path, day: str, stamp: str) -> Ready:
    """What is kept for that day and under that stamp of the rules; nothing where it is missing or spoilt."""
    path = root / FILE
    try:
        written_ns = path.stat().st_mtime_ns
        data = path.read_bytes()
        end = data.index(b"\n")
        head = msgspec.json.decode(memoryview(data)[:end], type=_Head)
    except (OSError, ValueError, RecursionError):
        return NOTHING
    text = memoryview(data)[end + 1 :]
    if (head.format, head.day, head.stamp, head.length) != (FORMAT, day, stamp, len(text)):
        return NOTHING
    return Ready(rows={row.name: row for row in head.rows}, text=text, written_ns=written_ns)


def row_texts(ready: Ready, day: str) -> dict[str, bytes]:
    """The JSON text of each hoist out of the list."""
    place, found = len(_opening(day)) + 1, {}
    for row in ready.rows.values():
        if row.length:
            found[row.name] = bytes(ready.text[place : place + row.length])
            place += row.length + len(_BETWEEN)
    return found


def ready_file(
    day: str, stamp: str, rows: dict[str, ReadyRow], texts: dict[str, bytes]
) -> tuple[bytes, bytes]:
    """The file's first line, and the list: JSON with a line a hoist, overdue ones first, then by due day."""
    ordered = sorted(rows.values(), key=lambda row: (not row.overdue, row.due_on or _LAST_DAY, row.name))
    text = due_text(day, [texts[row.name] for row in ordered if row.length])
    head = _Head(format=FORMAT, day=day, stamp=stamp, length=len(text), rows=ordered)
    return msgspec.json.encode(head) + b"\n", text


_BETWEEN = b",\n"


def _opening(day: str) -> bytes:
    return b'{"day":"' + day.encode() + b'","hoists":['


def due_text(day: str, texts: Sequence[bytes]) -> bytes:
    """A due list of these rows in their order."""
    body = (b"\n", _BETWEEN.join(texts), b"\n") if texts else ()
    return b"".join((_opening(day), *body, b"]}\n"))


def outdated(ready: Ready, states: dict[str, State]) -> list[str]:
    """The hoists whose row does not go with their logbook as it stands now, or is missing."""
    found, rows, written_ns = [], ready.rows, ready.written_ns
    for name, (size, mtime_ns) in states.items():
        row = rows.get(name)
        if (
            row is None
            or row.size != size
            or row.mtime_ns != mtime_ns
            or abs(written_ns - mtime_ns) < RACY_NS
        ):
            found.append(name)
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
