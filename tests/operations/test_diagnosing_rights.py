"""What the doctor says of a store's rights is one line, and true of its mode."""

from pathlib import Path

import pytest

from fieldlog.operations.diagnosing import State, check_store
from tests.operations.builder import NOW


@pytest.mark.parametrize(
    ("mode", "state", "says"),
    [
        (0o700, State.OK, "read and write, for its owner alone (drwx------)"),
        (0o2770, State.OK, "read and write, shared with a group (drwxrws---)"),
        (0o755, State.NOTE, "read and write, and everybody on this host may look in (drwxr-xr-x)."),
        (0o777, State.NOTE, "read and write, and everybody on this host may write (drwxrwxrwx)."),
        (0o750, State.NOTE, "read and write, and its group may look in (drwxr-x---)."),
        (0o770, State.NOTE, "read and write, and its group may write (drwxrwx---)."),
        (0o2775, State.NOTE, "read and write, and everybody on this host may look in (drwxrwsr-x)."),
    ],
)
def test_one_line_tells_who_may_do_what(tmp_path: Path, mode: int, state: State, says: str) -> None:
    root = tmp_path / "store"
    root.mkdir()
    root.chmod(mode)
    (told,) = (check for check in check_store(root, NOW) if check.what == "rights")
    assert (told.state, told.says) == (state, says)
    assert bool(told.todo) is (state is State.NOTE)
