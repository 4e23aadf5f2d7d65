"""What the register remembers of each logbook: a second witness, read without changing anything."""

from hashlib import sha256
from pathlib import Path

import msgspec
from msgspec import Struct

from fieldlog.store.ending import GENESIS
from fieldlog.store.reading import OR_REGISTER
from fieldlog.store.register import Meta, is_whole
from fieldlog.store.scan import HOIST_NAME
from fieldlog.store.verify_logbook import Anchor


class Known(Struct, frozen=True, kw_only=True):
    """A hoist's logbook as the register last saw it: last line, lines, and the file's size and mtime.

    `shown` is the SHA-256 of what the register shows of it, as `shown_sum` gives it; empty where other rules
    worked that out.
    """

    anchor: Anchor
    lines: int
    state: tuple[int, int]
    shown: bytes = b""


class _Row(msgspec.Struct, gc=False):
    entries: int = 0


class _Document(msgspec.Struct, gc=False):
    name: str
    size: int
    mtime_ns: int
    head: str
    row: msgspec.Raw
    problem: str = ""


class _Tables(msgspec.Struct, gc=False):
    meta: dict[str, Meta]
    hoists: msgspec.Raw


_HOISTS, _ROW = msgspec.json.Decoder(dict[str, _Document]), msgspec.json.Decoder(_Row)


def shown_sum(problem: str, row: bytes) -> bytes:
    """The SHA-256 of what is shown of a hoist: what is wrong with its logbook, and its row."""
    return sha256(b"%b\0%b" % (problem.encode(), row)).digest()


def known_heads(path: Path, stamp: str = "", *, empty: bool = False) -> dict[str, Known]:
    """By hoist; empty where there is no register or it does not read, which is no fault: it is a cache.

    What it shows is told too where it was worked out under this stamp and stands as it was written; with
    `empty` also of hoists without a good line.
    """
    try:
        tables = msgspec.json.decode(path.read_bytes(), type=_Tables)
        comparable = any(
            made.stamp == stamp and is_whole(made, tables.hoists) for made in tables.meta.values()
        )
        return {
            document.name: _known(document, comparable)
            for document in _HOISTS.decode(tables.hoists).values()
            if HOIST_NAME.fullmatch(document.name) and (empty or document.head != GENESIS)
        }
    except (OSError, ValueError, RecursionError):
        return {}


def _known(document: _Document, comparable: bool) -> Known:
    """How many lines there were is not known where the row is of a logbook that had lost some already."""
    lines = 0 if document.problem else _ROW.decode(document.row).entries
    return Known(
        anchor=Anchor(head=document.head, source="the register", lines=lines, todo=OR_REGISTER),
        lines=lines,
        state=(document.size, document.mtime_ns),
        shown=shown_sum(document.problem, bytes(document.row)) if comparable else b"",
    )
