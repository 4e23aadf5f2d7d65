"""A backup comes back byte for byte, and one that is not as it was written leaves nothing behind."""

import errno
import os
import stat
from collections.abc import Callable
from hashlib import sha256
from pathlib import Path
from zipfile import ZIP_STORED, ZipFile, ZipInfo

import pytest

from fieldlog.errors import InputError, NotSavedError
from fieldlog.store import restore
from fieldlog.store.backup import SUMS, write_backup
from fieldlog.store.logbooks import Logbooks
from fieldlog.store.restore import BackupError, restore_backup
from fieldlog.store.verify import verify_store
from tests.store.faults import WatchedCalls
from tests.store.samples import HOIST, seal
from tests.store.stores import contents_of, small_store

PLACE = f"logbooks/{HOIST}.jsonl"


@pytest.fixture
def root(tmp_path: Path) -> Path:
    small_store(tmp_path / "store")
    return tmp_path / "store"


@pytest.fixture
def file(root: Path, tmp_path: Path) -> Path:
    write_backup(root, tmp_path / "b.zip")
    return tmp_path / "b.zip"


@pytest.fixture
def changed(file: Path, tmp_path: Path) -> Callable[..., Path]:
    """The backup with files changed, left out or added, each with a right checksum of its own."""

    def make(changes: dict[str, bytes | None], *, twice: str = "") -> Path:
        path = tmp_path / "changed.zip"
        with ZipFile(file) as old, ZipFile(path, "w") as new:
            held = {name: old.read(name) for name in old.namelist()} | changes
            for name, data in held.items():
                if data is not None:
                    new.writestr(ZipInfo(name), data)
            if twice:
                with pytest.warns(UserWarning, match="Duplicate"):
                    new.writestr(ZipInfo(twice), b"again")
        return path

    return make


def left(tmp_path: Path) -> list[str]:
    return sorted(path.name for path in tmp_path.iterdir() if path.suffix != ".zip")


def refused(file: Path, tmp_path: Path) -> str:
    with pytest.raises(BackupError) as caught:
        restore_backup(file, tmp_path / "new")
    assert left(tmp_path) == ["store"]
    assert caught.value.exit_code == 1
    return str(caught.value)


@pytest.mark.parametrize("there", [False, True])
def test_it_comes_back_byte_for_byte_and_goes_on(root: Path, file: Path, tmp_path: Path, there: bool) -> None:
    new = tmp_path / "new"
    if there:
        new.mkdir()
    seen: list[tuple[int, int]] = []
    report = restore_backup(file, new, progress=lambda done, total: seen.append((done, total)))
    assert contents_of(new) == contents_of(root)
    assert (report.files, report.problems) == (6, ())
    assert (seen[0], seen[-1]) == ((1, 12), (12, 12))
    modes = {stat.S_IMODE(path.stat().st_mode) for path in new.rglob("*") if path.is_file()}
    folders = {stat.S_IMODE(path.stat().st_mode) for path in [new, *new.rglob("*")] if path.is_dir()}
    assert (modes, folders) == ({0o600}, {0o700})
    assert verify_store(new).problems == ()
    assert seal(Logbooks(new), 99).number == 4


def test_all_of_it_has_reached_the_disk_before_it_takes_its_place(file: Path, tmp_path: Path) -> None:
    watched = WatchedCalls()
    restore_backup(file, tmp_path / "new", files=watched)
    synced = [name for call, name in watched.seen if call == "fsync"]
    assert {path.name for path in (tmp_path / "new").rglob("*") if path.is_file()} <= set(synced)
    assert synced[-3:] == ["folder"] * 3


def test_a_backup_that_changes_while_it_is_read_leaves_nothing_behind(
    file: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    read = ZipFile.read

    def changing(archive: ZipFile, name: str) -> bytes:
        return read(archive, name).replace(b"reason 2", b"reason 3")

    monkeypatch.setattr(ZipFile, "read", changing)
    assert f"{PLACE}: it changed while it was read" in refused(file, tmp_path)


@pytest.mark.parametrize("what", ["file", "folder with a file"])
def test_a_place_that_is_taken_is_refused(file: Path, tmp_path: Path, what: str) -> None:
    taken = tmp_path / "taken"
    if what == "file":
        taken.write_bytes(b"mine")
    else:
        taken.mkdir()
        (taken / "mine").write_bytes(b"mine")
    with pytest.raises(InputError, match="name a new folder"):
        restore_backup(file, taken)
    assert (taken if what == "file" else taken / "mine").read_bytes() == b"mine"


def test_every_byte_flipped_in_the_records_is_refused(
    file: Path, tmp_path: Path, changed: Callable[..., Path]
) -> None:
    with ZipFile(file) as archive:
        data = archive.read(PLACE)
    for place in range(0, len(data), 97):
        spoilt = bytearray(data)
        spoilt[place] ^= 4
        assert f"{PLACE}: its bytes are not those" in refused(changed({PLACE: bytes(spoilt)}), tmp_path)


def test_bytes_flipped_in_the_zip_itself_never_give_another_store(
    root: Path, file: Path, tmp_path: Path
) -> None:
    """Some bytes of a zip mean nothing, such as a time; what is restored is right or nothing is."""
    data = file.read_bytes()
    outcomes = set()
    for place in range(0, len(data), 7):
        spoilt = bytearray(data)
        spoilt[place] ^= 16
        (tmp_path / "spoilt.zip").write_bytes(bytes(spoilt))
        new = tmp_path / f"new{place}"
        try:
            restore_backup(tmp_path / "spoilt.zip", new)
            assert contents_of(new) == contents_of(root)
            outcomes.add("right")
        except (BackupError, InputError, NotSavedError):
            assert not new.exists()
            outcomes.add("refused")
    assert outcomes == {"right", "refused"}
    assert [name for name in left(tmp_path) if "restoring" in name] == []


@pytest.mark.parametrize(
    "name",
    ["../evil", "/tmp/evil", "logbooks/../../evil", "a\\..\\evil", "C:evil", "register.json", "logbooks/"],
)
def test_a_name_that_leads_out_or_is_not_ours_is_refused(
    tmp_path: Path, changed: Callable[..., Path], name: str
) -> None:
    assert "no backup of fieldlog holds such a file" in refused(changed({name: b"evil"}), tmp_path)


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"SHA256SUMS": None}, "the list of hashes is missing"),
        ({PLACE: None}, "SHA256SUMS names it, but it is missing"),
        ({"rulebook/more.toml": b"x"}, "SHA256SUMS does not name it"),
        ({"SHA256SUMS": b"spoilt\n"}, "a line of it does not read"),
    ],
)
def test_the_list_of_hashes_and_the_files_must_agree(
    tmp_path: Path, changed: Callable[..., Path], changes: dict[str, bytes | None], words: str
) -> None:
    assert words in refused(changed(changes), tmp_path)


def test_a_file_that_stands_twice_is_refused(tmp_path: Path, changed: Callable[..., Path]) -> None:
    assert "more than once" in refused(changed({}, twice=PLACE), tmp_path)


def test_what_unpacks_to_too_much_is_refused(
    file: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(restore, "MOST_BYTES", 100)
    assert "unpacks to more than any logbook" in refused(file, tmp_path)


def test_what_was_damaged_when_it_was_backed_up_comes_back_and_is_told(root: Path, tmp_path: Path) -> None:
    path = root / PLACE
    path.write_bytes(path.read_bytes().replace(b"reason 1", b"reason 7"))
    write_backup(root, tmp_path / "b.zip")
    report = restore_backup(tmp_path / "b.zip", tmp_path / "new")
    assert contents_of(tmp_path / "new") == contents_of(root)
    assert [problem.place for problem in report.problems] == [f"{PLACE} line 3"]


def test_what_is_no_zip_is_said(tmp_path: Path) -> None:
    (tmp_path / "b.zip").write_bytes(b"PK not really")
    with pytest.raises(InputError, match="does not read as a backup"):
        restore_backup(tmp_path / "b.zip", tmp_path / "new")


@pytest.mark.parametrize("number", [errno.ENOSPC, errno.EIO])
def test_a_disk_that_refuses_leaves_nothing(
    file: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, number: int
) -> None:
    def refuse(*_: object) -> None:
        raise OSError(number, os.strerror(number))

    monkeypatch.setattr(restore, "write_all", refuse)
    with pytest.raises(NotSavedError, match="was not restored into"):
        restore_backup(file, tmp_path / "new")
    assert left(tmp_path) == ["store"]


def test_a_zip_without_compression_by_another_tool_is_taken(root: Path, file: Path, tmp_path: Path) -> None:
    with ZipFile(file) as old, ZipFile(tmp_path / "other.zip", "w", ZIP_STORED) as new:
        for name in reversed(old.namelist()):
            new.writestr(name, old.read(name))
    restore_backup(tmp_path / "other.zip", tmp_path / "new")
    assert contents_of(tmp_path / "new") == contents_of(root)


def test_a_logbook_shorter_than_the_heads_in_the_backup_say_is_told(
    file: Path, tmp_path: Path, changed: Callable[..., Path]
) -> None:
    """Its own chain holds and its hash was made anew; only the list of heads remembers the line."""
    with ZipFile(file) as archive:
        whole, sums = archive.read(PLACE), archive.read(SUMS)
    shorter = b"".join(whole.splitlines(keepends=True)[:-1])
    sums = sums.replace(sha256(whole).hexdigest().encode(), sha256(shorter).hexdigest().encode())
    report = restore_backup(changed({PLACE: shorter, SUMS: sums}), tmp_path / "new")
    (problem,) = report.problems
    assert problem.place.startswith(PLACE)
