"""A program in a pseudo-terminal of 80x24, with a clock at what it writes: when, and how many bytes.

Bytes are timed as they come and drawn later, so that drawing them here costs the program nothing.
"""

import fcntl
import os
import pty
import select
import struct
import termios
from collections.abc import Sequence
from contextlib import suppress
from time import perf_counter

from msgspec import Struct

WIDTH, HEIGHT = 80, 24
PATIENCE_S, KEY_PATIENCE_S = 120.0, 30.0
QUIET_S, LONG_QUIET_S = 0.12, 0.4
"""Silence for so long is the end of an answer; the longer one where a list is worked out."""
MOST_READ = 1 << 16


class Answer(Struct, frozen=True, kw_only=True):
    """What came back for a key: seconds until its last byte, and how many bytes it took."""

    seconds: float
    size: int


def _environment() -> dict[str, str]:
    """As behind a plain SSH line: 256 colours, UTF-8. A Python that keeps what it has compiled."""
    unwanted = ("PYTHONDONTWRITEBYTECODE", "NO_COLOR", "COLORTERM", "LC_ALL", "TMUX")
    kept = {name: text for name, text in os.environ.items() if name not in unwanted}
    return kept | {"TERM": "xterm-256color", "LANG": "C.UTF-8"}


class Window:
    """A program that believes to sit at a terminal."""

    def __init__(self, command: Sequence[str]) -> None:
        import pyte

        self.begun = perf_counter()
        self._pid, self._fd = pty.fork()  # the window is the program's own: closed here, it is hung up there
        if self._pid == 0:
            fcntl.ioctl(0, termios.TIOCSWINSZ, struct.pack("HHHH", HEIGHT, WIDTH, 0, 0))
            os.execvpe(command[0], list(command), _environment())
        self._came, self._drawn = bytearray(), 0
        self._screen = pyte.Screen(WIDTH, HEIGHT)
        self._stream = pyte.ByteStream(self._screen)

    def _read(self, patience_s: float) -> bytes:
        """What comes within this time; nothing where nothing comes or the program has ended."""
        ready, _, _ = select.select([self._fd], [], [], max(patience_s, 0))
        came = b""
        if ready:
            with suppress(OSError):  # Linux says so where the program has closed its end
                came = os.read(self._fd, MOST_READ)
        self._came += came
        return came

    def until(self, words: str) -> float:
        """Seconds from the start until these words have come in one piece."""
        wanted = words.encode()
        while wanted not in self._came:
            left = self.begun + PATIENCE_S - perf_counter()
            if not self._read(left):
                raise SystemExit(f"{words!r} never came; what stood there:\n{self.text()}")
        return perf_counter() - self.begun

    def rest(self, quiet_s: float = QUIET_S) -> None:
        """Wait until nothing has come for so long."""
        while self._read(quiet_s):
            pass

    def press(self, keys: str, quiet_s: float = QUIET_S) -> Answer:
        """Send keys in one packet and take the whole answer; SystemExit where there is none."""
        begin, size = perf_counter(), 0
        os.write(self._fd, keys.encode())
        last, patience = begin, KEY_PATIENCE_S
        while came := self._read(patience):
            last, size, patience = perf_counter(), size + len(came), quiet_s
        if not size:
            raise SystemExit(f"no answer to {keys!r}; what stood there:\n{self.text()}")
        return Answer(seconds=last - begin, size=size)

    def text(self) -> str:
        """The window as it stands."""
        self._stream.feed(bytes(self._came[self._drawn :]))
        self._drawn = len(self._came)
        return "\n".join(line.rstrip() for line in self._screen.display)

    def go(self, keys: str, words: str) -> None:
        """Send keys and wait until these words stand in the window, in capitals or not, and all is quiet."""
        os.write(self._fd, keys.encode())
        deadline = perf_counter() + KEY_PATIENCE_S
        while words.lower() not in self.text().lower():
            if not self._read(deadline - perf_counter()):
                raise SystemExit(f"{keys!r} did not lead to {words!r}; what stood there:\n{self.text()}")
        self.rest(LONG_QUIET_S)

    def close(self) -> None:
        """End the program as Ctrl-Q does, and take what it still says."""
        with suppress(OSError):
            os.write(self._fd, b"\x11")
        while self._read(PATIENCE_S):
            pass
        os.close(self._fd)
        os.waitpid(self._pid, 0)
