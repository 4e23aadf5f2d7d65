"""A rebuild tells how far it is and can be broken off between two hoists; nothing is left half done."""

import threading
from pathlib import Path

import pytest

from fieldlog.store import cores
from fieldlog.store.logbooks import Logbooks
from fieldlog.store.register import Register
from tests.store.samples import seal
from tests.store.test_register import Folds, settle

HOISTS = tuple(f"SW-{number:04d}-A" for number in range(12))


class StoppedError(Exception):
    """As a screen raises it when somebody has pressed Escape."""


@pytest.fixture
def logbooks(tmp_path: Path) -> Logbooks:
    logbooks = Logbooks(tmp_path)
    for number, name in enumerate(HOISTS):
        seal(logbooks, number, name=name)
    settle(logbooks, *HOISTS)
    return logbooks


def register(logbooks: Logbooks, folds: Folds) -> Register:
    return Register(logbooks.root / "register.json", logbooks, stamp="rules", row_of=folds)


def stopped(held: Register, at: int) -> list[tuple[int, int]]:
    """What a refresh tells until it is broken off, as soon as so many hoists are done."""
    told: list[tuple[int, int]] = []

    def progress(done: int, total: int) -> None:
        told.append((done, total))
        if done >= at:
            raise StoppedError

    with pytest.raises(StoppedError):
        held.refresh(progress)
    return told


def test_progress_is_told_hoist_by_hoist_to_the_last(logbooks: Logbooks) -> None:
    told: list[tuple[int, int]] = []
    register(logbooks, Folds()).refresh(lambda done, total: told.append((done, total)))
    assert told == [(number, 12) for number in range(1, 13)]


@pytest.mark.parametrize("at", [1, 5, 12])
def test_the_next_refresh_goes_on_where_one_was_broken_off(logbooks: Logbooks, at: int) -> None:
    folds = Folds()
    held = register(logbooks, folds)
    assert stopped(held, at)[-1] == (at, 12)
    assert len(held.rows()) == len(folds.taken()) == at
    before = {path: path.read_bytes() for path in logbooks.root.rglob("*.jsonl")}
    other = register(logbooks, folds)  # as another session, or this one started again
    assert len(other.refresh()) == 12 - at
    assert len(folds.taken()) == 12 - at
    assert [row["name"] for row in other.rows()] == sorted(HOISTS)
    held.refresh()
    assert held.rows() == other.rows()
    assert before == {path: path.read_bytes() for path in logbooks.root.rglob("*.jsonl")}
    assert not list(logbooks.root.rglob("*.tmp"))


def test_rows_that_were_right_before_stay_when_a_refresh_is_broken_off(logbooks: Logbooks) -> None:
    held = register(logbooks, Folds())
    held.refresh()
    whole = held.rows()
    for number, name in enumerate(HOISTS):
        seal(logbooks, 100 + number, name=name)
    settle(logbooks, *HOISTS)
    stopped(held, 3)
    rows = held.rows()
    assert len(rows) == 12
    assert sum(new != old for new, old in zip(rows, whole, strict=True)) == 3
    held.refresh()
    assert {row["row"]["lines"] for row in held.rows()} == {2}


def test_a_rebuild_over_several_processes_is_broken_off_as_well(
    logbooks: Logbooks, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(cores, "FEW", 1)
    monkeypatch.setattr(cores, "AT_ONCE", 2)
    held = register(logbooks, Folds())
    told = stopped(held, 4)
    assert told == [(2, 12), (4, 12)]
    assert len(held.rows()) == 4
    held.refresh()
    assert len(held.rows()) == 12


def test_a_rebuild_in_a_thread_is_broken_off_and_records_are_sealed_meanwhile(logbooks: Logbooks) -> None:
    held = register(logbooks, Folds())
    halfway, go_on = threading.Event(), threading.Event()
    raised: list[BaseException] = []

    def progress(done: int, _total: int) -> None:
        if done == 6:
            halfway.set()
            assert go_on.wait(10)
            raise StoppedError

    def work() -> None:
        try:
            held.refresh(progress)
        except StoppedError as stop:
            raised.append(stop)

    thread = threading.Thread(target=work)
    thread.start()
    assert halfway.wait(10)
    entry = seal(logbooks, 200, name=HOISTS[0])
    go_on.set()
    thread.join()
    assert len(raised) == 1
    held.refresh()
    row = held.row(HOISTS[0])
    assert row is not None
    assert row["head"] == entry.line
    assert len(held.rows()) == 12
