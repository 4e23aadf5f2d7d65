"""A backup comes back byte for byte, whole and on the disk, or the folder is as it was."""

import errno
import os
import stat
from pathlib import Path
from zipfile import ZIP_STORED, BadZipFile, ZipFile, ZipInfo

import pytest

from fieldlog.errors import NotSavedError
from fieldlog.store import restore_checks
from fieldlog.store.backup import write_backup
from fieldlog.store.files import FileCalls
from fieldlog.store.logbooks import Logbooks
from fieldlog.store.restore import BackupError, restore_backup
from fieldlog.store.verify import verify_store
from tests.store.samples import HOIST, seal
from tests.store.stores import contents_of, small_store

PLACE = f"logbooks/{HOIST}.jsonl"


@pytest.fixture
def root(tmp_path: Path) -> Path:
    """A store with a file of every sort."""
    root = tmp_path / "store"
    small_store(root)
    for name in (
        f"{PLACE}.torn",
        "allowed_signers",
        "revoked_keys",
        "rulebook/a.toml",
        "label_templates/b.toml",
    ):
        (root / name).parent.mkdir(exist_ok=True)
        (root / name).write_text(f"# {name}\n")
    return root


@pytest.fixture
def file(root: Path, tmp_path: Path) -> Path:
    write_backup(root, tmp_path / "b.zip")
    return tmp_path / "b.zip"


def left(tmp_path: Path) -> list[str]:
    return sorted(path.name for path in tmp_path.iterdir() if path.suffix != ".zip")


@pytest.mark.parametrize("there", [False, True])
def test_it_comes_back_byte_for_byte_and_goes_on(root: Path, file: Path, tmp_path: Path, there: bool) -> None:
    new = tmp_path / "new"
    if there:
        new.mkdir(0o700)
    seen: list[tuple[int, int]] = []
    report = restore_backup(file, new, progress=lambda done, total: seen.append((done, total)))
    assert contents_of(new) == contents_of(root)
    assert (report.files, report.problems) == (10, ())
    assert report.size == sum(len(data) for data in contents_of(root).values())
    assert (seen[0], seen[-1], len(seen)) == ((1, 20), (20, 20), 20)
    modes = {stat.S_IMODE(path.stat().st_mode) for path in new.rglob("*") if path.is_file()}
    folders = {stat.S_IMODE(path.stat().st_mode) for path in [new, *new.rglob("*")] if path.is_dir()}
    assert (modes, folders) == ({0o600}, {0o700})
    assert left(tmp_path) == ["new", "store"]
    assert {path.name for path in new.iterdir()} == {path.name for path in root.iterdir()} - {"locks"}
    assert verify_store(new).problems == ()
    assert seal(Logbooks(new), 99).number == 4


class NotingCalls(FileCalls):
    """Notes each sync by the inode, which stays through a rename, and each rename by the new name."""

    def __init__(self) -> None:
        self.seen: list[int | str] = []

    def fsync(self, fd: int) -> None:
        super().fsync(fd)
        self.seen.append(os.fstat(fd).st_ino)

    def replace(self, old: Path, new: Path) -> None:
        super().replace(old, new)
        self.seen.append(new.name)

    def last(self, path: Path) -> int:
        """When the file or folder was synced for the last time; ValueError where it never was."""
        return len(self.seen) - 1 - self.seen[::-1].index(path.stat().st_ino)


@pytest.fixture(params=["every sort", "own files left out"])
def either(request: pytest.FixtureRequest, root: Path, tmp_path: Path) -> Path:
    """A backup whose last file stands in a folder, or beside the folders."""
    if request.param != "every sort":
        for name in ("rulebook/a.toml", "label_templates/b.toml", f"{PLACE}.torn"):
            (root / name).unlink()
    write_backup(root, tmp_path / "either.zip")
    return tmp_path / "either.zip"


@pytest.mark.parametrize("there", [False, True])
def test_files_and_their_names_are_on_the_disk_before_they_take_their_place(
    either: Path, tmp_path: Path, there: bool
) -> None:
    """A file's own sync does not bring its name to the disk; its folder needs one after it: fsync(2)."""
    new = tmp_path / "new"
    if there:
        new.mkdir()
    calls = NotingCalls()
    restore_backup(either, new, files=calls)
    moved = min(place for place, what in enumerate(calls.seen) if isinstance(what, str))
    inner = [path for path in new.rglob("*") if path.is_dir()]
    assert {path.name for path in inner} >= {"logbooks", "shop"}
    for path in new.rglob("*"):
        assert calls.last(path) < moved
        if path.parent != new and path.is_file():
            assert calls.last(path) < calls.last(path.parent)
    if not there:
        assert all(calls.last(path) < calls.last(new) < moved for path in new.iterdir())


def test_the_name_of_a_new_folder_is_on_the_disk_in_the_end(file: Path, tmp_path: Path) -> None:
    calls = NotingCalls()
    restore_backup(file, tmp_path / "new", files=calls)
    assert calls.seen[-2:] == ["new", tmp_path.stat().st_ino]


def test_shop_comes_last_into_an_empty_folder_and_after_the_rest_is_on_the_disk(
    file: Path, tmp_path: Path
) -> None:
    """Without shop/settings.jsonl nothing passes for a store."""
    new = tmp_path / "new"
    new.mkdir()
    calls = NotingCalls()
    restore_backup(file, new, files=calls)
    names = [what for what in calls.seen if isinstance(what, str)]
    assert set(names[:-1]) == {"logbooks", "rulebook", "label_templates", "allowed_signers", "revoked_keys"}
    synced = new.stat().st_ino
    assert calls.seen[-4:] == [names[-2], synced, "shop", synced]


class RefusingCalls(FileCalls):
    """Refuses the call of that number."""

    def __init__(self, number: int, fault: int) -> None:
        self.calls_left, self._fault = number, fault

    def _count(self) -> None:
        self.calls_left -= 1
        if self.calls_left == 0:
            raise OSError(self._fault, os.strerror(self._fault))

    def open(self, path: Path, flags: int, mode: int = 0o600) -> int:
        self._count()
        return super().open(path, flags, mode)

    def write(self, fd: int, data: memoryview) -> int:
        self._count()
        return super().write(fd, data)

    def fsync(self, fd: int) -> None:
        self._count()
        super().fsync(fd)

    def replace(self, old: Path, new: Path) -> None:
        self._count()
        super().replace(old, new)


def refusal_at(number: int, fault: int, file: Path, new: Path) -> str:
    """What is said where that call is refused; empty where there was none of that number."""
    calls = RefusingCalls(number, fault)
    try:
        restore_backup(file, new, files=calls)
    except NotSavedError as told:
        return str(told)
    assert calls.calls_left > 0
    return ""


@pytest.mark.parametrize("fault", [errno.ENOSPC, errno.EIO])
@pytest.mark.parametrize("there", [False, True])
def test_whichever_call_the_disk_refuses_the_folder_is_as_it_was(
    file: Path, tmp_path: Path, there: bool, fault: int
) -> None:
    new, number = tmp_path / "new", 1
    if there:
        new.mkdir(0o750)
    while refusal := refusal_at(number, fault, file, new):
        assert f"into {new}: the folder can not be written ({os.strerror(fault)})" in refusal
        assert left(tmp_path) == (["new", "store"] if there else ["store"])
        assert not there or (list(new.iterdir()), stat.S_IMODE(new.stat().st_mode)) == ([], 0o750)
        number += 1
    assert number > 40
    assert verify_store(new).problems == ()


@pytest.mark.parametrize("fault", [None, BadZipFile("spoilt"), OSError(errno.EIO, os.strerror(errno.EIO))])
@pytest.mark.parametrize("there", [False, True])
def test_a_backup_that_changes_while_it_is_read_leaves_nothing_behind(
    file: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, there: bool, fault: Exception | None
) -> None:
    """It is other bytes, or does not read, when what was checked is read again; the folder is not blamed."""
    unpacked, reads = restore_checks._unpacked, []

    def changing(archive: ZipFile, info: ZipInfo) -> bytes:
        reads.append(info)
        data = unpacked(archive, info)
        if reads.count(info) > 1 and info.filename == PLACE:
            if fault is not None:
                raise fault
            return data.replace(b"reason 2", b"reason 3")
        return data

    monkeypatch.setattr(restore_checks, "_unpacked", changing)
    new = tmp_path / "new"
    if there:
        new.mkdir()
    with pytest.raises(BackupError, match=f"{PLACE}: it changed while it was read"):
        restore_backup(file, new)
    assert left(tmp_path) == (["new", "store"] if there else ["store"])
    assert not there or list(new.iterdir()) == []


def test_what_was_damaged_when_it_was_backed_up_comes_back_and_is_told(root: Path, tmp_path: Path) -> None:
    path = root / PLACE
    path.write_bytes(path.read_bytes().replace(b"reason 1", b"reason 7"))
    write_backup(root, tmp_path / "b.zip")
    report = restore_backup(tmp_path / "b.zip", tmp_path / "new")
    assert contents_of(tmp_path / "new") == contents_of(root)
    assert [problem.place for problem in report.problems] == [f"{PLACE} line 3"]


def test_a_zip_without_compression_by_another_tool_is_taken(root: Path, file: Path, tmp_path: Path) -> None:
    with ZipFile(file) as old, ZipFile(tmp_path / "other.zip", "w", ZIP_STORED) as new:
        for name in reversed(old.namelist()):
            new.writestr(name, old.read(name))
    restore_backup(tmp_path / "other.zip", tmp_path / "new")
    assert contents_of(tmp_path / "new") == contents_of(root)
