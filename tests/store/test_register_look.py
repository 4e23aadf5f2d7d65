"""The line that ended a logbook is found in the register's file as it was written; nothing is made up."""

import json
from pathlib import Path

import pytest

from fieldlog.store.logbooks import Logbooks
from fieldlog.store.register_look import head_in
from tests.store.samples import HOIST, OTHER, seal
from tests.store.stores import register


@pytest.fixture
def path(tmp_path: Path) -> Path:
    logbooks = Logbooks(tmp_path)
    seal(logbooks, 1)
    seal(logbooks, 2, name=OTHER)
    register(tmp_path).refresh()
    return tmp_path / "register.json"


def test_it_is_what_a_reader_of_json_finds(path: Path) -> None:
    told = {each["name"]: each["head"] for each in json.loads(path.read_bytes())["hoists"].values()}
    assert {name: head_in(path, name) for name in (HOIST, OTHER)} == told


def test_a_hoist_that_is_not_in_it_has_none(path: Path) -> None:
    assert head_in(path, "SW-0009-T") == ""


@pytest.mark.parametrize("data", [None, b"", b"{}", b'{"name":"SW-0007-X","size":'])
def test_a_file_that_does_not_read_tells_nothing(path: Path, data: bytes | None) -> None:
    path.unlink() if data is None else path.write_bytes(data)
    assert head_in(path, HOIST) == ""


def test_what_a_person_typed_is_never_taken_for_a_head(tmp_path: Path) -> None:
    logbooks = Logbooks(tmp_path)
    forged = '{"name":"SW-0007-X","size":1,"mtime_ns":1,"head":"' + "a" * 64 + '"'
    seal(logbooks, 1, name=OTHER, reason=forged)
    path = tmp_path / "register.json"
    path.write_text(json.dumps({"hoists": {"1": {"name": OTHER, "row": {"why": forged}}}}))
    assert head_in(path, HOIST) == ""
