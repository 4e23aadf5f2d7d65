"""Where a backup may be put: any empty folder, however it is named, mounted and shared, or a new one."""

import errno
import os
import stat
from collections.abc import Callable
from pathlib import Path

import pytest

from fieldlog.errors import InputError, NotSavedError
from fieldlog.store.backup import write_backup
from fieldlog.store.files import FileCalls
from fieldlog.store.restore import restore_backup
from tests.store.samples import HOIST
from tests.store.stores import contents_of, small_store


@pytest.fixture
def root(tmp_path: Path) -> Path:
    small_store(tmp_path / "store")
    (tmp_path / "store" / "allowed_signers").write_text("# nobody yet\n")
    return tmp_path / "store"


@pytest.fixture
def file(root: Path, tmp_path: Path) -> Path:
    write_backup(root, tmp_path / "b.zip")
    return tmp_path / "b.zip"


@pytest.mark.parametrize("what", ["file", "folder with a file"])
def test_a_place_that_is_taken_is_refused(file: Path, tmp_path: Path, what: str) -> None:
    taken = tmp_path / "taken"
    if what == "file":
        taken.write_bytes(b"mine")
    else:
        taken.mkdir()
        (taken / "mine").write_bytes(b"mine")
    with pytest.raises(InputError, match=r"(is not empty|is a file): name a new folder"):
        restore_backup(file, taken)
    assert (taken if what == "file" else taken / "mine").read_bytes() == b"mine"


def test_a_mount_point_is_empty_but_for_what_its_disk_keeps_there(
    root: Path, file: Path, tmp_path: Path
) -> None:
    """mke2fs makes lost+found at the top of each disk (its manual, from memory)."""
    new = tmp_path / "new"
    (new / "lost+found").mkdir(parents=True)
    restore_backup(file, new)
    assert contents_of(new) == contents_of(root)
    assert (new / "lost+found").is_dir()
    with pytest.raises(InputError, match="is not empty"):
        restore_backup(file, new)


@pytest.mark.parametrize("name", [".", "./x/..", "x/../../inner", "../link"])
def test_a_folder_may_be_named_in_any_way(
    root: Path, file: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, name: str
) -> None:
    (tmp_path / "inner").mkdir()
    (tmp_path / "link").symlink_to("inner")
    monkeypatch.chdir(tmp_path / "inner")
    restore_backup(file, Path(name))
    assert contents_of(tmp_path / "inner") == contents_of(root)


@pytest.mark.parametrize("name", ["round", "file/x", "x" * 300])
def test_a_folder_that_can_not_be_is_blamed_and_not_the_zip(file: Path, tmp_path: Path, name: str) -> None:
    (tmp_path / "round").symlink_to("round")
    (tmp_path / "file").write_bytes(b"mine")
    with pytest.raises(InputError) as caught:
        restore_backup(file, tmp_path / name)
    assert str(caught.value).startswith(str(tmp_path / name))
    assert "b.zip" not in str(caught.value)


def test_what_a_killed_restore_left_is_named(file: Path, tmp_path: Path) -> None:
    new = tmp_path / "new"
    (new / ".new.abc.restoring").mkdir(parents=True)
    with pytest.raises(InputError, match=r"a restore that broke off left there \(\.new\.abc\.restoring\)"):
        restore_backup(file, new)


class Mounted(FileCalls):
    """Answers as rename(2) does for a mount point: EBUSY where it is what is renamed or replaced."""

    def __init__(self, point: Path) -> None:
        self._point = point

    def replace(self, old: Path, new: Path) -> None:
        if self._point in (old, new):
            raise OSError(errno.EBUSY, os.strerror(errno.EBUSY))
        super().replace(old, new)


def test_an_empty_mount_point_is_filled_and_nothing_above_it_is_touched(
    root: Path, file: Path, tmp_path: Path
) -> None:
    """The folder above may be one that can not be written; its time tells whether it was."""
    point = tmp_path / "above" / "point"
    point.mkdir(parents=True)
    os.utime(tmp_path / "above", ns=(10**18, 10**18))
    inode = point.stat().st_ino
    restore_backup(file, point, files=Mounted(point))
    assert contents_of(point) == contents_of(root)
    assert point.stat().st_ino == inode
    assert (tmp_path / "above").stat().st_mtime_ns == 10**18


def modes_in(folder: Path, of: Callable[[Path], bool]) -> set[tuple[int, int]]:
    return {(stat.S_IMODE(path.stat().st_mode), path.stat().st_gid) for path in folder.rglob("*") if of(path)}


@pytest.mark.parametrize("mode", [0o700, 0o755, 0o2750])
def test_a_folder_of_ones_own_keeps_its_rights(file: Path, tmp_path: Path, mode: int) -> None:
    new = tmp_path / "new"
    new.mkdir()
    new.chmod(mode)
    restore_backup(file, new)
    assert stat.S_IMODE(new.stat().st_mode) == mode
    assert {bits & 0o777 for bits, _ in modes_in(new, Path.is_dir)} == {0o700}
    assert {bits for bits, _ in modes_in(new, Path.is_file)} == {0o600}


@pytest.mark.skipif(os.geteuid() != 0, reason="only root may give a folder to any group")
@pytest.mark.parametrize("name", ["", "new", "new/er"])
def test_a_group_shares_what_comes_into_its_folder(file: Path, tmp_path: Path, name: str) -> None:
    """The folder itself, and one that is made inside it, as for every new store (files.is_shared)."""
    shared = tmp_path / "shared"
    shared.mkdir()
    os.chown(shared, -1, 54321)
    shared.chmod(0o2770)
    before = os.umask(0o077)
    try:
        restore_backup(file, shared / name)
    finally:
        os.umask(before)
    assert (stat.S_IMODE(shared.stat().st_mode), shared.stat().st_gid) == (0o2770, 54321)
    assert modes_in(shared, Path.is_dir) == {(0o2770, 54321)}
    assert modes_in(shared, Path.is_file) == {(0o660, 54321)}


class Disturbed(FileCalls):
    """Somebody else puts a file into the folder while it is written to."""

    def __init__(self, mine: Path) -> None:
        self._mine = mine

    def open(self, path: Path, flags: int, mode: int = 0o600) -> int:
        self._mine.parent.mkdir(exist_ok=True)
        self._mine.write_bytes(b"mine")
        return super().open(path, flags, mode)


@pytest.mark.parametrize("name", ["allowed_signers", "notes", "shop/people.jsonl"])
def test_what_somebody_put_there_meanwhile_is_not_overwritten(file: Path, tmp_path: Path, name: str) -> None:
    new = tmp_path / "new"
    new.mkdir()
    with pytest.raises(InputError, match="is not empty any more"):
        restore_backup(file, new, files=Disturbed(new / name))
    assert contents_of(new) == {name: b"mine"}


class DisturbedLate(FileCalls):
    """Somebody else makes the shop's folder when all but that one has come."""

    def replace(self, old: Path, new: Path) -> None:
        if new.name == "shop":
            new.mkdir()
            (new / "people.jsonl").write_bytes(b"mine")
        super().replace(old, new)


def test_what_came_at_the_last_moment_stays_and_the_rest_is_taken_back(file: Path, tmp_path: Path) -> None:
    new = tmp_path / "new"
    new.mkdir()
    with pytest.raises(NotSavedError, match=f"into {new}: the folder can not be written"):
        restore_backup(file, new, files=DisturbedLate())
    assert contents_of(new) == {"shop/people.jsonl": b"mine"}
    assert not (new / "logbooks" / f"{HOIST}.jsonl").exists()


class DisturbedAndRefused(FileCalls):
    """Somebody else's file comes where one of ours was to come, and the disk refuses that one."""

    def replace(self, old: Path, new: Path) -> None:
        if new.name == "allowed_signers":
            new.write_bytes(b"mine")
            raise OSError(errno.EIO, os.strerror(errno.EIO))
        super().replace(old, new)


def test_only_what_was_moved_in_is_taken_back(file: Path, tmp_path: Path) -> None:
    new = tmp_path / "new"
    new.mkdir()
    with pytest.raises(NotSavedError):
        restore_backup(file, new, files=DisturbedAndRefused())
    assert contents_of(new) == {"allowed_signers": b"mine"}
