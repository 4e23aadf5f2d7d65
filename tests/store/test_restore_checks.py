"""A zip that is no whole backup as it was written is refused; what it was taken without is told."""

import tracemalloc
from collections.abc import Callable
from hashlib import sha256
from pathlib import Path
from zipfile import ZIP_DEFLATED, ZipFile, ZipInfo

import pytest

from fieldlog.errors import InputError, NotSavedError
from fieldlog.store import restore_checks
from fieldlog.store.backup import write_backup
from fieldlog.store.restore import BackupError, restore_backup
from tests.store.samples import HOIST
from tests.store.stores import contents_of, small_store

PLACE, SUMS = f"logbooks/{HOIST}.jsonl", "SHA256SUMS"
Changed = Callable[..., Path]


@pytest.fixture
def root(tmp_path: Path) -> Path:
    small_store(tmp_path / "store")
    return tmp_path / "store"


@pytest.fixture
def file(root: Path, tmp_path: Path) -> Path:
    write_backup(root, tmp_path / "b.zip")
    return tmp_path / "b.zip"


@pytest.fixture
def changed(file: Path, tmp_path: Path) -> Changed:
    """The backup with files changed, left out or added, each with a right checksum of its own in the zip.

    `listed`: the list of hashes is made anew too, so that it goes with the files.
    """

    def make(changes: dict[str, bytes | None], *, twice: str = "", listed: bool = False) -> Path:
        path = tmp_path / "changed.zip"
        with ZipFile(file) as old, ZipFile(path, "w") as new:
            held = {name: old.read(name) for name in old.namelist()} | changes
            if listed:
                files = {name: data for name, data in held.items() if name != SUMS and data is not None}
                rows = [f"{sha256(data).hexdigest()}  {name}\n" for name, data in files.items()]
                held[SUMS] = "".join(rows).encode()
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


def test_a_name_that_would_steer_the_terminal_is_shown_harmless(tmp_path: Path, changed: Changed) -> None:
    assert "\n  ?[2J: no backup of fieldlog holds such a file" in refused(changed({"\x1b[2J": b""}), tmp_path)


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
    monkeypatch.setattr(restore_checks, "MOST_BYTES", 100)
    assert "unpacks to more than any logbook" in refused(file, tmp_path)


@pytest.mark.parametrize("name", [PLACE, "heads.txt", SUMS])
def test_no_more_is_unpacked_than_the_zip_says(file: Path, tmp_path: Path, name: str) -> None:
    """64 MiB of zeros in 64 KiB, said to be 100 bytes: what is packed there must not fill the memory."""
    bomb = tmp_path / "bomb.zip"
    with ZipFile(file) as old, ZipFile(bomb, "w", ZIP_DEFLATED) as new:
        for held in old.namelist():
            new.writestr(held, bytes(1 << 26) if held == name else old.read(held))
        # the list at the end of the zip, which is what readers go by, is written from this on closing
        new.getinfo(name).file_size = 100
    tracemalloc.start()
    try:
        with pytest.raises((BackupError, InputError)):
            restore_backup(bomb, tmp_path / "new")
        assert tracemalloc.get_traced_memory()[1] < 1 << 24
    finally:
        tracemalloc.stop()
    assert left(tmp_path) == ["store"]


def test_a_list_of_heads_that_was_changed_is_told_with_all_other_faults(
    tmp_path: Path, changed: Changed
) -> None:
    told = refused(changed({"heads.txt": b"spoilt", PLACE: b"spoilt"}), tmp_path)
    for name in ("heads.txt", PLACE):
        assert f"{name}: its bytes are not those that were backed up" in told


@pytest.mark.parametrize(
    ("lacking", "why"),
    [
        (None, "it is empty"),
        (("heads.txt",), "heads.txt is not in it"),
        (("shop/settings.jsonl",), "shop/settings.jsonl is not in it"),
        ((PLACE, "shop/settings.jsonl"), "shop/settings.jsonl is not in it"),
    ],
)
def test_what_is_no_whole_backup_is_refused_in_one_sentence(
    tmp_path: Path, changed: Changed, lacking: tuple[str, ...] | None, why: str
) -> None:
    path = changed(dict.fromkeys(lacking or ()), listed=True)
    if lacking is None:
        ZipFile(path, "w").close()
    with pytest.raises(InputError) as caught:
        restore_backup(path, tmp_path / "new")
    assert str(caught.value) == f"{path} is no whole backup of fieldlog: {why}"
    assert left(tmp_path) == ["store"]


def test_a_logbook_that_the_heads_name_and_the_zip_lacks_is_told(
    root: Path, tmp_path: Path, changed: Changed
) -> None:
    report = restore_backup(changed({PLACE: None}, listed=True), tmp_path / "new")
    assert [str(problem) for problem in report.problems] == [
        f"{PLACE}: heads.txt names it, but the backup lacks it. Look for it in an earlier backup."
    ]
    rest = {name: data for name, data in contents_of(root).items() if name != PLACE}
    assert contents_of(tmp_path / "new") == rest


def test_what_the_backup_says_it_lacks_is_told_once(tmp_path: Path, changed: Changed) -> None:
    missing = (
        b"# what could not be read when this backup was taken\n%b: Input/output error\n" % PLACE.encode()
    )
    report = restore_backup(changed({PLACE: None, "missing.txt": missing}, listed=True), tmp_path / "new")
    (problem,) = report.problems
    assert (problem.place, "(Input/output error)" in problem.wrong) == (PLACE, True)
    assert not (tmp_path / "new" / "missing.txt").exists()


@pytest.mark.parametrize("name", ["heads.txt", "missing.txt"])
def test_a_list_that_does_not_read_is_said_with_the_name_of_the_zip(
    tmp_path: Path, changed: Changed, name: str
) -> None:
    with pytest.raises(InputError, match=rf"^{name} in changed\.zip is no list of "):
        restore_backup(changed({name: b"spoilt\n"}, listed=True), tmp_path / "new")
    assert left(tmp_path) == ["store"]


def test_what_is_no_zip_is_said(tmp_path: Path) -> None:
    (tmp_path / "b.zip").write_bytes(b"PK not really")
    with pytest.raises(InputError, match="does not read as a backup"):
        restore_backup(tmp_path / "b.zip", tmp_path / "new")


def test_a_file_that_can_not_be_read_is_blamed_itself(tmp_path: Path) -> None:
    """A folder in the place of the zip, which root can not read as a file either."""
    folder = tmp_path / "folder"
    folder.mkdir()
    with pytest.raises(InputError, match=r"the backup .*/folder can not be read \(Is a directory\)"):
        restore_backup(folder, tmp_path / "new")


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
