"""A backup holds every acknowledged record as it stood, and can be checked with unzip and sha256sum alone."""

import errno
import os
import re
import stat
import subprocess
import threading
from hashlib import sha256
from pathlib import Path
from zipfile import ZipFile

import pytest

from fieldlog.errors import InputError, NotSavedError
from fieldlog.store import backup
from fieldlog.store.backup import write_backup
from fieldlog.store.files import FileCalls
from fieldlog.store.logbooks import Logbooks
from fieldlog.store.verify_logbook import verify_bytes
from tests.store.samples import HOIST, seal
from tests.store.stores import contents_of, small_store


@pytest.fixture
def root(tmp_path: Path) -> Path:
    root = tmp_path / "store"
    small_store(root)
    (root / "allowed_signers").write_text("# nobody yet\n")
    for folder in ("rulebook", "label_templates"):
        (root / folder).mkdir()
        (root / folder / "ours.toml").write_text("title = 'ours'\n")
    return root


def names_in(file: Path) -> dict[str, bytes]:
    with ZipFile(file) as archive:
        return {name: archive.read(name) for name in archive.namelist()}


def test_everything_that_can_not_be_worked_out_anew_is_in_it(root: Path, tmp_path: Path) -> None:
    file = tmp_path / "b.zip"
    seen: list[tuple[int, int]] = []
    report = write_backup(root, file, progress=lambda done, total: seen.append((done, total)))
    held = names_in(file)
    # whatever a hoist's line names was there before it, so the shop's own logbooks are read after all hoists'
    own = [name.startswith("shop/") for name in held if name.endswith(".jsonl")]
    assert own == sorted(own)
    assert any(own)
    assert {
        name: data for name, data in held.items() if name not in ("heads.txt", "SHA256SUMS")
    } == contents_of(root)
    assert (report.logbooks, report.problems, seen[-1]) == (5, (), (5, 5))
    assert file.stat().st_mode & 0o777 == 0o600
    assert [path.name for path in tmp_path.iterdir() if path.name.endswith(".tmp")] == []


def test_it_is_checked_by_unzip_and_sha256sum_alone(root: Path, tmp_path: Path) -> None:
    file, out = tmp_path / "b.zip", tmp_path / "out"
    write_backup(root, file)
    out.mkdir()
    with ZipFile(file) as archive:
        archive.extractall(out)
    told = subprocess.run(
        ["sha256sum", "-c", "SHA256SUMS"], cwd=out, capture_output=True, text=True, check=False
    )
    assert told.returncode == 0
    assert told.stdout.count(": OK") == len(names_in(file)) - 1


def test_the_heads_are_those_of_the_lines_in_it(root: Path, tmp_path: Path) -> None:
    file = tmp_path / "b.zip"
    write_backup(root, file)
    held = names_in(file)
    last = held[f"logbooks/{HOIST}.jsonl"].splitlines(keepends=True)[-1]
    assert f"{sha256(last).hexdigest()}      3 {HOIST}" in held["heads.txt"].decode()


def test_the_same_records_give_the_same_file(root: Path, tmp_path: Path) -> None:
    for name in ("a.zip", "b.zip"):
        write_backup(root, tmp_path / name)
    assert (tmp_path / "a.zip").read_bytes() == (tmp_path / "b.zip").read_bytes()


def test_a_damaged_logbook_is_in_it_as_it_stands_and_told(root: Path, tmp_path: Path) -> None:
    path = root / "logbooks" / f"{HOIST}.jsonl"
    spoilt = b"spoilt\n" + path.read_bytes()
    path.write_bytes(spoilt)
    (problem,) = write_backup(root, tmp_path / "b.zip").problems
    assert problem.place == f"logbooks/{HOIST}.jsonl line 1"
    assert names_in(tmp_path / "b.zip")[f"logbooks/{HOIST}.jsonl"] == spoilt


def test_a_backup_taken_while_others_seal_is_a_whole_beginning_of_every_logbook(
    root: Path, tmp_path: Path
) -> None:
    leave = threading.Event()

    def write() -> None:
        logbooks, number = Logbooks(root, wait_seconds=30), 10**6
        while not leave.is_set():
            seal(logbooks, number)
            number += 1

    thread = threading.Thread(target=write)
    thread.start()
    try:
        files = [tmp_path / f"{number}.zip" for number in range(10)]
        for file in files:
            assert write_backup(root, file).problems == ()
    finally:
        leave.set()
        thread.join()
    final = contents_of(root)
    for file in files:
        for name, data in names_in(file).items():
            if name.endswith(".jsonl"):
                assert final[name].startswith(data)
                assert verify_bytes(Path(name).stem, data).problems == ()
    sizes = [len(names_in(file)[f"logbooks/{HOIST}.jsonl"]) for file in files]
    assert sizes == sorted(sizes)
    assert sizes[-1] > sizes[0]


def refuse_links(monkeypatch: pytest.MonkeyPatch, number: int = errno.EPERM) -> None:
    """As link(2) answers for a file system that has none."""

    def refuse(*_: object) -> None:
        raise OSError(number, os.strerror(number))

    monkeypatch.setattr(backup.os, "link", refuse)


@pytest.mark.parametrize("links", [True, False])
def test_a_file_that_is_there_is_never_overwritten(
    root: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, links: bool
) -> None:
    if not links:
        refuse_links(monkeypatch)
    file = tmp_path / "b.zip"
    file.write_bytes(b"mine")
    for taken in (file, Path()):
        with pytest.raises(InputError, match="is there already: name a new file"):
            write_backup(root, taken)

    def come_meanwhile(*_: object) -> None:
        (tmp_path / "c.zip").write_bytes(b"mine too")

    with pytest.raises(InputError, match="is there already"):
        write_backup(root, tmp_path / "c.zip", progress=come_meanwhile)
    assert (file.read_bytes(), (tmp_path / "c.zip").read_bytes()) == (b"mine", b"mine too")
    assert sorted(path.name for path in tmp_path.iterdir()) == ["b.zip", "c.zip", "store"]


@pytest.mark.parametrize("number", [errno.EPERM, errno.EOPNOTSUPP, errno.ENOSYS])
def test_a_memory_stick_without_links_takes_it_too(
    root: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, number: int
) -> None:
    write_backup(root, tmp_path / "a.zip")
    refuse_links(monkeypatch, number)
    write_backup(root, tmp_path / "b.zip")
    assert (tmp_path / "a.zip").read_bytes() == (tmp_path / "b.zip").read_bytes()
    assert (tmp_path / "b.zip").stat().st_mode & 0o777 == 0o600
    assert sorted(path.name for path in tmp_path.iterdir()) == ["a.zip", "b.zip", "store"]


@pytest.mark.parametrize("links", [True, False])
def test_file_and_name_have_reached_the_disk_in_this_order(
    root: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, links: bool
) -> None:
    """What a sync is for stands in fsync(2): the file's own does not bring its name to the disk."""
    if not links:
        refuse_links(monkeypatch)
    synced: list[tuple[int, bool]] = []

    class Noting(FileCalls):
        def fsync(self, fd: int) -> None:
            synced.append((os.fstat(fd).st_ino, (tmp_path / "b.zip").exists()))
            super().fsync(fd)

    write_backup(root, tmp_path / "b.zip", files=Noting())
    assert synced == [((tmp_path / "b.zip").stat().st_ino, False), (tmp_path.stat().st_ino, True)]


def test_an_empty_store_is_said(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="nothing to back up"):
        write_backup(tmp_path, tmp_path / "b.zip")


@pytest.mark.parametrize("number", [errno.ENOSPC, errno.EIO])
@pytest.mark.parametrize("what", ["b.zip", "folder", "links"])
def test_a_disk_that_refuses_leaves_no_file(
    root: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, number: int, what: str
) -> None:
    if what == "links":
        refuse_links(monkeypatch, number)

    class Refusing(FileCalls):
        def fsync(self, fd: int) -> None:
            if stat.S_ISDIR(os.fstat(fd).st_mode) == (what == "folder") and what != "links":
                raise OSError(number, os.strerror(number))

    with pytest.raises(NotSavedError, match=re.escape(os.strerror(number))):
        write_backup(root, tmp_path / "b.zip", files=Refusing())
    assert [path.name for path in tmp_path.iterdir()] == ["store"]


def test_a_folder_that_is_not_there_is_said(root: Path, tmp_path: Path) -> None:
    with pytest.raises(NotSavedError, match="was not written"):
        write_backup(root, tmp_path / "none" / "b.zip")
