"""The register: what lists, search and due dates need of every hoist, kept in one TinyDB file.

It is a cache worked out from the logbooks. Deleting it loses nothing, and it is never on the way of a save.
"""

from collections.abc import Callable
from contextlib import suppress
from pathlib import Path
from typing import Any, TypeVar
from zlib import crc32

import msgspec
from msgspec.structs import replace
from tinydb import TinyDB
from tinydb.storages import Storage

from fieldlog.errors import FieldlogError, StoreError
from fieldlog.store.cores import spread, uncollected
from fieldlog.store.files import FileCalls, is_shared, replace_file
from fieldlog.store.logbooks import Logbooks
from fieldlog.store.reading import Logbook, holds_line, missing_line
from fieldlog.store.register_look import head_in
from fieldlog.store.trust import is_racy

FORMAT = 1
NO_ROW, NO_SIZE = b"{}", -1
_GONE = (
    "logbooks/{name}.jsonl: this logbook is gone. Look for it in a backup;"
    " where it is right so, delete register.json."
)
_UNREADABLE = (ValueError, RecursionError, OSError)
_Shape = TypeVar("_Shape")


class _Document(msgspec.Struct, gc=False):
    """One hoist: the logbook's size [bytes], mtime [ns] and head when it was folded, and what that gave.

    `row` stays JSON text until it is asked for: 20,000 rows load in a moment, and each reader gets a copy.
    """

    name: str
    size: int
    mtime_ns: int
    head: str
    problem: str
    row: msgspec.Raw


class Meta(msgspec.Struct):
    """`crc32` is that of the JSON text of the hoists: the file is not synced, and a power cut may mix it."""

    format: int
    stamp: str
    crc32: int


class _Tables(msgspec.Struct):
    """The two tables of the database; in each the documents stand under their number."""

    meta: dict[str, Meta]
    hoists: msgspec.Raw


class AtomicStorage(Storage):
    """One JSON file that is replaced as a whole, so that a crash or a second writer can not spoil it."""

    def __init__(self, path: Path, files: FileCalls) -> None:
        self.written_ns = 0
        self._path = path
        self._files = files

    def read(self) -> dict[str, dict[str, Any]] | None:
        """The tables of the file, or None where there is no file."""
        with suppress(FileNotFoundError):
            return msgspec.json.decode(self._path.read_bytes(), type=dict[str, dict[str, Any]])
        return None

    def read_typed(self) -> _Tables:
        """The tables with the hoists still as text; ValueError or OSError where they can not be had."""
        written_ns = self._path.stat().st_mtime_ns
        tables = msgspec.json.decode(self._path.read_bytes(), type=_Tables)
        self.written_ns = written_ns
        return tables

    def write(self, data: Any) -> None:
        """Put the tables in the place of the file. Not synced: after a power cut it is worked out anew."""
        text = msgspec.json.encode(data)
        shared = is_shared(self._path.parent)
        self.written_ns = replace_file(self._files, self._path, text, shared=shared, durable=False)


class Register:
    """The rows of all hoists. `row_of` folds a logbook into plain values and must bear an empty one.

    `stamp` names all else that rows depend on (rules, version of the fold): another one rebuilds them all.
    """

    def __init__(
        self, path: Path, logbooks: Logbooks, *, stamp: str, row_of: Callable[[Logbook], dict[str, Any]]
    ) -> None:
        self._logbooks = logbooks
        self.stamp = stamp
        self._row_of = row_of
        self._path = path
        self._storage = AtomicStorage(path, logbooks.files)
        self._database = TinyDB(storage=lambda: self._storage)
        self._documents: dict[str, _Document] | None = None

    def refresh(self, progress: Callable[[int, int], None] | None = None) -> set[str]:
        """Fold again the logbooks that changed on disk; the names of hoists whose rows differ now.

        `progress` is told (done, all) after each logbook that is folded, or each few; what it raises ends the
        work and is raised here. The rows folded by then are kept, and the next refresh goes on from there. A
        register that can not be written is no error: the rows are right all the same.
        """
        held = self._load()
        present = self._logbooks.stat_all()
        gone = {
            name: _gone(held[name])
            for name in held.keys() - present.keys()
            if held[name].problem != _GONE.format(name=name)
        }
        due = [name for name, found in present.items() if not self._holds(held.get(name), found)]
        fresh: dict[str, _Document] = {}
        try:
            for found in spread(
                lambda names: [self._fold(name, held.get(name)) for name in names], due, progress
            ):
                fresh |= {document.name: document for document in found}
        finally:
            if fresh or gone:
                # a new dict, so that a thread that lists the rows meanwhile sees the old ones whole
                self._documents = self._load() | gone | fresh
                self._write(self._documents)
        return {name for name, document in fresh.items() if _differ(held.get(name), document)} | gone.keys()

    def known_head(self, name: str) -> str:
        """The hash of the line that ended the hoist's logbook when it was last read, or an empty text."""
        if self._documents is None:
            return head_in(self._path, name)
        document = self._documents.get(name)
        return "" if document is None else document.head

    def shows(self, book: Logbook) -> tuple[str, bytes]:
        """What is told of a whole logbook: what keeps it from being folded, if anything, and its row."""
        try:
            return "", msgspec.json.encode(self._row_of(book))
        except FieldlogError as fault:
            return f"{book.name}: {fault}", NO_ROW

    def problems(self) -> dict[str, str]:
        """By name, what is wrong with logbooks as of the last refresh."""
        return {name: held.problem for name, held in sorted(self._load().items()) if held.problem}

    def rows(self) -> list[dict[str, Any]]:
        """A copy of every document as of the last refresh, in the order of names.

        Each has name, size, mtime_ns, head, problem (empty where there is none) and row.
        """
        held = self._load()
        with uncollected():
            return [_copy(held[name]) for name in sorted(held) if held[name].size != NO_SIZE]

    def row(self, name: str) -> dict[str, Any] | None:
        """A copy of one hoist's document, or None where the register has none."""
        document = self._load().get(name)
        return None if document is None or document.size == NO_SIZE else _copy(document)

    def rows_as(self, shape: type[_Shape]) -> dict[str, _Shape]:
        """What `row_of` gave of each hoist, as a value of the shape, by name; empty rows are left out.

        Several times quicker than `rows` and a conversion. StoreError where a row does not fit the shape.
        """
        held, decoder = self._load(), msgspec.json.Decoder(shape)
        rows = ((name, bytes(held[name].row)) for name in sorted(held))
        try:
            with uncollected():
                return {name: decoder.decode(row) for name, row in rows if row != NO_ROW}
        except ValueError as fault:
            raise StoreError(
                f"a row of the register does not fit {shape.__name__} ({fault}): "
                "delete register.json, nothing is lost"
            ) from None

    def _load(self) -> dict[str, _Document]:
        if self._documents is None:
            self._documents = self._read()
        return self._documents

    def _read(self) -> dict[str, _Document]:
        """The documents of the file, or none where it is missing or unreadable.

        Of those made under another stamp only the line that ended each logbook is still good.
        """
        try:
            tables = self._storage.read_typed()
            [made] = tables.meta.values()
            if not is_whole(made, tables.hoists):
                return {}
            with uncollected():
                hoists = msgspec.json.decode(tables.hoists, type=dict[str, _Document])
        except _UNREADABLE:
            return {}
        documents = hoists.values() if made.stamp == self.stamp else map(_head_alone, hoists.values())
        return {document.name: document for document in documents}

    def _write(self, documents: dict[str, _Document]) -> None:
        numbered = {str(number): document for number, document in enumerate(documents.values(), start=1)}
        hoists = msgspec.json.encode(numbered)
        tables: dict[str, Any] = {"meta": {"1": self._meta(hoists)}, "hoists": msgspec.Raw(hoists)}
        with suppress(OSError):
            self._database.storage.write(tables)

    def _meta(self, hoists: bytes) -> Meta:
        return Meta(format=FORMAT, stamp=self.stamp, crc32=crc32(hoists))

    def _holds(self, document: _Document | None, found: tuple[int, int]) -> bool:
        """Whether a document still goes with its logbook's size and mtime.

        A logbook touched within two seconds of the register's own writing is not taken on trust: where a
        file system counts time coarsely, it may have changed once more within the same tick. Comparing the
        times of the two files needs no clock.
        """
        if document is None or (document.size, document.mtime_ns) != found:
            return False
        return not is_racy(document.mtime_ns, self._storage.written_ns)

    def _fold(self, name: str, before: _Document | None) -> _Document:
        """One hoist's document. What is wrong with one logbook is told of it and does not hide the others.

        The line that ended the logbook `before` must stand in it still: no later line names a last one, so
        that only the register can tell that it was changed or cut off. It tells so until it is deleted.
        """
        book = self._logbooks.read_once(name)
        head = book.head
        if before is not None and not holds_line(book.entries, before.head):
            head = before.head
            book = replace(book, problem=book.problem or missing_line(name, head))
        problem, row = self.shows(book)
        if book.problem is not None:
            problem = str(book.problem)
        return _Document(
            name=name,
            size=book.size,
            mtime_ns=book.mtime_ns,
            head=head,
            problem=problem,
            row=msgspec.Raw(row),
        )


def is_whole(made: Meta, hoists: msgspec.Raw) -> bool:
    """Whether the text of the hoists is the one that was written, in the shape that this version writes."""
    return (made.format, made.crc32) == (FORMAT, crc32(hoists))


def _gone(before: _Document) -> _Document:
    """What is kept of a hoist whose logbook is there no more: no command takes one away."""
    return replace(_head_alone(before), problem=_GONE.format(name=before.name))


def _head_alone(before: _Document) -> _Document:
    """A document that goes with no logbook as it stands, but for the line that ended it."""
    return replace(before, size=NO_SIZE, row=msgspec.Raw(NO_ROW))


def _copy(document: _Document) -> dict[str, Any]:
    return {
        "name": document.name,
        "size": document.size,
        "mtime_ns": document.mtime_ns,
        "head": document.head,
        "problem": document.problem,
        "row": msgspec.json.decode(document.row),
    }


def _differ(old: _Document | None, new: _Document) -> bool:
    if old is None or (old.head, old.problem) != (new.head, new.problem):
        return True
    return bytes(old.row) != bytes(new.row)
