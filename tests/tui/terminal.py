"""fieldlog in a real pseudo-terminal: pexpect types, pyte keeps the screen as a terminal would show it."""

import os
import sys
import time
from pathlib import Path

import pexpect  # type: ignore[import-untyped]
import pyte

ROOT = Path(__file__).parents[2]
F2, F3, F10 = "\x1bOQ", "\x1bOR", "\x1b[21~"
ESCAPE, CTRL_Q, CTRL_U, CTRL_Z = "\x1b", "\x11", "\x15", "\x1a"
DOWN = "\x1b[B"
PATIENCE_S = 40


class Terminal:
    """A window of 80x24 in which a program runs."""

    def __init__(self, program: list[str], *, cwd: Path, **environment: str) -> None:
        kept = {name: value for name, value in os.environ.items() if not name.startswith(("LC_", "TEXTUAL"))}
        kept |= {"TERM": "xterm-256color", "LANG": "C.UTF-8", "PYTHONPATH": str(ROOT), "LOGNAME": "ada"}
        self.child = pexpect.spawn(
            program[0],
            program[1:],
            env=kept | environment,
            cwd=str(cwd),
            dimensions=(24, 80),
            timeout=PATIENCE_S,
        )
        self.child.delaybeforesend = None
        self.screen = pyte.Screen(80, 24)
        self._stream = pyte.ByteStream(self.screen)

    def text(self) -> str:
        """The window as plain text."""
        return "\n".join(line.rstrip() for line in self.screen.display)

    def type(self, keys: str) -> None:
        """All of it in one packet."""
        self.child.send(keys)

    def _read(self) -> bool:
        """Take what the program has written; False once it has ended."""
        try:
            self._stream.feed(self.child.read_nonblocking(1 << 16, timeout=0.05))
        except pexpect.TIMEOUT:
            return True
        except pexpect.EOF:
            return False
        return True

    def until(self, *words: str) -> str:
        """Wait until all these words stand in the window; gives back its text."""
        deadline = time.monotonic() + PATIENCE_S
        while not all(word in self.text() for word in words):
            alive = self._read()
            if all(word in self.text() for word in words):
                break
            assert alive, f"it ended without {words}:\n{self.text()}"
            assert time.monotonic() < deadline, f"{words} never came:\n{self.text()}"
        return self.text()

    def rest(self, quiet_s: float = 0.2) -> None:
        """Wait until nothing has come for so long: what stands there can be read."""
        last = time.monotonic()
        while time.monotonic() - last < quiet_s:
            before = self.text()
            assert self._read(), f"it ended:\n{self.text()}"
            if self.text() != before:
                last = time.monotonic()

    def ended(self) -> int:
        """Wait for the end; gives back the exit code, or minus the signal that ended it."""
        while self._read():
            pass
        self.child.wait()
        if self.child.signalstatus is not None:
            return -int(self.child.signalstatus)
        return int(self.child.exitstatus)

    def unreadable(self) -> list[str]:
        """Letters whose colour is that of their ground."""
        cells = [cell for row in self.screen.buffer.values() for cell in row.values()]
        return [cell.data for cell in cells if cell.data.strip() and cell.fg == cell.bg]


def fieldlog(*arguments: str) -> list[str]:
    """The command as somebody types it, with this Python."""
    return [sys.executable, "-m", "fieldlog", *arguments]
