"""A bar is drawn on a terminal only, after half a second, and is gone when the work is done."""

import sys

import pytest

from fieldlog.cli import progress
from fieldlog.cli.progress import bar


@pytest.fixture
def clock(monkeypatch: pytest.MonkeyPatch) -> list[float]:
    now = [100.0]
    monkeypatch.setattr(progress.time, "monotonic", lambda: now[0])
    return now


def test_it_appears_after_half_a_second_and_is_wiped(
    clock: list[float], capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(sys.stderr, "isatty", lambda: True)
    tell = bar("verifying")
    clock[0] += 0.4
    tell(1, 4)
    assert capsys.readouterr().err == ""
    clock[0] += 0.2
    tell(2, 4)
    tell(3, 4)  # too soon after the last
    told = capsys.readouterr().err
    assert told == "\rverifying [" + "#" * 15 + "." * 15 + "] 2 of 4"
    tell(4, 4)
    assert capsys.readouterr().err == "\r\x1b[K"


def test_what_is_done_at_once_draws_nothing(
    clock: list[float], capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(sys.stderr, "isatty", lambda: True)
    tell = bar("verifying")
    tell(1, 2), tell(2, 2)
    assert capsys.readouterr().err == ""


def test_without_a_terminal_nothing_is_drawn(clock: list[float], capsys: pytest.CaptureFixture[str]) -> None:
    tell = bar("verifying")
    clock[0] += 10
    tell(1, 2)
    assert capsys.readouterr().err == ""
