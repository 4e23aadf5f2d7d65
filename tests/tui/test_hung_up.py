"""A terminal whose other end is gone or not read is noticed without a signal, and put right all the same."""

import os
import pty
import termios
import time
import tty
from collections.abc import Iterator
from contextlib import suppress
from threading import Thread

from fieldlog.tui.hung_up import forget_unread, put_right, terminal_gone, terminal_takes
from tests.tui.terminal import PATIENCE_S


def test_a_line_is_gone_when_its_other_end_is_closed_and_not_before() -> None:
    master, slave = pty.openpty()
    try:
        assert not terminal_gone(slave)
        os.write(master, b"typed ahead")
        assert not terminal_gone(slave)
        os.close(master)
        assert terminal_gone(slave)
    finally:
        os.close(slave)


def test_a_full_terminal_takes_nothing_until_its_unread_is_forgotten_and_a_waiting_writer_goes_on() -> None:
    master, slave = pty.openpty()
    try:
        assert terminal_takes(slave)
        _fill(slave)
        assert not terminal_takes(slave)
        writer = Thread(target=os.write, args=(slave, b"late"), daemon=True)
        writer.start()
        forget_unread(slave)
        writer.join(PATIENCE_S)
        assert not writer.is_alive()
        # the system makes room a moment after it was asked to
        assert any(terminal_takes(slave) for _ in waiting(PATIENCE_S))
    finally:
        os.close(master)
        os.close(slave)


def waiting(seconds: float) -> Iterator[None]:
    until = time.monotonic() + seconds
    while time.monotonic() < until:
        yield
        time.sleep(0.01)


def test_a_terminal_that_is_gone_takes_nothing() -> None:
    master, slave = pty.openpty()
    os.close(master)
    try:
        assert not terminal_takes(slave)
    finally:
        os.close(slave)


def test_modes_come_back_though_the_terminal_takes_nothing() -> None:
    master, slave = pty.openpty()
    try:
        before = termios.tcgetattr(slave)
        tty.setraw(slave)
        _fill(slave)
        put_right(slave, before)
        assert termios.tcgetattr(slave) == before
    finally:
        os.close(master)
        os.close(slave)


def test_a_terminal_that_takes_it_shows_its_main_screen_and_a_cursor() -> None:
    """xterm control sequences: private modes 1049 (alternate screen) and 25 (cursor)."""
    master, slave = pty.openpty()
    try:
        put_right(slave, None)
        sent = os.read(master, 1 << 10)
        assert b"\x1b[?1049l" in sent
        assert b"\x1b[?25h" in sent
    finally:
        os.close(master)
        os.close(slave)


def _fill(slave: int) -> None:
    filling = os.open(os.ttyname(slave), os.O_WRONLY | os.O_NOCTTY | os.O_NONBLOCK)
    with suppress(BlockingIOError):
        while os.write(filling, b" " * 256):
            pass
    os.close(filling)
