"""On a real disk that is full, then read-only, nothing is lost and the sentences are right."""

import os
import subprocess
import sys
from pathlib import Path

import pytest

REPOSITORY = Path(__file__).parents[2]
SCRIPT = """
import subprocess, sys
from pathlib import Path
from fieldlog.errors import StoreError
from fieldlog.store.logbooks import Logbooks
from tests.store.samples import HOIST, seal
root = Path(sys.argv[1])
number = 0
try:
    while True:
        seal(Logbooks(root), number)
        number += 1
except StoreError as error:
    print(number, type(error).__name__, error)
book = Logbooks(root).read(HOIST)
print(len(book.entries), book.problem, book.torn)
subprocess.run(["mount", "-o", "remount,ro", str(root)], check=True)
try:
    seal(Logbooks(root), number)
except StoreError as error:
    print(type(error).__name__, error)
print(len(Logbooks(root).read(HOIST).entries))
subprocess.run(["mount", "-o", "remount,rw,size=256k", str(root)], check=True)
print(seal(Logbooks(root), number).number)
"""


def test_a_full_disk_then_a_read_only_one_then_room_again(tmp_path: Path) -> None:
    """A tmpfs of 64 kB in a mount namespace of its own; skipped where the host allows none."""
    (tmp_path / "script.py").write_text(SCRIPT)
    disk = tmp_path / "disk"
    disk.mkdir()
    mount = f"mount -t tmpfs -o size=64k fieldlog '{disk}'"
    inside = f"{mount} && PYTHONPATH=. exec '{sys.executable}' '{tmp_path / 'script.py'}' '{disk}'"
    command = ["unshare", "--mount", *([] if os.geteuid() == 0 else ["--map-root-user"]), "sh", "-c", inside]
    try:
        done = subprocess.run(
            command, cwd=REPOSITORY, capture_output=True, text=True, check=False, timeout=60
        )
    except FileNotFoundError:
        pytest.skip("no unshare on this host")
    if "mount:" in done.stderr or "unshare:" in done.stderr:
        pytest.skip(f"no mounts are allowed here: {done.stderr.strip()}")
    assert done.returncode == 0, done.stderr
    full, after, closed, read, last = done.stdout.splitlines()
    sealed = int(full.split()[0])
    assert sealed > 20
    assert "NotSavedError SW-0007-X was not saved: the disk is full (No space left on device)" in full
    assert "make room and save again" in full
    assert after == f"{sealed} None False"
    assert closed.startswith("StoreError SW-0007-X was not saved: the store can only be read from here")
    assert (int(read), int(last)) == (sealed, sealed + 1)
