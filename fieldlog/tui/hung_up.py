"""A terminal that is gone or that nobody reads: noticing it, and putting it right without waiting for it."""

import os
import select
import signal
import sys
import termios
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from typing import Any

PLAIN_SCREEN = b"\x1b[?2004l\x1b[?7h\x1b[<u\x1b[?1049l\x1b[?25h\x1b[?1004l"
"""What Textual sends at its end: no bracketed paste, lines wrap, keys as usual, main screen, a cursor."""


def terminal_gone(descriptor: int | None = None) -> bool:
    """Whether whoever held the other end of the terminal has let go of it; reading would spin for ever."""
    if descriptor is None:
        if sys.__stdin__ is None or sys.__stdin__.closed:
            return False
        descriptor = sys.__stdin__.fileno()
    return bool(_told(descriptor, 0) & (select.POLLHUP | select.POLLERR))


def terminal_takes(descriptor: int) -> bool:
    """Whether something that is written to the terminal now would go out without waiting."""
    return _told(descriptor, select.POLLOUT) == select.POLLOUT


def _told(descriptor: int, what: int) -> int:
    asked = select.poll()
    asked.register(descriptor, what)  # hang-ups and errors are told unasked
    return sum(told for _, told in asked.poll(0))


def forget_unread(descriptor: int) -> None:
    """Throw away what nobody has read, so that whoever waits to write goes on."""
    with suppress(termios.error), _also_in_background():
        termios.tcflush(descriptor, termios.TCOFLUSH)
        # Linux does not wake a writer for that, but for output that was stopped and goes on
        termios.tcflow(descriptor, termios.TCOOFF)
        termios.tcflow(descriptor, termios.TCOON)


@contextmanager
def _also_in_background() -> Iterator[None]:
    """Out of the foreground a change of the terminal would stop the process instead."""
    before = signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGTTOU})
    try:
        yield
    finally:
        signal.pthread_sigmask(signal.SIG_SETMASK, before)


def put_right(descriptor: int, attributes: list[Any] | None) -> None:
    """Give the terminal its modes back, and the main screen with a cursor if it takes that at once."""
    with suppress(termios.error, OSError), _also_in_background():
        if attributes is not None:
            termios.tcsetattr(descriptor, termios.TCSANOW, attributes)
        # opened anew: not to wait is said of what was opened, and others may have the old one
        own = os.open(os.ttyname(descriptor), os.O_WRONLY | os.O_NOCTTY | os.O_NONBLOCK | os.O_CLOEXEC)
        try:
            os.write(own, PLAIN_SCREEN)
        finally:
            os.close(own)
