"""Leaving when a signal asks for it, even where the terminal takes nothing any more.

Textual's screens go out from the event loop. Where nobody reads the other end of the terminal, that waits and
with it all that the loop would do, signals too. So they come in here and a thread sees to the end.
"""

import os
import signal
import sys
import time
from collections.abc import Callable, Sequence
from contextlib import suppress
from queue import Empty, SimpleQueue
from threading import Thread
from types import FrameType
from typing import Any

from fieldlog.tui.hung_up import forget_unread, put_right, terminal_gone, terminal_takes

SIGNAL_EXIT = 128
ASKING = (signal.SIGTERM, signal.SIGHUP)
LOOK_FOR_LINE_S = 1.0
GRACE_S = 1.5
"""What the loop has for an orderly end before the terminal is looked at, and after its unread is gone."""
LONGEST_S = 10.0
"""What it has where the terminal takes all, for something that must not stand half."""
KEEP_S = 1.0
END = 0


def keep_in_hand(screens: Sequence[object]) -> None:
    """Keep what is typed on the page nearest to the front that has anything to keep."""
    for screen in reversed(screens):
        keep = getattr(screen, "keep_last", None)
        if keep is not None:
            keep()
            return


class Leaving:
    """Watches from `begin` to `end`. `ask` asks the app to end, from any thread; `keep` keeps what is typed.

    `attributes` gives the modes of the terminal as they were before the app.
    """

    def __init__(
        self,
        ask: Callable[[int], object],
        *,
        keep: Callable[[], None],
        attributes: Callable[[], list[Any] | None],
    ) -> None:
        self._ask = ask
        self._keep = keep
        self._attributes = attributes
        self._before: dict[signal.Signals, Any] = {}
        self._came: SimpleQueue[int] = SimpleQueue()  # may be filled from a handler within a handler
        self._leaves = False

    def begin(self) -> None:
        """Take the signals, and look for a line that breaks without one. For the main thread."""
        self._before = {number: signal.signal(number, self._take) for number in ASKING}
        Thread(target=self._watch, name="leaving", daemon=True).start()

    def end(self) -> None:
        """The app ends: unless a signal asked for it, nobody needs to see to that."""
        if self._leaves:
            return
        for number, handler in self._before.items():
            signal.signal(number, handler)
        self._came.put(END)

    def _take(self, number: int, _frame: FrameType | None) -> None:
        self._leaves = True
        self._came.put(number)

    def _watch(self) -> None:
        number = self._next()
        if number != END:
            self._see_out(number)

    def _next(self) -> int:
        """The signal that came. A line that is gone counts as one: the app would read from it for ever."""
        while True:
            try:
                return self._came.get(timeout=LOOK_FOR_LINE_S)
            except Empty:
                if terminal_gone():
                    self._leaves = True
                    return signal.SIGHUP

    def _see_out(self, number: int) -> None:
        """Ask for an orderly end, and make an end where none comes; it ends this thread too."""
        asked = time.monotonic()
        with suppress(RuntimeError):  # the loop is closed already
            self._ask(number)
        time.sleep(GRACE_S)
        screen = sys.__stderr__.fileno() if sys.__stderr__ is not None else 2
        if not terminal_takes(screen):
            forget_unread(screen)
            time.sleep(GRACE_S)
        while terminal_takes(screen) and time.monotonic() - asked < LONGEST_S:
            time.sleep(0.1)
        keeping = Thread(target=self._keep, daemon=True)
        keeping.start()
        keeping.join(KEEP_S)  # a disk that does not answer must not hold the end up
        with suppress(Exception):
            put_right(screen, self._attributes())
        os._exit(SIGNAL_EXIT + number)
