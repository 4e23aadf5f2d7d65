"""The register agrees with the logbooks, folds only what changed, and loses nothing when it is lost."""

import errno
import os
from pathlib import Path
from typing import Any

import pytest
from msgspec import Struct

from fieldlog.errors import NotFoundError
from fieldlog.store.logbooks import Logbooks
from fieldlog.store.reading import Logbook
from fieldlog.store.register import Register
from fieldlog.store.trust import RACY_NS
from tests.store.faults import WatchedCalls
from tests.store.samples import HOIST, OTHER, seal, uid
from tests.store.test_logbooks_sessions import run
from tests.store.writing_session import NAMES, row_of


class Row(Struct, frozen=True, kw_only=True):
    """What writing_session.row_of gives."""

    lines: int
    last: str


@pytest.fixture
def calls() -> WatchedCalls:
    return WatchedCalls()


@pytest.fixture
def logbooks(tmp_path: Path, calls: WatchedCalls) -> Logbooks:
    return Logbooks(tmp_path, files=calls)


class Folds:
    """A row_of that remembers which logbooks it was asked to fold."""

    def __init__(self) -> None:
        self.names: list[str] = []

    def __call__(self, logbook: Logbook) -> dict[str, Any]:
        self.names.append(logbook.name)
        return row_of(logbook)

    def taken(self) -> list[str]:
        names, self.names = sorted(self.names), []
        return names


@pytest.fixture
def folds() -> Folds:
    return Folds()


def register(logbooks: Logbooks, folds: Folds, stamp: str = "rules 1") -> Register:
    return Register(logbooks.root / "register.json", logbooks, stamp=stamp, row_of=folds)


def settle(logbooks: Logbooks, *names: str) -> None:
    """Make the logbooks look as if they had been sealed long ago."""
    for name in names or (HOIST, OTHER):
        path = logbooks.root / "logbooks" / f"{name}.jsonl"
        held = path.stat()
        os.utime(path, ns=(held.st_atime_ns, held.st_mtime_ns - 60 * 10**9))


def two_hoists(logbooks: Logbooks) -> None:
    seal(logbooks, 1)
    seal(logbooks, 2)
    seal(logbooks, 3, name=OTHER)
    settle(logbooks)


def test_a_row_a_hoist_with_what_its_logbook_says(logbooks: Logbooks, folds: Folds) -> None:
    two_hoists(logbooks)
    held = register(logbooks, folds)
    assert held.rows() == []
    assert held.refresh() == {HOIST, OTHER}
    book = logbooks.read(HOIST)
    assert held.row(HOIST) == {
        "name": HOIST,
        "size": book.size,
        "mtime_ns": book.mtime_ns,
        "head": book.head,
        "problem": "",
        "row": {"lines": 2, "last": uid(2)},
    }
    assert [row["name"] for row in held.rows()] == [HOIST, OTHER]
    assert held.row("SW-0009-T") is None


def test_only_what_changed_is_folded_again(logbooks: Logbooks, folds: Folds) -> None:
    two_hoists(logbooks)
    held = register(logbooks, folds)
    held.refresh()
    assert folds.taken() == [HOIST, OTHER]
    assert held.refresh() == set()
    later = register(logbooks, folds)
    assert later.refresh() == set()
    assert later.rows() == held.rows()
    assert folds.taken() == []
    seal(logbooks, 4)
    assert later.refresh() == {HOIST}
    assert folds.taken() == [HOIST]
    row = later.row(HOIST)
    assert row is not None
    assert row["row"] == {"lines": 3, "last": uid(4)}
    assert held.refresh() == {HOIST}  # the other session sees it by its own look


def test_nothing_is_written_where_nothing_changed(
    logbooks: Logbooks, folds: Folds, calls: WatchedCalls
) -> None:
    two_hoists(logbooks)
    register(logbooks, folds).refresh()
    calls.clear()
    register(logbooks, folds).refresh()
    assert calls.seen == []


def test_a_change_is_written_once_and_in_one_step(
    logbooks: Logbooks, folds: Folds, calls: WatchedCalls
) -> None:
    two_hoists(logbooks)
    calls.clear()
    register(logbooks, folds).refresh()
    assert [call for call, _ in calls.seen if call != "open"] == ["write", "replace"]


def test_a_logbook_that_is_gone_has_no_row_and_is_told(logbooks: Logbooks, folds: Folds) -> None:
    two_hoists(logbooks)
    held = register(logbooks, folds)
    held.refresh()
    (logbooks.root / "logbooks" / f"{OTHER}.jsonl").unlink()
    assert held.refresh() == {OTHER}
    assert held.refresh() == set()
    assert register(logbooks, folds).problems() == held.problems()
    assert [f"{OTHER}.jsonl: this logbook is gone" in told for told in held.problems().values()] == [True]
    assert held.rows_as(dict[str, Any]).keys() == {HOIST}


def test_another_stamp_folds_everything_again(logbooks: Logbooks, folds: Folds) -> None:
    two_hoists(logbooks)
    register(logbooks, folds).refresh()
    folds.taken()
    assert register(logbooks, folds, "rules 2").rows() == []
    assert register(logbooks, folds, "rules 2").refresh() == {HOIST, OTHER}
    assert folds.taken() == [HOIST, OTHER]
    register(logbooks, folds, "rules 2").refresh()
    assert folds.taken() == []


def test_what_is_handed_out_is_a_copy(logbooks: Logbooks) -> None:
    two_hoists(logbooks)
    given: dict[str, Any] = {"list": [1, {"deep": 1}], "pair": (1, 2)}
    held = Register(logbooks.root / "register.json", logbooks, stamp="1", row_of=lambda _: given)
    held.refresh()
    given["list"].append("later")
    rows, row = held.rows(), held.row(HOIST)
    assert row is not None
    for copy in (rows[0], row):
        copy["row"]["list"][1]["deep"] = "spoilt"
        copy["row"]["new"] = 1
        copy["name"] = "spoilt"
    assert held.rows()[0]["row"] == {"list": [1, {"deep": 1}], "pair": [1, 2]}
    assert Register(logbooks.root / "register.json", logbooks, stamp="1", row_of=row_of).rows() == held.rows()


def test_rows_come_as_values_of_a_shape(logbooks: Logbooks, folds: Folds) -> None:
    two_hoists(logbooks)
    held = register(logbooks, folds)
    held.refresh()
    for found in (held, register(logbooks, folds)):
        assert found.rows_as(Row) == {HOIST: Row(lines=2, last=uid(2)), OTHER: Row(lines=1, last=uid(3))}
    empty = Register(logbooks.root / "other.json", logbooks, stamp="1", row_of=lambda _: {})
    empty.refresh()
    assert empty.rows_as(Row) == {}
    assert [row["row"] for row in empty.rows()] == [{}, {}]


def test_a_register_that_can_not_be_written_is_right_all_the_same(
    logbooks: Logbooks, folds: Folds, calls: WatchedCalls
) -> None:
    two_hoists(logbooks)
    for call in ("open", "write", "replace"):
        calls.fail(call, "", OSError(errno.EROFS, "read-only"))
        held = register(logbooks, folds)
        assert held.refresh() == {HOIST, OTHER}
        assert len(held.rows()) == 2
        assert not (logbooks.root / "register.json").exists()
        calls.clear()


def test_damage_is_told_of_the_hoist_and_the_others_stand(logbooks: Logbooks, folds: Folds) -> None:
    two_hoists(logbooks)
    path = logbooks.root / "logbooks" / f"{HOIST}.jsonl"
    path.write_bytes(path.read_bytes().replace(b"reason 1", b"reason 9"))
    held = register(logbooks, folds)
    held.refresh()
    rows = {row["name"]: row for row in held.rows()}
    assert rows[HOIST]["problem"].startswith(f"logbooks/{HOIST}.jsonl line 2: ")
    assert rows[HOIST]["row"]["lines"] == 1
    assert rows[OTHER]["problem"] == ""


def test_a_hoist_that_can_not_be_folded_is_told_and_does_not_hide_the_others(logbooks: Logbooks) -> None:
    two_hoists(logbooks)

    def fold(logbook: Logbook) -> dict[str, Any]:
        if logbook.name == HOIST:
            raise NotFoundError("there is no rulebook 'x'")
        return row_of(logbook)

    held = Register(logbooks.root / "register.json", logbooks, stamp="1", row_of=fold)
    assert held.refresh() == {HOIST, OTHER}
    rows = held.rows()
    assert (rows[0]["row"], rows[0]["problem"]) == ({}, f"{HOIST}: there is no rulebook 'x'")
    assert rows[1]["row"]["lines"] == 1


def test_progress_is_told_for_each_logbook_that_is_folded(logbooks: Logbooks, folds: Folds) -> None:
    two_hoists(logbooks)
    told: list[tuple[int, int]] = []
    held = register(logbooks, folds)
    held.refresh(lambda done, of: told.append((done, of)))
    held.refresh(lambda done, of: told.append((done, of)))
    assert told == [(1, 2), (2, 2)]


@pytest.mark.parametrize(
    ("older_ns", "again"),
    [(-RACY_NS, False), (1 - RACY_NS, True), (0, True), (RACY_NS - 1, True), (RACY_NS, False)],
)
def test_a_logbook_touched_within_two_seconds_of_the_register_is_folded_again(
    logbooks: Logbooks, folds: Folds, older_ns: int, again: bool
) -> None:
    seal(logbooks, 1)
    path = logbooks.root / "logbooks" / f"{HOIST}.jsonl"
    register(logbooks, folds).refresh()
    # the register is given the time, so that the logbook's own stays what was noted of it
    noted = path.stat().st_mtime_ns + older_ns
    os.utime(logbooks.root / "register.json", ns=(noted, noted))
    folds.taken()
    held = register(logbooks, folds)
    assert held.refresh() == set()
    assert folds.taken() == ([HOIST] if again else [])


def test_a_logbook_that_was_looked_at_again_settles(logbooks: Logbooks, folds: Folds) -> None:
    seal(logbooks, 1)
    held = register(logbooks, folds)
    held.refresh()
    held.refresh()
    assert folds.taken() == [HOIST, HOIST]
    settle(logbooks, HOIST)  # the clock goes on
    assert held.refresh() == set()
    held.refresh()
    assert folds.taken() == [HOIST]


def test_a_change_of_the_same_size_is_seen_by_its_time(logbooks: Logbooks, folds: Folds) -> None:
    two_hoists(logbooks)
    held = register(logbooks, folds)
    held.refresh()
    path = logbooks.root / "logbooks" / f"{HOIST}.jsonl"
    path.write_bytes(path.read_bytes().replace(b"reason 1", b"reason 9"))
    assert held.refresh() == {HOIST}


def test_sessions_that_refresh_at_once_all_end_with_a_right_register(tmp_path: Path) -> None:
    run("many-registers", tmp_path, 60)
    counted = {path.stem: path.read_bytes().count(b"\n") for path in (tmp_path / "logbooks").glob("*.jsonl")}
    assert set(counted) == set(NAMES)
    held = Register(tmp_path / "register.json", Logbooks(tmp_path), stamp="test", row_of=row_of)
    held.refresh()
    assert {row["name"]: row["row"]["lines"] for row in held.rows()} == counted
    assert not list(tmp_path.glob(".*.tmp"))
