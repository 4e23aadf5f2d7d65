"""A backup holds pieces that a power cut left, moved aside or not, and no half line of a live session."""

import threading
from collections.abc import Callable
from hashlib import sha256
from pathlib import Path

import pytest

from fieldlog.store import backup
from fieldlog.store.backup import write_backup
from fieldlog.store.locks import hold
from fieldlog.store.logbooks import Logbooks
from fieldlog.store.restore import restore_backup
from tests.store.samples import HOIST, OTHER, seal
from tests.store.stores import contents_of, small_store
from tests.store.test_backup import names_in

PIECE = b'{"v":1,"prev"'
PLACE = f"logbooks/{HOIST}.jsonl"


@pytest.fixture
def root(tmp_path: Path) -> Path:
    small_store(tmp_path / "store")
    return tmp_path / "store"


def tear(root: Path, place: str = PLACE) -> bytes:
    """Leave a piece after the last line, as a power cut does; the file's bytes then."""
    with (root / place).open("ab") as file:
        file.write(PIECE)
    return (root / place).read_bytes()


def test_pieces_that_sealing_moved_aside_are_in_it_and_come_back(root: Path, tmp_path: Path) -> None:
    tear(root)
    seal(Logbooks(root), 50)
    (root / "shop" / "people.jsonl.torn").write_bytes(PIECE)
    report = write_backup(root, tmp_path / "b.zip")
    assert (report.logbooks, report.problems) == (5, ())
    held = names_in(tmp_path / "b.zip")
    for name in (f"{PLACE}.torn", "shop/people.jsonl.torn"):
        assert held[name] == PIECE
        assert f"{sha256(PIECE).hexdigest()}  {name}\n" in held["SHA256SUMS"].decode()
    assert restore_backup(tmp_path / "b.zip", tmp_path / "new").problems == ()
    assert contents_of(tmp_path / "new") == contents_of(root)


def test_a_file_of_another_name_is_left_where_it_is(root: Path, tmp_path: Path) -> None:
    (root / "logbooks" / "mine.torn").write_bytes(PIECE)
    assert write_backup(root, tmp_path / "b.zip").problems == ()
    assert "logbooks/mine.torn" not in names_in(tmp_path / "b.zip")


def test_a_piece_that_is_moved_aside_meanwhile_is_in_it(root: Path, tmp_path: Path) -> None:
    """Sealing moves it when the first hoist's logbook was read, and the second one's not yet."""
    tear(root, f"logbooks/{OTHER}.jsonl")

    def seal_other(done: int, _all: int) -> None:
        if done == 1:
            seal(Logbooks(root), 50, name=OTHER)

    assert write_backup(root, tmp_path / "b.zip", progress=seal_other).problems == ()
    assert names_in(tmp_path / "b.zip")[f"logbooks/{OTHER}.jsonl.torn"] == PIECE


def test_what_a_power_cut_left_stays_and_is_told(root: Path, tmp_path: Path) -> None:
    head = sha256((root / PLACE).read_bytes().splitlines(keepends=True)[-1]).hexdigest()
    torn = tear(root)
    locks = sorted((root / "locks").iterdir())
    (problem,) = write_backup(root, tmp_path / "b.zip").problems
    assert problem.place == f"{PLACE} line 4"
    held = names_in(tmp_path / "b.zip")
    assert held[PLACE] == torn
    assert f"{head}      3 {HOIST}" in held["heads.txt"].decode()
    (again,) = restore_backup(tmp_path / "b.zip", tmp_path / "new").problems
    assert again.place == problem.place
    assert (tmp_path / "new" / PLACE).read_bytes() == torn
    assert sorted((root / "locks").iterdir()) == locks


def test_a_last_line_without_its_newline_is_in_it(root: Path, tmp_path: Path) -> None:
    bare = (root / PLACE).read_bytes()[:-1]
    (root / PLACE).write_bytes(bare)
    (problem,) = write_backup(root, tmp_path / "b.zip").problems
    assert problem.place == f"{PLACE} line 3"
    assert names_in(tmp_path / "b.zip")[PLACE] == bare


def look_then(monkeypatch: pytest.MonkeyPatch, root: Path, then: Callable[[], None]) -> None:
    """Do something right after the first look at the logbook."""
    look, looks = backup.contents, []

    def looking(path: Path) -> object:
        found = look(path)
        if path == root / PLACE and not looks:
            looks.append(path)
            then()
        return found

    monkeypatch.setattr(backup, "contents", looking)


def test_a_line_that_is_being_written_is_waited_for(
    root: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The writer holds the lock and ends its line only when half of it was seen."""
    whole = (root / PLACE).read_bytes()
    (root / PLACE).write_bytes(whole[:-20])
    begun, seen = threading.Event(), threading.Event()

    def write() -> None:
        with hold(root / "locks" / f"{HOIST}.lock", HOIST):
            begun.set()
            seen.wait()
            (root / PLACE).write_bytes(whole)

    def never(_path: Path) -> object:
        raise AssertionError("looked at without the lock")

    look_then(monkeypatch, root, seen.set)
    monkeypatch.setattr(backup, "read_whole", never)
    thread = threading.Thread(target=write)
    thread.start()
    begun.wait()
    try:
        assert write_backup(root, tmp_path / "b.zip").problems == ()
    finally:
        seen.set()
        thread.join()
    assert names_in(tmp_path / "b.zip")[PLACE] == whole


def test_a_session_that_does_not_let_go_holds_no_backup_up(
    root: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    torn = tear(root)
    monkeypatch.setattr(backup, "WAIT_SECONDS", 0.01)
    with hold(root / "locks" / f"{HOIST}.lock", HOIST):
        (problem,) = write_backup(root, tmp_path / "b.zip").problems
    assert problem.place == f"{PLACE} line 4"
    assert names_in(tmp_path / "b.zip")[PLACE] == torn


def test_no_lock_is_made_where_nobody_ever_wrote(root: Path, tmp_path: Path) -> None:
    """It would belong to whoever takes the backup, and keep the technician from sealing."""
    torn = tear(root)
    for lock in (root / "locks").iterdir():
        lock.unlink()
    (problem,) = write_backup(root, tmp_path / "b.zip").problems
    assert problem.place == f"{PLACE} line 4"
    assert names_in(tmp_path / "b.zip")[PLACE] == torn
    assert list((root / "locks").iterdir()) == []
