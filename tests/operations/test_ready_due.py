"""The kept due list always says what the list worked out anew would say."""

import json
import os
from datetime import timedelta
from pathlib import Path
from typing import Any

import pytest

from fieldlog.domain.records import InspectionKind
from fieldlog.operations import ready_due
from fieldlog.operations.due import due_list
from fieldlog.operations.ready_due import due_json, rows_json
from fieldlog.operations.shop import Shop, open_shop
from fieldlog.store.codec import plain
from fieldlog.store.ready import FILE
from tests.operations.builder import TODAY, inspect, ready_shop, register


@pytest.fixture
def shop(tmp_path: Path) -> Shop:
    shop = ready_shop(tmp_path)
    for serial in ("1", "2", "3"):
        register(shop, serial=serial)
    return shop


def age(shop: Shop) -> None:
    """Let the logbooks be older than anything that is written now."""
    for path in (shop.root / "logbooks").iterdir():
        held = path.stat()
        os.utime(path, ns=(held.st_atime_ns, held.st_mtime_ns - 10**10))


def anew(shop: Shop, day: Any = TODAY) -> Any:
    return {"day": day.isoformat(), "hoists": plain(due_list(open_shop(shop.root), day))}


def test_it_says_what_the_due_list_says(shop: Shop) -> None:
    assert json.loads(due_json(shop, TODAY)) == anew(shop)
    assert due_json(shop, TODAY) == rows_json(TODAY, due_list(shop, TODAY))


def test_where_nothing_changed_nothing_is_worked_out(shop: Shop, monkeypatch: pytest.MonkeyPatch) -> None:
    age(shop)
    first = due_json(shop, TODAY)
    monkeypatch.setattr(ready_due, "_work_out", lambda *_: pytest.fail("worked out"))
    assert due_json(open_shop(shop.root), TODAY) == first


@pytest.mark.parametrize("few", [0, 50])
def test_only_what_changed_is_worked_out_anew(shop: Shop, monkeypatch: pytest.MonkeyPatch, few: int) -> None:
    monkeypatch.setattr(ready_due, "FEW", few)
    age(shop)
    due_json(shop, TODAY)
    first, *_ = shop.logbooks.hoist_names()
    inspect(shop, first, InspectionKind.FIRST_USE)
    seen: list[list[str]] = []
    work_out = ready_due._work_out

    def watched(shop: Shop, wanted: list[str], progress: Any) -> Any:
        seen.append(wanted)
        return work_out(shop, wanted, progress)

    monkeypatch.setattr(ready_due, "_work_out", watched)
    assert json.loads(due_json(shop, TODAY)) == anew(shop)
    assert seen == [[first]]


def test_hoists_that_came_or_went_are_followed(shop: Shop) -> None:
    due_json(shop, TODAY)
    register(shop, serial="4")
    assert json.loads(due_json(shop, TODAY)) == anew(shop)
    path = next((shop.root / "logbooks").iterdir())
    path.unlink()
    assert len(json.loads(due_json(shop, TODAY))["hoists"]) == 3


def test_a_damaged_logbook_hides_no_other(shop: Shop) -> None:
    path = sorted((shop.root / "logbooks").iterdir())[0]
    path.write_bytes(b"spoilt\n")
    for _ in range(2):
        assert len(json.loads(due_json(open_shop(shop.root), TODAY))["hoists"]) == 2


def test_another_day_is_worked_out_anew(shop: Shop) -> None:
    due_json(shop, TODAY)
    for days in (1, 400, -1):
        day = TODAY + timedelta(days=days)
        assert json.loads(due_json(shop, day)) == anew(shop, day)


def test_a_store_that_can_only_be_read_gives_it_all_the_same(
    shop: Shop, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(*_: object, **__: object) -> None:
        raise OSError(30, "Read-only file system")

    monkeypatch.setattr(ready_due, "replace_file", refuse)
    assert json.loads(due_json(shop, TODAY)) == anew(shop)
    assert not (shop.root / FILE).exists()
