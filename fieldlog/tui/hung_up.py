"""Noticing that the terminal is gone: a line can break without the signal that says so."""

import select
import sys


def terminal_gone(descriptor: int | None = None) -> bool:
    """Whether whoever held the other end of the terminal has let go of it; reading would spin for ever."""
    if descriptor is None:
        if sys.__stdin__ is None or sys.__stdin__.closed:
            return False
        descriptor = sys.__stdin__.fileno()
    asked = select.poll()
    asked.register(descriptor, 0)  # hang-ups and errors are told unasked
    return any(told & (select.POLLHUP | select.POLLERR) for _, told in asked.poll(0))
