"""What was kept of a due list is used only where nothing that it depends on has changed, on any day."""

import json
import os
from datetime import date
from pathlib import Path

import msgspec
import pytest

from fieldlog.store import ready as kept_rows
from fieldlog.store.files import FileCalls
from fieldlog.store.ready import (
    FILE,
    LAST_DAY,
    SINCE,
    Phase,
    Ready,
    ReadyRow,
    due_text,
    keep_ready,
    list_text,
    outdated,
    quick_stamp,
    read_ready,
    with_rows,
)
from fieldlog.store.scan import RACY_NS

DAY = "2026-11-25"
TURNS = date(2026, 11, 26).toordinal()


def due_row(name: str, state: tuple[int, int], due_on: str) -> ReadyRow:
    """A hoist that is due on a day and overdue from 2026-11-26 on."""
    number = date.fromisoformat(due_on).toordinal()
    text = b',"z":1}{"days":,"o":0{"days":,"o":1'
    phases = (Phase(1, TURNS, False, number, 7, 15, 21), Phase(TURNS, LAST_DAY + 1, True, number, 21, 29, 35))
    return ReadyRow(name, state, memoryview(text), 7, phases)


NEVER_DUE = ReadyRow(
    "SW-0004-U", (40, 4), memoryview(b'}{"c":3'), 1, (Phase(1, TURNS, False, None, 1, 7, 7),)
)
ROWS = {
    row.name: row
    for row in (
        due_row("SW-0001-0", (10, 1), "2027-01-01"),
        due_row("SW-0002-Y", (20, 2), "2026-12-01"),
        ReadyRow("SW-0003-W", (30, 3), memoryview(b""), 0, ()),
        NEVER_DUE,
    )
}
STATES = {name: row.state for name, row in ROWS.items()}


def kept_on(root: Path, day: str = DAY) -> Ready:
    return read_ready(root, day, "stamp")


def listed(ready: Ready) -> list[dict[str, int]]:
    told = json.loads(list_text(ready))
    assert told["day"] == ready.day
    rows: list[dict[str, int]] = told["hoists"]
    return rows


@pytest.fixture
def kept(tmp_path: Path) -> Path:
    keep_ready(FileCalls(), tmp_path, with_rows(kept_on(tmp_path), ROWS.values(), STATES))
    return tmp_path


def test_the_list_is_in_order_and_reads_as_json(kept: Path) -> None:
    ready = kept_on(kept)
    assert listed(ready) == [{"days": 6, "o": 0, "z": 1}, {"days": 37, "o": 0, "z": 1}, {"c": 3}]
    assert list_text(ready).count(b"\n") == 5
    assert ready.text == list_text(ready)
    assert ready.rows == ROWS
    assert due_text(DAY, []) == b'{"day":"2026-11-25","hoists":[]}\n'


def test_another_day_is_told_from_the_same_rows(kept: Path) -> None:
    assert listed(kept_on(kept, "2026-11-24"))[0] == {"days": 7, "o": 0, "z": 1}
    later = kept_on(kept, "2026-12-02")
    assert listed(later) == [{"days": -1, "o": 1, "z": 1}, {"days": 30, "o": 1, "z": 1}]
    for day in ("0001-01-01", "9999-12-31"):
        assert len(listed(kept_on(kept, day))) in (2, 3)


def test_an_overdue_hoist_stands_before_one_that_is_due_sooner(tmp_path: Path) -> None:
    late = due_row("SW-0001-0", (10, 1), "2026-11-20")
    grace = ReadyRow("SW-0002-Y", (20, 2), late.text, 7, (Phase(1, LAST_DAY, False, 5, 7, 15, 21),))
    ready = Ready(day="2026-11-26", stamp="", rows={"a": grace, "b": late}, since={})
    assert [row["o"] for row in listed(ready)] == [1, 0]


def test_another_stamp_or_form_or_a_spoilt_file_is_nothing(
    kept: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert not read_ready(kept, DAY, "another").rows
    with monkeypatch.context() as other:
        other.setattr(kept_rows, "FORMAT", 99)
        assert not kept_on(kept).rows
    data = (kept / FILE).read_bytes()
    for cut in (0, 5, len(data) // 2, len(data) - 1):
        (kept / FILE).write_bytes(data[:cut])
        assert not kept_on(kept).rows
    (kept / FILE).write_bytes(msgspec.msgpack.encode({"format": 1}))
    assert not kept_on(kept).rows
    (kept / FILE).unlink()
    assert not kept_on(kept).rows


def test_a_logbook_that_changed_or_came_is_outdated(kept: Path) -> None:
    ready = kept_on(kept)
    assert outdated(ready, STATES) == []
    assert outdated(ready, STATES | {"SW-0001-0": (11, 1)}) == ["SW-0001-0"]
    assert outdated(ready, STATES | {"SW-0001-0": (10, 2)}) == ["SW-0001-0"]
    assert outdated(ready, STATES | {"SW-0005-S": (1, 1)}) == ["SW-0005-S"]
    assert outdated(ready, {"SW-0001-0": (10, 1)}) == []


def test_a_row_worked_out_later_is_written_by_itself_and_holds(kept: Path) -> None:
    before = (kept / FILE).read_bytes()
    later = due_row("SW-0002-Y", (21, 3), "2027-02-01")
    keep_ready(FileCalls(), kept, with_rows(kept_on(kept), [later], STATES))
    assert (kept / FILE).read_bytes() == before
    assert (kept / SINCE).stat().st_size < len(before)
    assert kept_on(kept).rows == ROWS | {"SW-0002-Y": later}
    other = due_row("SW-0001-0", (11, 3), "2027-02-01")
    keep_ready(FileCalls(), kept, with_rows(kept_on(kept), [other], STATES))
    assert kept_on(kept).since == {"SW-0002-Y": later, "SW-0001-0": other}


@pytest.mark.parametrize(("most", "apart"), [(0, False), (1, True)])
def test_many_rows_since_become_rows_like_all_others(
    kept: Path, monkeypatch: pytest.MonkeyPatch, most: int, apart: bool
) -> None:
    monkeypatch.setattr(kept_rows, "SINCE_MOST", most)
    later = due_row("SW-0002-Y", (21, 3), "2027-02-01")
    keep_ready(FileCalls(), kept, with_rows(kept_on(kept), [later], STATES))
    assert (kept / SINCE).exists() is apart
    assert kept_on(kept).rows == ROWS | {"SW-0002-Y": later}


def test_a_hoist_that_went_is_in_the_list_no_longer(kept: Path) -> None:
    left = {name: state for name, state in STATES.items() if name != "SW-0002-Y"}
    keep_ready(FileCalls(), kept, with_rows(kept_on(kept), [due_row("SW-0002-Y", (21, 3), DAY)], STATES))
    ready = with_rows(kept_on(kept), [], left)
    assert "SW-0002-Y" not in ready.rows
    assert not ready.since
    assert len(listed(ready)) == 2


@pytest.mark.parametrize("file", [FILE, SINCE])
@pytest.mark.parametrize(
    ("apart", "trusted"), [(-RACY_NS, True), (1 - RACY_NS, False), (0, False), (RACY_NS, True)]
)
def test_a_logbook_touched_as_the_list_was_written_is_not_trusted(
    tmp_path: Path, file: str, apart: int, trusted: bool
) -> None:
    written_ns = 10**18
    rows = [due_row("SW-0001-0", (10, written_ns + apart), DAY)]
    (tmp_path / file).write_bytes(msgspec.msgpack.encode([kept_rows.FORMAT, "stamp", rows]))
    os.utime(tmp_path / file, ns=(written_ns, written_ns))
    assert (outdated(kept_on(tmp_path), {"SW-0001-0": (10, written_ns + apart)}) == []) == trusted


def test_the_stamp_follows_the_shop_s_own_rules(tmp_path: Path) -> None:
    first = quick_stamp(tmp_path)
    assert quick_stamp(tmp_path) == first
    (tmp_path / "rulebook").mkdir()
    (tmp_path / "rulebook" / "general.toml").write_text("x = 1\n")
    second = quick_stamp(tmp_path)
    os.utime(tmp_path / "rulebook" / "general.toml", ns=(1, 1))
    assert len({first, second, quick_stamp(tmp_path)}) == 3
