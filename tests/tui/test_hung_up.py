"""A terminal whose other end is gone is noticed without any signal."""

import os
import pty

from fieldlog.tui.hung_up import terminal_gone


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
