"""What the register remembers of each logbook: a second witness, read without changing anything."""

from pathlib import Path

import msgspec
from msgspec import Struct

from fieldlog.store.reading import OR_REGISTER
from fieldlog.store.scan import HOIST_NAME
from fieldlog.store.verify_logbook import Anchor


class Known(Struct, frozen=True, kw_only=True):
    """A hoist's logbook as the register last saw it: last line, lines, and the file's size and mtime."""

    anchor: Anchor
    lines: int
    state: tuple[int, int]


class _Row(msgspec.Struct, gc=False):
    entries: int = 0


class _Document(msgspec.Struct, gc=False):
    name: str
    size: int
    mtime_ns: int
    head: str
    row: _Row
    problem: str = ""


class _Tables(msgspec.Struct, gc=False):
    hoists: dict[str, _Document]


def _lines(document: _Document) -> int:
    """How many lines there were; not known where the row is of a logbook that had lost some already."""
    return 0 if document.problem else document.row.entries


def known_heads(path: Path) -> dict[str, Known]:
    """By hoist; empty where there is no register or it does not read, which is no fault: it is a cache."""
    try:
        tables = msgspec.json.decode(path.read_bytes(), type=_Tables)
    except (OSError, ValueError, RecursionError):
        return {}
    return {
        document.name: Known(
            anchor=Anchor(
                head=document.head, source="the register", lines=_lines(document), todo=OR_REGISTER
            ),
            lines=_lines(document),
            state=(document.size, document.mtime_ns),
        )
        for document in tables.hoists.values()
        if HOIST_NAME.fullmatch(document.name) and set(document.head) != {"0"}
    }
