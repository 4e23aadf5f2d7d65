"""Files are replaced in one step, with the rights of the store, and a refusal is said in words."""

import errno
import os
import stat
from pathlib import Path

import pytest

from fieldlog.errors import NotSavedError, StoreError
from fieldlog.store.files import (
    FileCalls,
    is_shared,
    make_folder,
    open_or_make,
    refusal,
    replace_file,
    sync_folder,
    write_all,
)
from tests.store.faults import WatchedCalls


def mode(path: Path) -> int:
    return stat.S_IMODE(path.stat().st_mode)


@pytest.fixture(autouse=True)
def _usual_umask() -> object:
    before = os.umask(0o022)
    yield
    os.umask(before)


def test_a_store_of_one_technician_is_private(tmp_path: Path) -> None:
    folder = tmp_path / "deep" / "store" / "logbooks"
    assert not is_shared(folder)
    make_folder(FileCalls(), folder, shared=False)
    os.close(open_or_make(FileCalls(), folder / "a", os.O_RDWR, shared=False)[0])
    assert [mode(p) for p in (folder, folder.parent, folder.parent.parent)] == [0o700] * 3
    assert mode(folder / "a") == 0o600


def test_a_store_shared_by_a_group_stays_open_to_it_whatever_the_umask(tmp_path: Path) -> None:
    tmp_path.chmod(0o2770)
    folder = tmp_path / "logbooks"
    assert is_shared(tmp_path)
    assert is_shared(folder)
    make_folder(FileCalls(), folder, shared=True)
    os.close(open_or_make(FileCalls(), folder / "a", os.O_RDWR, shared=True)[0])
    replace_file(FileCalls(), folder / "b", b"b", shared=True, durable=True)
    assert mode(folder) == 0o2770
    assert [mode(folder / name) for name in "ab"] == [0o660] * 2


def test_rights_that_stand_already_are_left_alone(tmp_path: Path) -> None:
    tmp_path.chmod(0o750)
    make_folder(FileCalls(), tmp_path, shared=True)
    (tmp_path / "a").write_bytes(b"")
    (tmp_path / "a").chmod(0o640)
    fd, is_new = open_or_make(FileCalls(), tmp_path / "a", os.O_RDWR, shared=True)
    os.close(fd)
    assert (is_new, mode(tmp_path), mode(tmp_path / "a")) == (False, 0o750, 0o640)


def test_a_new_folder_is_brought_to_the_disk(tmp_path: Path) -> None:
    calls = WatchedCalls()
    make_folder(calls, tmp_path / "a" / "b", shared=False)
    assert calls.seen == [("fsync", "folder"), ("fsync", "folder")]


def test_a_symbolic_link_is_not_followed(tmp_path: Path) -> None:
    (tmp_path / "elsewhere").write_bytes(b"")
    (tmp_path / "link").symlink_to(tmp_path / "elsewhere")
    with pytest.raises(OSError, match="symbolic links"):
        open_or_make(FileCalls(), tmp_path / "link", os.O_RDWR, shared=False)


def test_two_sessions_that_make_the_same_file_both_get_it(tmp_path: Path) -> None:
    class Late(FileCalls):
        def open(self, path: Path, flags: int, mode: int = 0o600) -> int:
            if flags & os.O_CREAT:
                path.write_bytes(b"the other one's")
            return super().open(path, flags, mode)

    fd, is_new = open_or_make(Late(), tmp_path / "a", os.O_RDWR, shared=False)
    os.close(fd)
    assert not is_new


def test_a_disk_that_takes_little_at_a_time_gets_it_all(tmp_path: Path) -> None:
    class Sparing(FileCalls):
        def write(self, fd: int, data: memoryview) -> int:
            return super().write(fd, data[:3])

    replace_file(Sparing(), tmp_path / "a", b"ten bytes!", shared=False, durable=True)
    assert (tmp_path / "a").read_bytes() == b"ten bytes!"


def test_a_disk_that_takes_nothing_is_an_error_and_not_an_endless_wait() -> None:
    class Stubborn(FileCalls):
        def write(self, fd: int, data: memoryview) -> int:
            return 0

    with pytest.raises(OSError, match=os.strerror(errno.EIO)):
        write_all(Stubborn(), -1, b"x")


@pytest.mark.parametrize("call", ["open", "write", "fsync", "replace"])
def test_a_failed_replacement_leaves_the_old_file_and_nothing_else(tmp_path: Path, call: str) -> None:
    calls = WatchedCalls()
    replace_file(calls, tmp_path / "a", b"old", shared=False, durable=True)
    calls.fail(call, "", OSError(errno.ENOSPC, "full"))
    with pytest.raises(OSError, match="full"):
        replace_file(calls, tmp_path / "a", b"new", shared=False, durable=True)
    assert {path.name: path.read_bytes() for path in tmp_path.iterdir()} == {"a": b"old"}


def test_a_durable_replacement_is_synced_before_it_takes_its_place(tmp_path: Path) -> None:
    calls = WatchedCalls()
    replace_file(calls, tmp_path / "a", b"x", shared=False, durable=True)
    assert [call for call, _ in calls.seen][-3:] == ["write", "fsync", "replace"]
    calls.clear()
    replace_file(calls, tmp_path / "a", b"x", shared=False, durable=False)
    assert "fsync" not in [call for call, _ in calls.seen]


def test_what_a_killed_session_left_is_swept_but_never_what_is_in_use(tmp_path: Path) -> None:
    old, fresh = tmp_path / ".a.1.1.tmp", tmp_path / ".a.2.1.tmp"
    for path in (old, fresh, tmp_path / "kept.tmp"):
        path.write_bytes(b"")
    for path in (old, tmp_path / "kept.tmp"):
        os.utime(path, ns=(0, 0))
    written_ns = replace_file(FileCalls(), tmp_path / "a", b"x", shared=False, durable=False)
    assert sorted(path.name for path in tmp_path.iterdir()) == [".a.2.1.tmp", "a", "kept.tmp"]
    assert written_ns == (tmp_path / "a").stat().st_mtime_ns


def test_a_temporary_name_in_use_is_passed_over(tmp_path: Path) -> None:
    for count in range(1, 2000):
        (tmp_path / f".a.{os.getpid()}.{count}.tmp").write_bytes(b"other")
    replace_file(FileCalls(), tmp_path / "a", b"x", shared=False, durable=False)
    assert (tmp_path / "a").read_bytes() == b"x"
    assert all(path.read_bytes() == b"other" for path in tmp_path.glob(".a.*.tmp"))


def test_what_root_makes_in_somebody_elses_store_is_theirs(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    if os.geteuid() == 0:
        os.chown(tmp_path, 12345, 12345)
    monkeypatch.setattr(os, "geteuid", lambda: 0)
    make_folder(FileCalls(), tmp_path / "deep" / "logbooks", shared=False)
    replace_file(FileCalls(), tmp_path / "verified.txt", b"x", shared=False, durable=False)
    os.close(open_or_make(FileCalls(), tmp_path / "deep" / "lock", os.O_RDWR, shared=False)[0])
    owners = {(path.stat().st_uid, path.stat().st_gid) for path in tmp_path.rglob("*")}
    assert owners == {(tmp_path.stat().st_uid, tmp_path.stat().st_gid)}


def test_a_file_system_that_does_not_sync_folders_is_taken_as_it_is(tmp_path: Path) -> None:
    calls = WatchedCalls()
    calls.fail("fsync", "folder", OSError(errno.EINVAL, "invalid"))
    sync_folder(calls, tmp_path)
    calls.fail("fsync", "folder", OSError(errno.EIO, "broken"))
    with pytest.raises(OSError, match="broken"):
        sync_folder(calls, tmp_path)


@pytest.mark.parametrize(
    ("number", "kind", "words"),
    [
        (errno.EROFS, StoreError, "can only be read from here"),
        (errno.EACCES, StoreError, "the right to write"),
        (errno.EPERM, StoreError, "the right to write"),
        (errno.ENOSPC, NotSavedError, "the disk is full"),
        (errno.EDQUOT, NotSavedError, "the disk is full"),
        (errno.EIO, NotSavedError, "the disk refused it"),
    ],
)
def test_a_refusal_says_what_was_not_saved_and_why(number: int, kind: type[StoreError], words: str) -> None:
    error = refusal(OSError(number, os.strerror(number)), "SW-0007-X")
    assert type(error) is kind
    assert str(error).startswith("SW-0007-X was not saved: ")
    assert words in str(error)
    assert os.strerror(number) in str(error)
