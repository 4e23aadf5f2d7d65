"""Work spread over processes gives the same, in the same order, and its faults reach the caller."""

import gc
import multiprocessing
import threading
from collections.abc import Sequence

import pytest

from fieldlog.errors import InputError
from fieldlog.store import cores
from fieldlog.store.cores import spread, uncollected


def squares(numbers: Sequence[int]) -> list[int]:
    return [number * number for number in numbers]


def all_of(numbers: Sequence[int]) -> list[int]:
    return [found for batch in spread(squares, numbers) for found in batch]


@pytest.mark.parametrize("few", [1, 10**6])
def test_everything_is_done_once_and_in_order(monkeypatch: pytest.MonkeyPatch, few: int) -> None:
    monkeypatch.setattr(cores, "FEW", few)
    for count in (0, 1, 63, 64, 65, 300):
        assert all_of(range(count)) == squares(range(count))


def test_a_fault_in_another_process_is_raised_here(monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse(numbers: Sequence[int]) -> list[int]:
        raise InputError(f"not {numbers[0]}")

    monkeypatch.setattr(cores, "FEW", 1)
    with pytest.raises(InputError, match="not 0"):
        list(spread(refuse, range(200)))


def test_a_process_with_threads_is_not_copied(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(cores, "FEW", 1)
    monkeypatch.setattr(cores, "_in_copies", lambda *_: pytest.fail("copied"))
    leave = threading.Event()
    thread = threading.Thread(target=leave.wait)
    thread.start()
    try:
        assert all_of(range(3)) == [0, 1, 4]
    finally:
        leave.set()
        thread.join()


def test_progress_is_told_to_the_end() -> None:
    seen: list[tuple[int, int]] = []
    list(spread(squares, range(3), lambda done, total: seen.append((done, total))))
    assert seen == [(1, 3), (2, 3), (3, 3)]


def test_the_collector_is_left_as_it_was() -> None:
    assert gc.isenabled()
    with uncollected():
        assert not gc.isenabled()
    with pytest.raises(KeyError), uncollected():
        raise KeyError
    assert gc.isenabled()
    gc.disable()
    try:
        with uncollected():
            pass
        assert not gc.isenabled()
    finally:
        gc.enable()


@pytest.mark.parametrize("few", [1, 10**6])
def test_work_that_is_broken_off_by_its_progress_ends_there(
    monkeypatch: pytest.MonkeyPatch, few: int
) -> None:
    monkeypatch.setattr(cores, "FEW", few)

    def stop(done: int, _total: int) -> None:
        if done >= 128:
            raise StopWorkError

    found: list[int] = []

    def work() -> None:
        for batch in spread(squares, range(10_000), stop):
            found.extend(batch)

    with pytest.raises(StopWorkError):
        work()
    assert found == squares(range(128))  # what was told as done has been handed out
    assert not multiprocessing.active_children()
    assert gc.isenabled()
    assert all_of(range(200)) == squares(range(200))


class StopWorkError(Exception):
    """As a screen raises it when somebody has pressed Escape."""
