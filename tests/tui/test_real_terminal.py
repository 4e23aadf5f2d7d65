"""The same day through a real pseudo-terminal, and what cut lines, signals and odd terminals do to it."""

import os
import pty
import select
import shlex
import signal
import subprocess
import time
from collections.abc import Callable
from decimal import Decimal
from pathlib import Path

import pytest

from fieldlog.domain.records import AnswerKind
from fieldlog.operations.drafting import kept_drafts, read_inspection
from fieldlog.operations.shop import Shop, open_shop
from tests.tui import day
from tests.tui.builder import ADA, inspected, last_inspection, ready_shop, shop_as, with_hoist
from tests.tui.terminal import (
    CTRL_Q,
    CTRL_Z,
    DOWN,
    ESCAPE,
    F2,
    F3,
    F10,
    PATIENCE_S,
    ROOT,
    Terminal,
    fieldlog,
)

TAG = day.TAG


def _command(store: Path, *arguments: str) -> str:
    environment = {**os.environ, "PYTHONPATH": str(ROOT), "LOGNAME": "ada"}
    words = fieldlog("--store", str(store), *arguments)
    return subprocess.run(words, env=environment, capture_output=True, text=True, check=True).stdout


def _one_inspected(shop: Shop) -> None:
    inspected(shop, with_hoist(shop))


def test_a_whole_day_in_a_real_terminal(tmp_path: Path) -> None:
    store = tmp_path / "store"
    window = Terminal(fieldlog("--store", str(store)), cwd=tmp_path)
    page = day.work_a_day(window, tmp_path)
    window.type(CTRL_Q)
    assert window.ended() == 0
    assert [reading.typed for reading in last_inspection(open_shop(store), TAG).readings] == day.READINGS
    _check_the_command_says_the_same(store, page)


def _check_the_command_says_the_same(store: Path, page: str) -> None:
    on = page.split()[1]
    told = _command(store, "hoist", "show", TAG, "--on", on)
    assert "state: in service" in told
    assert "wear: 36.4 % of the allowed growth used" in told
    assert "discard at 167.475 mm" in told
    dues = [line.split()[1:3] for line in page.splitlines() if line.startswith("Due ")]
    assert [due[1] for due in dues] == ["frequent", "periodic"]
    for due in dues:
        assert f"due: {' '.join(due)}" in told
    assert f"{on} before first use: 67 items, 3 readings, {ADA}" in told
    assert "logbook: 4 lines" in told
    assert dues[0][0] in _command(store, "due", "--on", on)


def test_after_a_kill_in_mid_inspection_the_draft_is_offered_with_every_answer(tmp_path: Path) -> None:
    shop = ready_shop(tmp_path)
    with_hoist(shop)
    command = fieldlog("--store", str(tmp_path))
    window = Terminal(command, cwd=tmp_path)
    window.until("due list", TAG)
    window.type("\ri")
    window.until("which inspection?")
    window.type(f"{DOWN}{DOWN}\r")
    window.until("0 of 23 answered")
    window.type("osthums a little\rn")
    window.until("3 of 23 answered", "hums a little")
    window.type(f"m{F3 * 4}\r\r\r165,4\r166.")
    window.until("caliper-0.05", "165,4", "166.")
    os.kill(window.child.pid, signal.SIGKILL)
    assert window.ended() == -signal.SIGKILL
    window = Terminal(command, cwd=tmp_path)
    window.until("1 left open from earlier work: d shows and takes up.")
    window.type("d")
    window.until("frequent inspection", ADA)
    window.type("\r")
    window.until("4 of 23 answered", "hums a little")
    window.type("m")
    window.until("caliper-0.05", "165,4", "166.", "+ keep")
    window.type(CTRL_Q)
    assert window.ended() == 0
    (draft,) = kept_drafts(open_shop(tmp_path))
    content = read_inspection(draft)
    assert [answer.answer for answer in content.answers.values()] == [
        AnswerKind.OK,
        AnswerKind.NOT_SEEN,
        AnswerKind.NOT_APPLICABLE,
    ]
    assert [reading.text for reading in content.readings] == ["165,4", "166.", ""]


@pytest.mark.parametrize("number", [signal.SIGHUP, signal.SIGTERM])
def test_a_cut_line_leaves_the_draft_and_an_exit_code_that_says_so(
    number: signal.Signals, tmp_path: Path
) -> None:
    shop = ready_shop(tmp_path)
    window = Terminal(fieldlog("--store", str(tmp_path)), cwd=tmp_path)
    window.until("No hoist yet")
    window.type("nFenwright\rLC 5")
    window.until("Fenwright", "LC 5")
    os.kill(window.child.pid, number)
    assert window.ended() == 128 + number
    (draft,) = kept_drafts(shop)
    assert (draft.fields["maker"], draft.fields["model"]) == ("Fenwright", "LC 5")


def test_after_a_kill_in_a_half_typed_chain_set_the_form_is_listed_and_taken_up_with_every_key(
    tmp_path: Path,
) -> None:
    shop = shop_as(tmp_path, _one_inspected)
    command = fieldlog("--store", str(tmp_path))
    window = Terminal(command, cwd=tmp_path)
    window.until("due list", TAG)
    window.type("\rc")
    window.until("fit a chain set", "Certificate no.")
    window.type("C 77-\r12.")
    window.until("C 77-", "12.", "has no digit after the separator")
    os.kill(window.child.pid, signal.SIGKILL)
    assert window.ended() == -signal.SIGKILL
    (draft,) = kept_drafts(open_shop(tmp_path))
    assert (draft.kind, draft.about, draft.by) == ("chain", TAG, ADA)
    assert (draft.fields["certificate"], draft.fields["length"]) == ("C 77-", "12.")
    window = Terminal(command, cwd=tmp_path)
    window.until("1 left open from earlier work: d shows and takes up.")
    window.type("d")
    window.until(TAG, "fit a chain set", ADA)
    window.type("\r")
    window.until(f"Left open by {ADA} on ", "taken up. F8 throws it away.", "C 77-", "12.")
    window.type("5\r\r\r\r\r\r165.2" + F10)
    window.until("Sealed as line 3")
    window.type(CTRL_Q)
    assert window.ended() == 0
    assert kept_drafts(shop) == []
    fitted = shop.logbooks.read(TAG).entries[-1].body
    assert (fitted.certificate, fitted.length_mm, fitted.baseline_mm) == ("C 77-", 12500, Decimal("165.2"))  # type: ignore[union-attr]


def test_escape_twice_and_escape_then_a_letter_or_enter_are_keys_of_their_own(tmp_path: Path) -> None:
    """A terminal sends Escape as the first byte of longer keys; it must not swallow the next one."""
    shop = ready_shop(tmp_path)
    with_hoist(shop)
    window = Terminal(fieldlog("--store", str(tmp_path)), cwd=tmp_path)
    window.until("due list", TAG)
    window.type("nFen")
    window.until("New hoist", "Fen")
    window.type(f"{ESCAPE}d")
    window.until("Left open: Enter takes it up", "new hoist Fen")
    window.type(f"{ESCAPE}{ESCAPE}")
    window.until("due list")
    window.type("nx")
    window.until("New hoist", "Maker*               x")
    window.type(f"{ESCAPE}{ESCAPE}")
    window.until("due list", "kept as a draft")
    window.type(f"{F2}9")
    window.until("Tag 9")
    window.type(f"{ESCAPE}\r")
    window.until(f"{TAG}   20", "Inspect")
    window.type(CTRL_Q)
    assert window.ended() == 0
    assert {draft.fields["maker"] for draft in kept_drafts(shop)} == {"Fen", "x"}


def test_ctrl_z_goes_to_the_shell_and_fg_comes_back(tmp_path: Path) -> None:
    ready_shop(tmp_path)
    shell = Terminal(["/bin/bash", "--norc", "-i"], cwd=tmp_path, PS1="shell> ")
    shell.until("shell>")
    shell.type(f"{shlex.join(fieldlog('--store', str(tmp_path)))}\n")
    shell.until("No hoist yet", "Ctrl-Q Leave")
    shell.type(CTRL_Z)
    shell.until("Stopped")
    shell.screen.reset()  # pyte knows no second screen, so what stood there must be drawn anew
    shell.type("fg\n")
    shell.until("No hoist yet", "Ctrl-Q Leave")
    shell.type(CTRL_Q)
    shell.until("shell>")
    shell.type("echo code $?; exit\n")
    shell.until("code 0")


@pytest.mark.parametrize(
    "environment",
    [{"TERM": "linux"}, {"NO_COLOR": "1"}, {"LANG": "C", "LC_ALL": "C"}, {"TERM": "screen"}],
    ids=lambda environment: "-".join(environment.values()),
)
def test_other_terminals_show_a_readable_screen(environment: dict[str, str], tmp_path: Path) -> None:
    shop_as(tmp_path, _one_inspected)
    window = Terminal(fieldlog("--store", str(tmp_path)), cwd=tmp_path, **environment)
    window.until("due list", TAG, "F1 Keys")
    assert window.unreadable() == []
    window.type("\r")
    page = window.until("165 mm (computed from 5 x 15)", "[####................] 24.2 %")
    assert "+ in service" in page or "OUT OF SERVICE" in page
    assert window.unreadable() == []
    window.type(CTRL_Q)
    assert window.ended() == 0
    assert "Traceback" not in window.text()


def test_a_line_that_breaks_without_a_signal_ends_the_app_and_keeps_the_draft(tmp_path: Path) -> None:
    """Started without a controlling terminal, as some consoles do, no SIGHUP comes when it is closed."""
    store = tmp_path / "store"
    ready_shop(store)
    master, slave = pty.openpty()
    environment = {**os.environ, "PYTHONPATH": str(ROOT), "LOGNAME": "ada", "TERM": "xterm-256color"}
    program = subprocess.Popen(
        fieldlog("--store", str(store), "--as", ADA),
        env=environment,
        stdin=slave,
        stdout=slave,
        stderr=slave,
        start_new_session=True,
    )
    os.close(slave)
    _read_until(master, lambda seen: b"No hoist yet" in seen)
    os.write(master, b"nFen")
    _read_until(master, lambda _seen: _makers(store) == ["Fen"])
    os.close(master)
    assert program.wait(timeout=PATIENCE_S) == 128 + signal.SIGHUP
    assert _makers(store) == ["Fen"]


def _makers(store: Path) -> list[object]:
    return [draft.fields["maker"] for draft in kept_drafts(open_shop(store))]


def _read_until(master: int, done: Callable[[bytes], bool]) -> None:
    """Take what comes, so that the program is never kept waiting, until it is done."""
    seen, deadline = b"", time.monotonic() + PATIENCE_S
    while not done(seen):
        assert time.monotonic() < deadline, seen
        if select.select([master], [], [], 0.05)[0]:
            seen += os.read(master, 1 << 16)
