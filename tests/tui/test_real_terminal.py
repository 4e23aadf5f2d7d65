"""The same day through a real pseudo-terminal, and what cut lines, signals and odd terminals do to it."""

import os
import shlex
import signal
import subprocess
from pathlib import Path

import pytest

from fieldlog.domain.records import AnswerKind
from fieldlog.operations.drafting import kept_drafts, read_inspection
from fieldlog.operations.shop import Shop, open_shop
from tests.tui.builder import ADA, inspected, last_inspection, ready_shop, shop_as, with_hoist
from tests.tui.terminal import CTRL_Q, CTRL_U, CTRL_Z, DOWN, ESCAPE, F2, F3, F10, ROOT, Terminal, fieldlog

TAG = "SW-0001-0"
PLATE = "nFenwright\rLC 500\r4711\r2019\relectric\r500\r\r6\r5x15\rT\r"
REST = "\r\r\r\r\r30\r\r\r\r\r\r\rintake hall\rbay 2"
MANY = 80  # more than the checklist has items: a measured one refuses the rest


def _command(store: Path, *arguments: str) -> str:
    environment = {**os.environ, "PYTHONPATH": str(ROOT), "LOGNAME": "ada"}
    words = fieldlog("--store", str(store), *arguments)
    return subprocess.run(words, env=environment, capture_output=True, text=True, check=True).stdout


def _one_inspected(shop: Shop) -> None:
    inspected(shop, with_hoist(shop))


def test_a_whole_day_in_a_real_terminal(tmp_path: Path) -> None:
    """167.475 mm: 1.5 % over 165 mm (DOE-STD-1090-96, chapter 8); 6.52 in = 165.608 mm, 1 in = 25.4 mm."""
    store = tmp_path / "store"
    window = Terminal(fieldlog("--store", str(store)), cwd=tmp_path)
    window.until("first start", "At the keys")
    window.type(f"Saltmarsh Hoist Service\rsw\r\r{CTRL_U}Ada Fenn{F10}")
    window.until("No hoist yet: press n for a new one.")
    window.type(PLATE + REST + F10)
    window.until(f"Registered as {TAG}", "OUT OF SERVICE")
    window.type(ESCAPE)
    window.until("due list", "first use")
    window.type(f"{F2}SW-0001-7\r")
    window.until("check the last character", f"Near: {TAG}")
    window.type("sw00010\r")
    window.until("not in use yet: the inspection before first use is missing")
    window.type("i\r")
    window.until("0 of 67 answered")
    window.type("o" * MANY)
    window.until("This item asks for figures")
    window.type(f"m31{F10}" + "o" * MANY)
    window.until("Load chain", "This item asks for figures")
    window.type(f"m{F3 * 4}\r\r\r165,4\r6.52 in\r180")
    window.until("? QUESTIONED", "looks like 12 links, not 11")
    window.type(f"{CTRL_U}165.9")
    window.until("+ KEEP", "Limit 167.475 mm", "DOE-STD-1090-96", "spread 0.5 mm")
    window.type(f"{F10}m4.9\r5{F10}" + "o" * MANY)
    window.until("67 of 67 answered")
    window.type(F10)
    window.until("Afterwards     + in service", "F10 seals it under the name of Ada Fenn.")
    window.type(F10)
    page = window.until("Sealed. p prints the due sticker.", "36.4 % grown 0.9 of 2.475 mm")
    for kind in ("tag", "due"):
        window.type("p")
        window.until("Sheet or roll")
        window.type(f"{CTRL_U}{kind}{F10}")
        window.until(f"Written to {TAG}-{kind}.pdf.")
        assert (tmp_path / f"{TAG}-{kind}.pdf").read_bytes().startswith(b"%PDF")
    window.type(CTRL_Q)
    assert window.ended() == 0
    assert [reading.typed for reading in last_inspection(open_shop(store), TAG).readings] == [
        "165,4",
        "6.52 in",
        "165.9",
    ]
    _check_the_command_says_the_same(store, page)


def _check_the_command_says_the_same(store: Path, page: str) -> None:
    told = _command(store, "hoist", "show", TAG, "--on", page.split()[1])
    day = page.split()[1]
    assert "state: in service" in told
    assert "wear: 36.4 % of the allowed growth used" in told
    assert "discard at 167.475 mm" in told
    dues = [line.split()[1:3] for line in page.splitlines() if line.startswith("Due ")]
    assert [due[1] for due in dues] == ["frequent", "periodic"]
    for due in dues:
        assert f"due: {' '.join(due)}" in told
    assert f"{day} before first use: 67 items, 3 readings, {ADA}" in told
    assert "logbook: 4 lines" in told
    assert dues[0][0] in _command(store, "due", "--on", day)


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


def test_escape_twice_and_escape_then_a_letter_are_keys_of_their_own(tmp_path: Path) -> None:
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
