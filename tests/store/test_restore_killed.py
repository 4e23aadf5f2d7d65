"""A restore that is killed at any call never leaves what passes for a whole store, and can be done again.

Run as `python -m tests.store.test_restore_killed FILE FOLDER 0` (1: into folders that are there) it forks
from a process without threads, so that it can be killed some hundred times.
"""

import os
import signal
import subprocess
import sys
from pathlib import Path

import pytest

from fieldlog.errors import InputError
from fieldlog.store.backup import write_backup
from fieldlog.store.logbooks import Logbooks
from fieldlog.store.restore import restore_backup
from tests.store.faults import KillingCalls
from tests.store.stores import contents_of, small_store


def was_killed(file: Path, folder: Path, number: int, moment: str) -> bool:
    """Whether a restore that is to be killed at that call came so far."""
    child = os.fork()
    if not child:
        try:
            restore_backup(file, folder, files=KillingCalls(number, moment))
        finally:
            os._exit(0)
    _, status = os.waitpid(child, 0)
    return os.WIFSIGNALED(status) and os.WTERMSIG(status) == signal.SIGKILL


def kill_at_each_call(file: Path, base: Path, there: bool) -> None:
    """One restore for each call that it makes, killed there; prints how many calls there are."""
    calls = 200
    for moment in ("before", "half"):
        for number in range(1, calls + 1):
            folder = base / f"{moment}-{number}" / "new"
            (folder if there else folder.parent).mkdir(parents=True)
            if not was_killed(file, folder, number, moment) and moment == "before":
                calls = number - 1
                break
    print(calls)


@pytest.mark.parametrize("there", [False, True])
def test_a_killed_restore_never_leaves_what_passes_for_a_store(tmp_path: Path, there: bool) -> None:
    root, file, base = tmp_path / "store", tmp_path / "b.zip", tmp_path / "killed"
    small_store(root)
    (root / "allowed_signers").write_text("# nobody yet\n")
    write_backup(root, file)
    base.mkdir()
    command = [sys.executable, "-m", "tests.store.test_restore_killed", file, base, str(int(there))]
    told = subprocess.run(command, capture_output=True, text=True, check=True)
    assert 30 < int(told.stdout) < 200
    whole, outcomes = contents_of(root), set()
    for folder in base.iterdir():
        found = contents_of(folder / "new") if (folder / "new").exists() else {}
        visible = {name: data for name, data in found.items() if not name.startswith(".")}
        if "shop/settings.jsonl" in visible:
            assert visible == whole
            outcomes.add("whole")
        else:
            assert Logbooks(folder / "new").read("settings").entries == ()
            outcomes.add("moved in part" if visible else "nothing to be seen")
    assert outcomes == {"whole", "nothing to be seen"} | ({"moved in part"} if there else set())
    again = base / "before-20" / "new"
    if not there:
        restore_backup(file, again)
        assert contents_of(again) == whole
        return
    with pytest.raises(InputError, match="what a restore that broke off left there"):
        restore_backup(file, again)


if __name__ == "__main__":
    kill_at_each_call(Path(sys.argv[1]), Path(sys.argv[2]), sys.argv[3] == "1")
