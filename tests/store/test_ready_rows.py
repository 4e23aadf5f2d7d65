"""Rows come back from their files as they were written, and only what changed is written again."""

from pathlib import Path

import pytest

from fieldlog.store import ready_rows
from fieldlog.store.files import FileCalls
from fieldlog.store.ready import FILE, SINCE, read_ready
from fieldlog.store.ready_rows import ReadyRow, in_memory, keep_ready, unpacked
from tests.store.ready_samples import ROWS, STAMP, due_row


def kept(root: Path) -> dict[str, ReadyRow]:
    since, every = read_ready(root, STAMP)
    return {row.name: row for rows in (every, since) for row in unpacked(rows)}


def keep(root: Path, *fresh: ReadyRow, stale: set[bytes] = frozenset()) -> None:  # type: ignore[assignment]
    keep_ready(FileCalls(), root, STAMP, read_ready(root, STAMP), fresh=fresh, stale=stale)


@pytest.fixture
def root(tmp_path: Path) -> Path:
    keep(tmp_path, *ROWS)
    return tmp_path


def test_rows_are_read_as_they_were_written(root: Path) -> None:
    assert kept(root) == {row.name: row for row in ROWS}
    assert list(unpacked(in_memory(ROWS))) == sorted(ROWS, key=lambda row: row.name)
    assert list(unpacked(in_memory([]))) == []


def test_a_row_worked_out_later_is_written_by_itself_and_holds(root: Path) -> None:
    before = (root / FILE).read_bytes()
    later, other = due_row("SW-0002-Y", (21, 3), "2027-02-01"), due_row("SW-0001-0", (11, 3), "2027-02-01")
    keep(root, later, stale={b"SW-0002-Y"})
    assert (root / FILE).read_bytes() == before
    assert (root / SINCE).stat().st_size < len(before)
    keep(root, other, stale={b"SW-0001-0"})
    assert {row.name: row for row in unpacked(read_ready(root, STAMP)[0])} == {
        "SW-0001-0": other,
        "SW-0002-Y": later,
    }
    assert kept(root) == {row.name: row for row in ROWS} | {"SW-0001-0": other, "SW-0002-Y": later}


@pytest.mark.parametrize(("most", "apart"), [(0, False), (1, True)])
def test_many_rows_since_become_rows_like_all_others(
    root: Path, monkeypatch: pytest.MonkeyPatch, most: int, apart: bool
) -> None:
    monkeypatch.setattr(ready_rows, "SINCE_MOST", most)
    later = due_row("SW-0002-Y", (21, 3), "2027-02-01")
    keep(root, later, stale={b"SW-0002-Y"})
    assert (root / SINCE).exists() is apart
    assert kept(root) == {row.name: row for row in ROWS} | {"SW-0002-Y": later}


def test_a_hoist_that_went_is_written_no_more(root: Path) -> None:
    later = due_row("SW-0002-Y", (21, 3), "2027-02-01")
    keep(root, later, stale={b"SW-0002-Y"})
    others = [due_row(f"SW-00{number}-X", (1, 1), "2027-02-01") for number in range(10, 20)]
    keep(root, *others, stale={b"SW-0002-Y", b"SW-0003-W"})
    assert set(kept(root)) == {"SW-0001-0", "SW-0004-U", *(row.name for row in others)}
