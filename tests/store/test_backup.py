"""A backup holds every acknowledged record as it stood, and can be checked with unzip and sha256sum alone."""

import errno
import os
import re
import subprocess
import threading
from hashlib import sha256
from pathlib import Path
from zipfile import ZipFile

import pytest

from fieldlog.errors import InputError, NotSavedError
from fieldlog.store import backup
from fieldlog.store.backup import may_stand, write_backup
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


def test_a_piece_of_a_line_is_left_out_and_a_damaged_logbook_told(root: Path, tmp_path: Path) -> None:
    path = root / "logbooks" / f"{HOIST}.jsonl"
    whole = path.read_bytes()
    path.write_bytes(whole + b'{"v":1')
    assert write_backup(root, tmp_path / "a.zip").problems == ()
    assert names_in(tmp_path / "a.zip")[f"logbooks/{HOIST}.jsonl"] == whole
    path.write_bytes(b"spoilt\n" + whole)
    (problem,) = write_backup(root, tmp_path / "b.zip").problems
    assert problem.place == f"logbooks/{HOIST}.jsonl line 1"
    assert names_in(tmp_path / "b.zip")[f"logbooks/{HOIST}.jsonl"] == b"spoilt\n" + whole


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


def test_a_file_that_is_there_is_never_overwritten(root: Path, tmp_path: Path) -> None:
    file = tmp_path / "b.zip"
    file.write_bytes(b"mine")
    with pytest.raises(InputError, match="is there already: name a new file"):
        write_backup(root, file)

    def come_meanwhile(*_: object) -> None:
        (tmp_path / "c.zip").write_bytes(b"mine too")

    with pytest.raises(InputError, match="is there already"):
        write_backup(root, tmp_path / "c.zip", progress=come_meanwhile)
    assert (file.read_bytes(), (tmp_path / "c.zip").read_bytes()) == (b"mine", b"mine too")


def test_an_empty_store_is_said(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="nothing to back up"):
        write_backup(tmp_path, tmp_path / "b.zip")


@pytest.mark.parametrize("number", [errno.ENOSPC, errno.EIO])
def test_a_disk_that_refuses_leaves_no_file(
    root: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, number: int
) -> None:
    def refuse(_fd: int) -> None:
        raise OSError(number, os.strerror(number))

    monkeypatch.setattr(backup.os, "fsync", refuse)
    with pytest.raises(NotSavedError, match=re.escape(os.strerror(number))):
        write_backup(root, tmp_path / "b.zip")
    assert [path.name for path in tmp_path.iterdir()] == ["store"]


def test_a_folder_that_is_not_there_is_said(root: Path, tmp_path: Path) -> None:
    with pytest.raises(NotSavedError, match="was not written"):
        write_backup(root, tmp_path / "none" / "b.zip")


@pytest.mark.parametrize(
    ("name", "may"),
    [
        (f"logbooks/{HOIST}.jsonl", True),
        ("shop/people.jsonl", True),
        ("allowed_signers", True),
        ("revoked_keys", True),
        ("label_templates/ours.toml", True),
        ("rulebook/ours.toml", True),
        ("SHA256SUMS", True),
        ("../people.jsonl", False),
        ("/etc/passwd", False),
        (f"logbooks/../{HOIST}.jsonl", False),
        (f"logbooks/{HOIST}.jsonl\n", False),
        (f"logbooks/{HOIST}.jsonl/", False),
        (f"logbooks\\{HOIST}.jsonl", False),
        ("shop/strangers.jsonl", False),
        ("label_templates/../x.toml", False),
        ("label_templates/.toml", False),
        ("register.json", False),
        ("locks/people.lock", False),
        ("", False),
    ],
)
def test_only_what_fieldlog_writes_may_stand_in_it(name: str, may: bool) -> None:
    assert may_stand(name) == may
