"""What was kept of a due list is used only where nothing that it depends on has changed."""

import json
import os
from pathlib import Path

import pytest

from fieldlog.store.ready import (
    FILE,
    NOTHING,
    ReadyRow,
    due_text,
    outdated,
    quick_stamp,
    read_ready,
    ready_file,
    row_texts,
)
from fieldlog.store.scan import RACY_NS

DAY = "2026-11-25"
ROWS = {
    "SW-0001-0": ReadyRow("SW-0001-0", 10, 1, False, "2027-01-01", 7),
    "SW-0002-Y": ReadyRow("SW-0002-Y", 20, 2, True, "2026-01-01", 8),
    "SW-0003-W": ReadyRow("SW-0003-W", 30, 3, False, "", 0),
    "SW-0004-U": ReadyRow("SW-0004-U", 40, 4, False, "", 7),
}
TEXTS = {"SW-0001-0": b'{"a":1}', "SW-0002-Y": b'{"b":22}', "SW-0004-U": b'{"c":3}'}
STATES = {name: (row.size, row.mtime_ns) for name, row in ROWS.items()}


@pytest.fixture
def kept(tmp_path: Path) -> Path:
    (tmp_path / FILE).write_bytes(b"".join(ready_file(DAY, "stamp", ROWS, TEXTS)))
    return tmp_path


def test_the_list_is_in_order_and_reads_as_json(kept: Path) -> None:
    ready = read_ready(kept, DAY, "stamp")
    assert json.loads(bytes(ready.text)) == {"day": DAY, "hoists": [{"b": 22}, {"a": 1}, {"c": 3}]}
    assert bytes(ready.text).count(b"\n") == 5
    assert (ready.rows, row_texts(ready, DAY)) == (ROWS, TEXTS)
    assert due_text(DAY, []) == b'{"day":"2026-11-25","hoists":[]}\n'


def test_another_day_or_stamp_or_a_spoilt_file_is_nothing(kept: Path, tmp_path: Path) -> None:
    assert read_ready(kept, "2026-11-26", "stamp") == NOTHING
    assert read_ready(kept, DAY, "another") == NOTHING
    data = (kept / FILE).read_bytes()
    for cut in (0, 5, data.index(b"\n"), len(data) - 1):
        (kept / FILE).write_bytes(data[:cut])
        assert read_ready(kept, DAY, "stamp") == NOTHING
    (kept / FILE).unlink()
    assert read_ready(kept, DAY, "stamp") == NOTHING


def test_a_logbook_that_changed_or_came_is_outdated(kept: Path) -> None:
    ready = read_ready(kept, DAY, "stamp")
    assert outdated(ready, STATES) == []
    assert outdated(ready, STATES | {"SW-0001-0": (11, 1)}) == ["SW-0001-0"]
    assert outdated(ready, STATES | {"SW-0001-0": (10, 2)}) == ["SW-0001-0"]
    assert outdated(ready, STATES | {"SW-0005-S": (1, 1)}) == ["SW-0005-S"]


@pytest.mark.parametrize(
    ("apart", "trusted"), [(-RACY_NS, True), (1 - RACY_NS, False), (0, False), (RACY_NS, True)]
)
def test_a_logbook_touched_as_the_list_was_written_is_not_trusted(
    kept: Path, apart: int, trusted: bool
) -> None:
    written_ns = 10**18
    os.utime(kept / FILE, ns=(written_ns, written_ns))
    rows = {"SW-0001-0": ReadyRow("SW-0001-0", 10, written_ns + apart, False, "", 7)}
    ready = read_ready(kept, DAY, "stamp")
    ready.rows = rows
    assert (outdated(ready, {"SW-0001-0": (10, written_ns + apart)}) == []) == trusted


def test_the_stamp_follows_the_shop_s_own_rules(tmp_path: Path) -> None:
    first = quick_stamp(tmp_path)
    assert quick_stamp(tmp_path) == first
    (tmp_path / "rulebook").mkdir()
    (tmp_path / "rulebook" / "general.toml").write_text("x = 1\n")
    second = quick_stamp(tmp_path)
    os.utime(tmp_path / "rulebook" / "general.toml", ns=(1, 1))
    assert len({first, second, quick_stamp(tmp_path)}) == 3
