"""What can not be read is told, in the report and in the zip, and keeps nothing else out of the backup."""

import errno
import os
from hashlib import sha256
from pathlib import Path

import pytest

from fieldlog.errors import StoreError
from fieldlog.store import backup
from fieldlog.store.backup import write_backup
from fieldlog.store.reading import contents, place_of
from fieldlog.store.restore import restore_backup
from tests.store.samples import HOIST, OTHER
from tests.store.stores import contents_of, register, small_store
from tests.store.test_backup import names_in

PLACE = f"logbooks/{HOIST}.jsonl"


@pytest.fixture
def root(tmp_path: Path) -> Path:
    root = tmp_path / "store"
    small_store(root)
    (root / "allowed_signers").write_text("# nobody yet\n")
    (root / "rulebook").mkdir()
    (root / "rulebook" / "ours.toml").write_text("title = 'ours'\n")
    return root


def spoil(root: Path, place: str, how: str) -> None:
    """Put something there that the system does not read as a file, also for root."""
    path = root / place
    path.rename(root.parent / "kept")
    if how == "folder":
        path.mkdir()
    else:
        path.symlink_to(root.parent / "kept")


@pytest.mark.parametrize(("how", "why"), [("folder", "Is a directory"), ("link", "it is a symbolic link")])
@pytest.mark.parametrize(
    "place", [PLACE, "shop/people.jsonl", "shop/settings.jsonl", "allowed_signers", "rulebook/ours.toml"]
)
def test_the_rest_is_backed_up_and_comes_back(
    root: Path, tmp_path: Path, place: str, how: str, why: str
) -> None:
    spoil(root, place, how)
    report = write_backup(root, tmp_path / "b.zip")
    (problem,) = report.problems
    assert (problem.place, problem.wrong) == (
        place,
        f"it can not be read ({why}), so it is not in this backup.",
    )
    assert report.logbooks == (4 if place.endswith(".jsonl") else 5)
    held = names_in(tmp_path / "b.zip")
    rest = {name: data for name, data in contents_of(root).items() if name != place}
    assert {name: held[name] for name in rest} == rest
    assert held.keys() - rest.keys() == {"heads.txt", "SHA256SUMS", "missing.txt"}
    assert held["missing.txt"].decode().splitlines()[1:] == [f"{place}: {why}"]
    assert f"{sha256(held['missing.txt']).hexdigest()}  missing.txt" in held["SHA256SUMS"].decode()
    (told,) = restore_backup(tmp_path / "b.zip", tmp_path / "new").problems
    assert (told.place, told.wrong) == (place, f"it could not be read when the backup was taken ({why}).")
    assert contents_of(tmp_path / "new") == rest


@pytest.mark.parametrize("number", [errno.EIO, errno.EACCES])
def test_a_disk_that_does_not_give_a_logbook_back_is_told(
    root: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, number: int
) -> None:
    def failing(path: Path) -> tuple[bytes, os.stat_result]:
        if path == root / PLACE:
            raise OSError(number, os.strerror(number))
        return contents(path)

    monkeypatch.setattr(backup, "contents", failing)
    (problem,) = write_backup(root, tmp_path / "b.zip").problems
    assert (problem.place, os.strerror(number) in problem.wrong) == (PLACE, True)
    assert PLACE not in names_in(tmp_path / "b.zip")


def test_the_heads_say_what_the_register_knows_of_it(root: Path, tmp_path: Path) -> None:
    register(root).refresh()
    head = sha256((root / PLACE).read_bytes().splitlines(keepends=True)[-1]).hexdigest()
    spoil(root, PLACE, "folder")
    write_backup(root, tmp_path / "b.zip")
    assert f"{head}      3 {HOIST}" in names_in(tmp_path / "b.zip")["heads.txt"].decode()
    (told,) = restore_backup(tmp_path / "b.zip", tmp_path / "new").problems
    assert told.place == PLACE


def test_an_own_file_whose_name_no_backup_takes_is_told(root: Path, tmp_path: Path) -> None:
    (root / "rulebook" / "our own.toml").write_text("")
    (problem,) = write_backup(root, tmp_path / "b.zip").problems
    assert problem.place == "rulebook/our own.toml"
    assert "letters, digits, - and _ only" in problem.wrong
    assert problem.place not in names_in(tmp_path / "b.zip")
    (told,) = restore_backup(tmp_path / "b.zip", tmp_path / "new").problems
    assert told.place == problem.place


def test_a_folder_that_can_not_be_listed_is_told(root: Path, tmp_path: Path) -> None:
    spoil(root, "rulebook", "link")
    (root / "rulebook").unlink()
    (root / "rulebook").write_bytes(b"no folder")
    (problem,) = write_backup(root, tmp_path / "b.zip").problems
    assert (problem.place, "Not a directory" in problem.wrong) == ("rulebook", True)


def test_where_nothing_can_be_read_there_is_no_backup(
    root: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def failing(_path: Path) -> tuple[bytes, os.stat_result]:
        raise OSError(errno.EIO, os.strerror(errno.EIO))

    monkeypatch.setattr(backup, "contents", failing)
    with pytest.raises(StoreError, match=r"no logbook in .* can be read; no backup was written"):
        write_backup(root, tmp_path / "b.zip")
    assert [path.name for path in tmp_path.iterdir()] == ["store"]


def test_a_store_that_can_be_read_has_no_list_of_what_is_missing(root: Path, tmp_path: Path) -> None:
    assert write_backup(root, tmp_path / "b.zip").problems == ()
    assert "missing.txt" not in names_in(tmp_path / "b.zip")


def test_logbooks_that_are_gone_are_told_and_the_rest_comes_back(tmp_path: Path) -> None:
    """A backup without settings, taken in silence, would be one that nobody can restore."""
    root = tmp_path / "store"
    small_store(root)
    register(root).refresh()
    gone = [root / place_of("settings"), root / place_of(OTHER)]
    for path in gone:
        path.unlink()
    told = [str(problem) for problem in write_backup(root, tmp_path / "b.zip").problems]
    assert [path.name in sentence for path, sentence in zip(gone, told, strict=True)] == [True, True]
    assert all("it is not there" in sentence for sentence in told)
    again = restore_backup(tmp_path / "b.zip", tmp_path / "again").problems
    assert [problem.place for problem in again] == [place_of("settings"), place_of(OTHER)]
    assert (tmp_path / "again" / place_of(HOIST)).read_bytes() == (root / place_of(HOIST)).read_bytes()
