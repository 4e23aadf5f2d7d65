"""What was kept of a due list is used only where nothing that it depends on has changed, on any day."""

import json
import os
from collections.abc import Mapping
from datetime import date
from pathlib import Path

import pytest
from msgspec.structs import replace

from fieldlog.store import ready
from fieldlog.store.files import FileCalls
from fieldlog.store.ready import (
    COLUMNS,
    FILE,
    HEAD_BYTES,
    LAST_DAY,
    SINCE,
    changes,
    due_text,
    head_line,
    listed,
    quick_stamp,
    read_ready,
    rows_of,
    rows_on,
)
from fieldlog.store.ready_rows import ReadyRow, in_memory, keep_ready, packed
from fieldlog.store.scan import State, state_line
from fieldlog.store.trust import RACY_NS
from tests.store.ready_samples import DAY, NEVER_DUE, ROWS, STAMP, STATES, due_row

NONE = read_ready("/nowhere", STAMP)[0]


def look(states: Mapping[str, State]) -> bytes:
    return b"".join(sorted(state_line(name, state) for name, state in states.items()))


def told(root: Path, day: date = DAY) -> list[dict[str, int]]:
    text = b"".join(due_text(day, [text for *_, text in listed(day, read_ready(root, STAMP))]))
    whole = json.loads(text)
    assert whole["day"] == day.isoformat()
    assert text.count(b"\n") == (len(whole["hoists"]) + 2 if whole["hoists"] else 1)
    rows: list[dict[str, int]] = whole["hoists"]
    return rows


@pytest.fixture
def kept(tmp_path: Path) -> Path:
    (tmp_path / FILE).write_bytes(packed(STAMP, ROWS))
    return tmp_path


def test_the_list_is_in_order_and_reads_as_json(kept: Path) -> None:
    assert told(kept) == [{"days": 6, "o": 0}, {"days": 37, "o": 0}, {"c": 3}]
    assert b"".join(due_text(DAY, [])) == b'{"day":"2026-11-25","hoists":[]}\n'


@pytest.mark.parametrize("at_once", [1, 2, 3])
def test_a_list_in_pieces_is_the_same(kept: Path, monkeypatch: pytest.MonkeyPatch, at_once: int) -> None:
    monkeypatch.setattr(ready, "_AT_ONCE", at_once)
    assert told(kept) == [{"days": 6, "o": 0}, {"days": 37, "o": 0}, {"c": 3}]


def test_another_day_is_told_from_the_same_rows(kept: Path) -> None:
    assert told(kept, date(2026, 11, 24))[0] == {"days": 7, "o": 0}
    assert told(kept, date(2026, 12, 2)) == [{"days": -1, "o": 1}, {"days": 30, "o": 1}]
    assert [len(told(kept, day)) for day in (date.min, date.max)] == [3, 2]


def test_an_overdue_hoist_stands_before_one_that_is_due_sooner_and_one_without_a_day_last() -> None:
    late = due_row("SW-0002-Y", (10, 1), "2026-11-20")
    grace = ReadyRow(name="SW-0001-0", state=(20, 2), phases=due_row("", (0, 0), "2026-11-19").phases[:1])
    longer = replace(grace, phases=(replace(grace.phases[0], ends=LAST_DAY),))
    never = ReadyRow(name="SW-0000-1", state=(1, 1), phases=(replace(NEVER_DUE, ends=LAST_DAY),))
    kept = in_memory([late]), in_memory([never, longer])
    later = date(2026, 11, 26)
    assert [name for *_, name, _ in listed(later, kept)] == [b"SW-0002-Y", b"SW-0001-0", b"SW-0000-1"]
    assert [name for *_, name, _ in listed(DAY, kept)] == [b"SW-0001-0", b"SW-0002-Y", b"SW-0000-1"]


def test_a_later_row_stands_for_the_hoist(kept: Path) -> None:
    (kept / SINCE).write_bytes(packed(STAMP, [due_row("SW-0002-Y", (21, 3), "2027-02-01")]))
    assert [row.get("days") for row in told(kept)] == [37, 68, None]
    assert rows_on(DAY, in_memory(ROWS), {b"SW-0001-0", b"SW-0002-Y"}) == rows_on(DAY, in_memory(ROWS[2:]))


def test_another_stamp_or_form_or_a_spoilt_file_is_nothing(
    kept: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert not read_ready(kept, "another")[1].lines
    with monkeypatch.context() as other:
        other.setattr(ready, "FORMAT", 99)
        assert not told(kept)
    data = (kept / FILE).read_bytes()
    spoilt = [data[:cut] for cut in (0, 5, HEAD_BYTES, len(data) // 2, len(data) - 1)]
    other_order = data.replace(b" little ", b" middle ").replace(b" big ", b" gib ")
    for bad in (*spoilt, data + b"x", b"x" + data, other_order):
        (kept / FILE).write_bytes(bad)
        assert not told(kept)
    (kept / FILE).unlink()
    assert not told(kept)


def test_a_phase_of_a_row_that_is_not_there_is_refused() -> None:
    one = 7 * (1).to_bytes(8, "little")
    file = head_line(STAMP, 0, 1, 0, 0) + (0).to_bytes(8, "little") + one
    assert len(file) == HEAD_BYTES + 8 * COLUMNS
    with pytest.raises(ValueError, match="no row"):
        rows_of(file, STAMP, written_ns=0)


def test_a_logbook_that_changed_came_or_went_is_told(kept: Path) -> None:
    rows = read_ready(kept, STAMP)
    assert changes(rows, look(STATES)) == (set(), [])
    for state in ((11, 1), (10, 2)):
        line = state_line("SW-0001-0", state)
        assert changes(rows, look(STATES | {"SW-0001-0": state})) == ({b"SW-0001-0"}, [line[:-1]])
    assert changes(rows, look(STATES | {"SW-0005-S": (1, 1)})) == (set(), [b"SW-0005-S 1 1"])
    left = {"SW-0001-0": (10, 1)}
    assert changes(rows, look(left)) == ({name.encode() for name in STATES} - {b"SW-0001-0"}, [])


def test_of_two_rows_of_a_hoist_the_later_one_is_compared(kept: Path) -> None:
    """Also where the logbook was put back to what the older row was worked out from."""
    (kept / SINCE).write_bytes(packed(STAMP, [due_row("SW-0002-Y", (21, 3), "2027-02-01")]))
    rows = read_ready(kept, STAMP)
    assert changes(rows, look(STATES | {"SW-0002-Y": (21, 3)})) == (set(), [])
    assert changes(rows, look(STATES | {"SW-0002-Y": (22, 4)})) == ({b"SW-0002-Y"}, [b"SW-0002-Y 22 4"])
    assert changes(rows, look(STATES)) == ({b"SW-0002-Y"}, [b"SW-0002-Y 20 2"])
    assert changes(rows, b"")[0] == {name.encode() for name in STATES}


@pytest.mark.parametrize("file", [FILE, SINCE])
@pytest.mark.parametrize("others", [0, 1, 2])
@pytest.mark.parametrize(
    ("apart", "trusted"), [(-RACY_NS, True), (1 - RACY_NS, False), (0, False), (RACY_NS, True)]
)
def test_a_logbook_touched_as_the_list_was_written_is_not_trusted(
    tmp_path: Path, file: str, others: int, apart: int, trusted: bool
) -> None:
    """Wherever it stands among those that are."""
    written_ns = 10**18
    rows = [due_row("SW-0002-Y", (10, written_ns + apart), "2027-01-01")]
    rows += [due_row(name, (10, 1), "2027-01-01") for name in ("SW-0001-0", "SW-0003-W")[:others]]
    (tmp_path / file).write_bytes(packed(STAMP, rows))
    os.utime(tmp_path / file, ns=(written_ns, written_ns))
    kept = read_ready(tmp_path, STAMP)
    _, changed = changes(kept, look({row.name: row.state for row in rows}))
    assert changed == ([] if trusted else [state_line(rows[0].name, rows[0].state)[:-1]])
    assert len(listed(DAY, kept)) == others + trusted


def test_what_is_kept_by_a_session_is_read_by_the_next(tmp_path: Path) -> None:
    keep_ready(FileCalls(), tmp_path, STAMP, read_ready(tmp_path, STAMP), fresh=ROWS, stale=set())
    assert changes(read_ready(tmp_path, STAMP), look(STATES)) == (set(), [])


def test_the_stamp_follows_the_shop_s_own_rules(tmp_path: Path) -> None:
    first = quick_stamp(tmp_path)
    assert quick_stamp(tmp_path) == first
    (tmp_path / "rulebook").mkdir()
    (tmp_path / "rulebook" / "general.toml").write_text("x = 1\n")
    second = quick_stamp(tmp_path)
    os.utime(tmp_path / "rulebook" / "general.toml", ns=(1, 1))
    assert len({first, second, quick_stamp(tmp_path)}) == 3
