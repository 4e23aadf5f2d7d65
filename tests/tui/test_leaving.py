"""A signal ends the process with draft and terminal modes in order, though nobody reads the terminal."""

import os
import pty
import signal
import subprocess
import sys
import termios
import time
from collections.abc import Iterator
from contextlib import suppress
from pathlib import Path
from typing import NamedTuple

import pexpect  # type: ignore[import-untyped]
import pytest

from fieldlog.operations.drafting import kept_drafts, read_inspection
from fieldlog.operations.shop import Shop, open_shop
from fieldlog.tui import leaving
from fieldlog.tui.leaving import keep_in_hand
from tests.tui.builder import ADA, at_the_keys, begun_work, in_terminal, ready_shop, with_hoist
from tests.tui.terminal import PATIENCE_S, ROOT, Terminal, fieldlog
from tests.tui.test_real_terminal import _read_until

STILL_S = 2.0
"""A key that is not kept after this long is not handled any more: the program waits for somebody to read."""


DEAF = """
import sys
from fieldlog.tui import leaving
from fieldlog.tui.app import FieldlogApp

leaving.GRACE_S, leaving.LONGEST_S = 0.1, 0.3
FieldlogApp._leave_on_signal = lambda self, number: None
from fieldlog.cli import main
sys.argv = ["fieldlog", "--store", {store!r}, "--as", {by!r}]
raise SystemExit(main())
"""


class Line(NamedTuple):
    """A terminal of which the test holds both ends, and the program at it."""

    master: int
    slave: int
    modes: list[object]
    program: subprocess.Popen[bytes]


@pytest.fixture
def line(tmp_path: Path) -> Iterator[Line]:
    with_hoist(ready_shop(tmp_path))
    master, slave = pty.openpty()
    termios.tcsetwinsize(slave, (24, 80))
    modes = termios.tcgetattr(slave)
    program = subprocess.Popen(
        fieldlog("--store", str(tmp_path), "--as", ADA),
        env={**os.environ, "PYTHONPATH": str(ROOT), "LOGNAME": "ada", "TERM": "xterm-256color"},
        stdin=slave,
        stdout=slave,
        stderr=slave,
        start_new_session=True,
    )
    yield Line(master, slave, modes, program)
    program.kill()
    program.wait()
    os.close(slave)
    with suppress(OSError):
        os.close(master)


def _note(store: Path) -> str:
    """The note of the first item as it is kept."""
    for draft in kept_drafts(open_shop(store)):
        for held in read_inspection(draft).answers.values():
            return held.note
    return ""


def _type_until_nobody_takes_it(line: Line, store: Path) -> str:
    """Fill the terminal and type a note, until a key is not kept any more; gives the kept note."""
    filling = os.open(os.ttyname(line.slave), os.O_WRONLY | os.O_NOCTTY | os.O_NONBLOCK)
    with suppress(BlockingIOError):
        while os.write(filling, b" " * 256):
            pass
    os.close(filling)
    while True:
        before = _note(store)
        os.write(line.master, b"x")
        since = time.monotonic()
        while (kept := _note(store)) == before:
            if time.monotonic() - since > STILL_S:
                return kept
            time.sleep(0.01)


def _in_mid_inspection(line: Line, store: Path) -> None:
    for keys, seen in ((b"", b"due list"), (b"\ri", b"which inspection?"), (b"\r", b"answered")):
        os.write(line.master, keys)
        _read_until(line.master, lambda came, seen=seen: seen in came)  # type: ignore[misc]
    os.write(line.master, b"tn")
    _read_until(line.master, lambda _came: _note(store) == "n")


@pytest.mark.parametrize("number", [signal.SIGTERM, signal.SIGHUP])
def test_a_terminal_that_nobody_reads_does_not_hold_up_the_end(
    line: Line, number: signal.Signals, tmp_path: Path
) -> None:
    _in_mid_inspection(line, tmp_path)
    kept = _type_until_nobody_takes_it(line, tmp_path)
    assert kept.startswith("nx")
    os.kill(line.program.pid, number)
    assert line.program.wait(timeout=PATIENCE_S) == 128 + number
    assert _note(tmp_path).startswith(kept)
    assert termios.tcgetattr(line.slave) == line.modes


def test_both_signals_at_once_end_it_too(line: Line, tmp_path: Path) -> None:
    """A session that is closed gets them together."""
    _in_mid_inspection(line, tmp_path)
    os.kill(line.program.pid, signal.SIGTERM)
    os.kill(line.program.pid, signal.SIGHUP)
    _drain_until_ended(line)
    assert line.program.returncode in (128 + signal.SIGTERM, 128 + signal.SIGHUP)
    assert _note(tmp_path) == "n"
    assert termios.tcgetattr(line.slave) == line.modes


def test_a_stopped_terminal_is_put_on_the_main_screen_when_it_goes_on(line: Line, tmp_path: Path) -> None:
    """Whoever comes back to it finds a cursor and no rest of fieldlog."""
    _in_mid_inspection(line, tmp_path)
    _type_until_nobody_takes_it(line, tmp_path)
    os.kill(line.program.pid, signal.SIGTERM)
    assert line.program.wait(timeout=PATIENCE_S) == 128 + signal.SIGTERM
    _read_until(line.master, lambda came: b"\x1b[?1049l" in came and b"\x1b[?25h" in came)


def test_an_app_that_does_not_answer_at_all_is_ended_from_outside_its_loop(tmp_path: Path) -> None:
    """As where the loop waits for something else than the terminal; modes and screen are put right."""
    with_hoist(ready_shop(tmp_path))
    window = Terminal([sys.executable, "-c", DEAF.format(store=str(tmp_path), by=ADA)], cwd=tmp_path)
    window.until("due list")
    window.type("\rwbent")
    window.until("bent")
    os.kill(window.child.pid, signal.SIGTERM)
    ended = b""
    with suppress(pexpect.EOF):
        while True:
            ended += window.child.read_nonblocking(1 << 16, timeout=PATIENCE_S)
    assert b"\x1b[?1049l" in ended
    assert window.ended() == 128 + signal.SIGTERM
    assert [draft.fields["reason"] for draft in kept_drafts(open_shop(tmp_path))] == ["bent"]


def test_where_the_loop_never_ends_what_is_typed_is_kept_before_the_terminal_is_put_right(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    seen: list[object] = []
    for name in ("GRACE_S", "LONGEST_S"):
        monkeypatch.setattr(leaving, name, 0)
    monkeypatch.setattr(leaving, "terminal_takes", lambda _: False)
    monkeypatch.setattr(leaving, "forget_unread", lambda _: seen.append("unread forgotten"))
    monkeypatch.setattr(leaving, "put_right", lambda *_: seen.append("put right"))
    monkeypatch.setattr(os, "_exit", seen.append)
    asked = leaving.Leaving(seen.append, keep=lambda: seen.append("kept"), attributes=lambda: None)
    asked._see_out(signal.SIGTERM)
    assert seen == [signal.SIGTERM, "unread forgotten", "kept", "put right", 128 + signal.SIGTERM]


def _drain_until_ended(line: Line) -> None:
    deadline = time.monotonic() + PATIENCE_S
    os.set_blocking(line.master, False)
    while line.program.poll() is None:
        assert time.monotonic() < deadline
        with suppress(BlockingIOError):
            os.read(line.master, 1 << 16)
        time.sleep(0.01)


@pytest.fixture
def shop(tmp_path: Path) -> Shop:
    shop = ready_shop(tmp_path)
    with_hoist(shop)
    return shop


@in_terminal
async def test_a_key_that_no_draft_holds_yet_is_kept_at_the_very_end(shop: Shop) -> None:
    """Each kind of page with a figure in a field of which nobody was told."""
    work = begun_work(shop, "SW-0001-0")
    async with at_the_keys(shop) as hands:
        hands.app.open_inspection(work)
        await hands.settle()
        await hands.type("m")
        reading = hands.app.focused
        with reading.prevent(type(reading).Changed):  # type: ignore[union-attr]
            reading.value = "165.4"  # type: ignore[union-attr]
        keep_in_hand(hands.app.screen_stack)
        assert read_inspection(kept_drafts(shop)[0]).readings[0].text == "165.4"


@in_terminal
async def test_so_is_one_of_a_form_and_an_untouched_form_leaves_nothing(shop: Shop) -> None:
    async with at_the_keys(shop) as hands:
        await hands.type("<enter>w")
        keep_in_hand(hands.app.screen_stack)
        assert kept_drafts(shop) == []
        reason = hands.field("reason")
        with reason.prevent(type(reason).Changed):
            reason.value = "rust"
        keep_in_hand(hands.app.screen_stack)
    assert kept_drafts(shop)[0].fields["reason"] == "rust"
