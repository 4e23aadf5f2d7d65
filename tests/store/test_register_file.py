"""The register's file is a TinyDB that nothing can spoil for long: it is written whole or worked out anew."""

import json
import zlib
from pathlib import Path
from typing import Any

import pytest
from tinydb import TinyDB, where
from tinydb.storages import JSONStorage

from fieldlog.domain.records import Site
from fieldlog.errors import StoreError
from fieldlog.store.logbooks import Logbooks
from fieldlog.store.register import AtomicStorage, Register
from tests.store.faults import WatchedCalls
from tests.store.samples import HOIST, OTHER, seal
from tests.store.writing_session import row_of


@pytest.fixture
def calls() -> WatchedCalls:
    return WatchedCalls()


@pytest.fixture
def logbooks(tmp_path: Path, calls: WatchedCalls) -> Logbooks:
    found = Logbooks(tmp_path, files=calls)
    seal(found, 1)
    seal(found, 2)
    seal(found, 3, name=OTHER)
    return found


def register(logbooks: Logbooks) -> Register:
    return Register(logbooks.root / "register.json", logbooks, stamp="rules 1", row_of=row_of)


def _change(name: str, value: Any) -> Any:
    def change(tables: dict[str, Any]) -> None:
        for document in tables["hoists"].values():
            document[name] = value

    return change


SPOILT: dict[str, Any] = {
    "empty": b"",
    "half": b'{"meta":{"1":{',
    "no JSON": b"\x00\xff",
    "a list": b"[]",
    "too deep": b'{"meta":' + b"[" * 100_000,
    "no documents": b'{"meta":{"1":[]},"hoists":{}}',
    "another format": lambda tables: tables["meta"]["1"].update(format=0),
    "no meta": lambda tables: tables["meta"].clear(),
    "no hoists": lambda tables: tables.pop("hoists"),
    "no size": _change("size", "large"),
    "no row": _change("row", None),
    "no name": _change("name", 7),
}


@pytest.mark.parametrize("spoilt", SPOILT.values(), ids=SPOILT)
def test_a_spoilt_register_is_worked_out_anew(logbooks: Logbooks, spoilt: Any) -> None:
    held = register(logbooks)
    held.refresh()
    path = logbooks.root / "register.json"
    good = path.read_bytes()
    if callable(spoilt):
        tables = json.loads(good)
        spoilt(tables)
        path.write_text(json.dumps(tables))
    else:
        path.write_bytes(spoilt)
    anew = register(logbooks)
    assert anew.refresh() == {HOIST, OTHER}
    assert anew.rows() == held.rows()
    assert json.loads(path.read_bytes()) == json.loads(good)


def test_every_spoilt_byte_of_the_register_is_noticed(logbooks: Logbooks) -> None:
    held = register(logbooks)
    held.refresh()
    path = logbooks.root / "register.json"
    good = path.read_bytes()
    for place in range(len(good)):
        for byte in (good[place] ^ 1, 0xFF):
            path.write_bytes(good[:place] + bytes([byte]) + good[place + 1 :])
            found = register(logbooks).rows()
            # in the text around the documents a byte may change without changing any of them
            assert found in ([], held.rows())


def test_a_row_that_does_not_fit_the_shape_is_told_in_a_sentence(logbooks: Logbooks) -> None:
    held = register(logbooks)
    held.refresh()
    with pytest.raises(StoreError, match=r"does not fit Site .*: delete register.json, nothing is lost"):
        held.rows_as(Site)


def test_the_file_is_a_database_that_tinydb_itself_reads(logbooks: Logbooks) -> None:
    # a contract with tinydb 4.9: what our storage writes is what its own storage would have written
    held = register(logbooks)
    held.refresh()
    path = logbooks.root / "register.json"
    with TinyDB(path, access_mode="r", storage=JSONStorage) as database:
        assert database.tables() == {"meta", "hoists"}
        assert database.table("hoists").all() == held.rows()
        assert database.table("hoists").get(where("name") == OTHER) == held.row(OTHER)
        (meta,) = database.table("meta").all()
    text = path.read_bytes()
    hoists = text[text.index(b'"hoists":') + len(b'"hoists":') : -1]
    # source: the CRC-32 of ISO 3309 and RFC 1952, as zlib has it
    assert meta == {"format": 1, "stamp": "rules 1", "crc32": zlib.crc32(hoists)}


def test_tinydb_can_work_through_the_atomic_storage(tmp_path: Path, calls: WatchedCalls) -> None:
    with TinyDB(tmp_path / "a.json", calls, storage=AtomicStorage) as database:
        assert database.all() == []
        database.insert_multiple([{"n": 1}, {"n": 2}])
        database.remove(doc_ids=[1])
    with TinyDB(tmp_path / "a.json", calls, storage=AtomicStorage) as database:
        assert database.all() == [{"n": 2}]
    assert [path.name for path in tmp_path.iterdir()] == ["a.json"]


def test_a_killed_writer_can_not_spoil_the_register(logbooks: Logbooks, calls: WatchedCalls) -> None:
    register(logbooks).refresh()
    before = (logbooks.root / "register.json").read_bytes()
    seal(logbooks, 4)
    calls.fail("write", ".tmp", KeyboardInterrupt(), taking=10)
    calls.fail("write", ".tmp", KeyboardInterrupt())
    with pytest.raises(KeyboardInterrupt):
        register(logbooks).refresh()
    assert (logbooks.root / "register.json").read_bytes() == before
    assert register(logbooks).refresh() == {HOIST}


def test_where_none_was_ever_written_nothing_is_worked_out_twice(
    logbooks: Logbooks, calls: WatchedCalls, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A store that can only be read."""
    monkeypatch.setattr(AtomicStorage, "write", lambda *_given: (_ for _ in ()).throw(OSError()))
    cache = register(logbooks)
    assert cache.refresh() == {HOIST, OTHER}
    assert cache.refresh() == set()
