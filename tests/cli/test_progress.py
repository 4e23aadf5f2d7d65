"""A bar is drawn on a terminal only, after half a second, and is gone when the work is done.

And every command that asks about all hoists shows one while it reads logbooks that are not in the register.
"""

import os
import shutil
import signal
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from fieldlog.cli import progress
from fieldlog.cli.progress import STOPPED, WIPED, working
from fieldlog.errors import InputError
from fieldlog.operations import figures
from fieldlog.operations.shop import Shop
from fieldlog.store.register import Register
from tests.cli.conftest import Answer, is_one_sentence


def terminal(monkeypatch: pytest.MonkeyPatch) -> list[float]:
    """Standard error is a terminal. Given are the seconds that alarms are asked for; none comes by itself."""
    asked: list[float] = []
    monkeypatch.setattr(sys.stderr, "isatty", lambda: True)
    monkeypatch.setattr(progress.signal, "setitimer", lambda _, after, every=0.0: asked.append(after))
    return asked


def test_work_that_tells_nothing_is_shown_after_half_a_second_by_a_mark_that_wanders(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    alarms = terminal(monkeypatch)
    with working("writing"):
        assert alarms == [0.5]
        signal.raise_signal(signal.SIGALRM)
        first = capsys.readouterr().err
        signal.raise_signal(signal.SIGALRM)
        second = capsys.readouterr().err
    assert first.startswith(f"{WIPED}writing [")
    assert (first.count("#"), second.count("#"), len(first)) == (3, 3, len(second))
    assert second.index("#") == first.index("#") + 1
    assert (capsys.readouterr().err, alarms) == (WIPED, [0.5, 0])


def test_work_that_tells_is_shown_by_what_it_told_last(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    terminal(monkeypatch)
    with working("writing") as tell:
        tell(1, 4), tell(2, 4)
        signal.raise_signal(signal.SIGALRM)
        assert capsys.readouterr().err == f"{WIPED}writing [" + "#" * 15 + "." * 15 + "] 2 of 4"
        tell(4, 4)
        signal.raise_signal(signal.SIGALRM)
        # what comes after the last count is worked at too
        assert capsys.readouterr().err.count("#") == 3


def test_the_bar_ends_with_the_work_however_that_ends(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    alarms = terminal(monkeypatch)
    before = signal.getsignal(signal.SIGALRM)

    def broken_off() -> None:
        with working("writing"):
            signal.raise_signal(signal.SIGALRM)
            raise InputError

    with pytest.raises(InputError):
        broken_off()
    assert (capsys.readouterr().err.endswith(f"]{WIPED}"), alarms[-1]) == (True, 0)
    assert signal.getsignal(signal.SIGALRM) is before


def test_work_without_a_terminal_asks_for_no_alarm(capsys: pytest.CaptureFixture[str]) -> None:
    before = signal.getsignal(signal.SIGALRM)
    with working("writing") as tell:
        assert signal.getsignal(signal.SIGALRM) is before
        tell(1, 2)
    assert capsys.readouterr().err == ""


def test_work_goes_on_where_standard_error_is_closed(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sys, "stderr", None)
    with working("writing") as tell:
        tell(1, 2)


def test_ctrl_c_leaves_one_sentence_where_the_bar_stood(
    cold: Path, run: Callable[..., Answer], monkeypatch: pytest.MonkeyPatch
) -> None:
    def told(*_: object, **__: object) -> None:
        signal.raise_signal(signal.SIGALRM)
        signal.raise_signal(signal.SIGINT)

    monkeypatch.setattr(figures, "spread", told)
    terminal(monkeypatch)
    answer = run("--store", cold, "figures")
    assert (answer.code, answer.out) == (130, "")
    bar_of_it, _, left = answer.err.rpartition(WIPED)
    assert "reading [###" in bar_of_it
    assert (left, is_one_sentence(left)) == (f"{STOPPED}\n", True)


@pytest.fixture
def cold(shop: Shop, tmp_path: Path) -> Path:
    """A copy of the store; every run of a command begins without register."""
    shutil.copytree(shop.root, tmp_path / "store")
    return tmp_path / "store"


COMMANDS = {
    "list": ("hoist", "list"),
    "list as json": ("hoist", "list", "--json"),
    "visit": ("visit", "filter"),
    "visit on paper": ("visit", "filter", "--out", "{tmp}/visit.pdf", "--replace"),
    "doctor": ("doctor",),
    "figures": ("figures",),
    "figures on paper": ("report", "figures", "--out", "{tmp}/f.pdf", "--replace"),
    "due on paper": ("report", "due", "--out", "{tmp}/d.pdf", "--replace"),
    "due of a site": ("report", "due", "--site", "filter", "--out", "{tmp}/d.pdf", "--replace"),
    "labels of a site": ("label", "due", "--site", "filter", "--preview", "--as", "Ada Fenn"),
    "check of a table": ("hoist", "import", "{tmp}/fleet.csv", "--check"),
    "calendar": ("export", "due", "--format", "ics"),
    **{f"export of {what}": ("export", what) for what in ("hoists", "due", "readings", "defects", "logbook")},
}


def slow_down(monkeypatch: pytest.MonkeyPatch) -> None:
    """Half a second passes, and the alarm comes, with every logbook that is read into the register."""
    refresh = Register.refresh

    def slow(register: Register, tell: Callable[[int, int], None] | None = None) -> set[str]:
        def told(done: int, total: int) -> None:
            if tell is not None:
                tell(done, total)
                signal.raise_signal(signal.SIGALRM)

        return refresh(register, told)

    monkeypatch.setattr(Register, "refresh", slow)


@pytest.mark.parametrize("name", COMMANDS)
def test_reading_logbooks_is_shown_on_a_terminal_and_changes_nothing_else(
    run: Callable[..., Answer], cold: Path, name: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    table = run("--store", cold, "export", "hoists").out
    (tmp_path / "fleet.csv").write_text(table, encoding="utf-8")
    command = ("--store", cold, *(word.format(tmp=tmp_path) for word in COMMANDS[name]))
    (cold / "register.json").unlink()
    room = os.statvfs(cold)
    monkeypatch.setattr(os, "statvfs", lambda _path: room)  # doctor tells it, and other tests fill the disk
    piped = run(*command)
    (cold / "register.json").unlink()
    terminal(monkeypatch)
    slow_down(monkeypatch)
    shown = run(*command)
    what = "checking" if name == "doctor" else "reading logbooks"
    assert f"{WIPED}{what} [{'#' * 7}{'.' * 23}] 1 of 4{WIPED}" in shown.err
    assert (shown.code, shown.out) == (piped.code, piped.out)
    assert (piped.code, "[" in piped.err) == (0, False)
