"""The working day over a real SSH line, and what happens when that line is cut in mid-inspection.

OpenSSH's own client and server; the server is the test's own and runs as whoever runs the test. A cut line
reaches the program as SIGHUP, because its terminal is closed (POSIX.1-2017, General Terminal Interface,
11.1.10, Modem Disconnect).
"""

import os
import signal
import time
from collections.abc import Iterator
from pathlib import Path

import pytest

from fieldlog.domain.records import AnswerKind
from fieldlog.operations.drafting import kept_drafts, read_inspection
from fieldlog.operations.shop import open_shop
from tests.tui import day
from tests.tui.builder import ADA, last_inspection, ready_shop, with_hoist
from tests.tui.server import MISSING, Server
from tests.tui.terminal import CTRL_Q, DOWN, F3, Terminal

pytestmark = pytest.mark.skipif(
    bool(MISSING), reason=f"no {' and no '.join(MISSING)} here: .ci/run installs openssh-server and -client"
)
GONE_S = 10
ANSWERS = [AnswerKind.OK, AnswerKind.NOT_SEEN, AnswerKind.NOT_APPLICABLE]


@pytest.fixture(scope="module")
def server(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Server]:
    running = Server(tmp_path_factory.mktemp("ssh") / "server")
    yield running
    running.stop()


def test_the_whole_day_over_ssh(server: Server, tmp_path: Path) -> None:
    """The person of the first start is known by login at the next one."""
    store = tmp_path / "store"
    window = server.login(tmp_path, "--store", str(store))
    page = day.work_a_day(window, tmp_path)
    assert page.split()[0] == day.TAG
    window.type(CTRL_Q)
    assert window.ended() == 0, "the exit code of fieldlog comes through ssh"
    sealed = last_inspection(open_shop(store), day.TAG)
    assert [reading.typed for reading in sealed.readings] == day.READINGS
    assert {answer.answer for answer in sealed.answers} == {AnswerKind.OK}
    window = server.login(tmp_path, "--store", str(store))
    window.until("due list", day.TAG, ADA)
    window.type(CTRL_Q)
    assert window.ended() == 0


def _answer_in_part(window: Terminal) -> None:
    """Three answers, a note, a figure and the beginning of another."""
    window.until("due list", day.TAG)
    window.type("\ri")
    window.until("which inspection?")
    window.type(f"{DOWN}{DOWN}\r")
    window.until("0 of 23 answered")
    window.type("osthums a little\rn")
    window.until("3 of 23 answered", "hums a little")
    window.type(f"m{F3 * 4}\r\r\r165,4\r166.")
    window.until("caliper-0.05", "165,4", "166.")


def _wait_until_it_left(store: Path) -> None:
    """Nobody runs on this store any more: the end of the line ended the program."""
    deadline = time.monotonic() + GONE_S
    while any(str(store).encode() in words for words in _commands()):
        assert time.monotonic() < deadline, "the program outlived its terminal"
        time.sleep(0.02)


def _commands() -> Iterator[bytes]:
    for folder in Path("/proc").glob("[0-9]*"):
        try:
            yield (folder / "cmdline").read_bytes()
        except OSError:
            continue


@pytest.mark.parametrize("end", ["client", "server"])
def test_a_line_cut_in_mid_inspection_loses_no_answer(end: str, server: Server, tmp_path: Path) -> None:
    shop = ready_shop(tmp_path / "store")
    with_hoist(shop)
    arguments = ("--store", str(shop.root), "--as", ADA)
    window = server.login(tmp_path, *arguments)
    _answer_in_part(window)
    killed = [window.child.pid] if end == "client" else server.sessions()
    assert killed
    for pid in killed:
        os.kill(pid, signal.SIGKILL)
    assert window.ended() == (-signal.SIGKILL if end == "client" else 255), "ssh(1): 255 if an error occurred"
    _wait_until_it_left(shop.root)
    window = server.login(tmp_path, *arguments)
    window.until("1 left open from earlier work")
    window.type("d")
    window.until("frequent inspection", ADA)
    window.type("\r")
    window.until("4 of 23 answered", "hums a little")
    window.type("m")
    window.until("caliper-0.05", "165,4", "166.", "+ keep")
    window.type(CTRL_Q)
    assert window.ended() == 0
    (draft,) = kept_drafts(open_shop(shop.root))
    content = read_inspection(draft)
    assert [answer.answer for answer in content.answers.values()] == ANSWERS
    assert [reading.text for reading in content.readings] == ["165,4", "166.", ""]
