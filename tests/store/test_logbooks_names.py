"""Logbooks by name: what is listed, that no name leads out of the store, and who may read the files."""

import re
import stat
from pathlib import Path

import pytest

from fieldlog.errors import DamagedError, InputError, StoreError
from fieldlog.store.ending import GENESIS
from fieldlog.store.logbooks import Logbooks
from fieldlog.store.reading import place_of
from tests.store.samples import HOIST, OTHER, WHEN, seal, uid, withdrawal


@pytest.fixture
def logbooks(tmp_path: Path) -> Logbooks:
    return Logbooks(tmp_path / "store")


def file_of(logbooks: Logbooks, name: str = HOIST) -> Path:
    return logbooks.root / "logbooks" / f"{name}.jsonl"


def test_listing_finds_hoists_and_nothing_else(logbooks: Logbooks) -> None:
    seal(logbooks, 1, name=OTHER)
    seal(logbooks, 2)
    logbooks.append("people", withdrawal(), uid=uid(3), by="Ada Fenn", at=WHEN, expected_head=GENESIS)
    folder = logbooks.root / "logbooks"
    for name in ("SW-0009-T.jsonl.torn", "notes.txt", "sw-0007-X.jsonl", "SW-0010-J", ".SW-0007-X.jsonl"):
        (folder / name).write_bytes(b"x")
    (folder / "SW-0011-H.jsonl").write_bytes(b"")  # a session was killed before its first record
    assert logbooks.hoist_names() == [HOIST, OTHER]
    held = (folder / f"{HOIST}.jsonl").stat()
    assert logbooks.stat_all()[HOIST] == (held.st_size, held.st_mtime_ns)
    assert set(logbooks.stat_all()) == {HOIST, OTHER}
    assert seal(logbooks, 4, name="SW-0011-H").number == 1


@pytest.mark.parametrize("name", ["settings", "people", "instruments", "sites"])
def test_the_shop_has_logbooks_of_its_own(logbooks: Logbooks, name: str) -> None:
    entry = seal(logbooks, 1, name=name)
    assert (logbooks.root / "shop" / f"{name}.jsonl").stat().st_size == logbooks.read(name).size
    assert logbooks.read(name).entries == (entry,)


@pytest.mark.parametrize(
    "name",
    [
        "",
        "../SW-0007-X",
        "SW-0007-X/..",
        "SW-0007-X\n",
        "SW-0007-X\0",
        "sw-0007-X",
        "SW-007-X",
        "SW-0000007-X",
        "S-0007-X",
        "ABCDE-0007-X",
        "SW-0007-XX",
        "SW-０００７-X",
        "SW-0007-x",
        "settings/../people",
        "locks",
        "/etc/passwd",
        "x" * 10_000,
    ],
)
def test_no_name_leads_out_of_the_store(logbooks: Logbooks, name: str) -> None:
    for use in (place_of, logbooks.read, lambda name: seal(logbooks, 1, name=name, head=GENESIS)):
        with pytest.raises(InputError, match="no logbook can be called"):
            use(name)
    assert not logbooks.root.exists()


def test_a_symbolic_link_in_place_of_a_logbook_is_neither_read_nor_written(
    logbooks: Logbooks, tmp_path: Path
) -> None:
    seal(logbooks, 1)
    elsewhere = tmp_path / "elsewhere"
    elsewhere.write_bytes(file_of(logbooks).read_bytes())
    file_of(logbooks, OTHER).symlink_to(elsewhere)
    book = logbooks.read(OTHER)
    assert re.search(r"it can not be read \(.*symbolic links\)", str(book.problem))
    with pytest.raises(DamagedError):
        seal(logbooks, 2, name=OTHER)
    assert elsewhere.read_bytes() == file_of(logbooks).read_bytes()


def test_a_logbook_that_can_not_be_read_has_a_problem_and_gets_no_record(logbooks: Logbooks) -> None:
    file_of(logbooks).mkdir(parents=True)
    book = logbooks.read(HOIST)
    assert (book.entries, book.problem is None) == ((), False)
    with pytest.raises(DamagedError, match="can not be read"):
        seal(logbooks, 1)


def test_a_folder_that_can_not_be_listed_is_told(logbooks: Logbooks) -> None:
    logbooks.root.mkdir()
    (logbooks.root / "logbooks").write_bytes(b"")
    with pytest.raises(StoreError, match="can not be read"):
        logbooks.hoist_names()
    with pytest.raises(StoreError, match=f"{HOIST} was not saved"):
        seal(logbooks, 1, head=GENESIS)


def test_a_private_store_is_for_its_owner_alone(logbooks: Logbooks) -> None:
    seal(logbooks, 1)
    for path in [logbooks.root, *logbooks.root.rglob("*")]:
        assert stat.S_IMODE(path.stat().st_mode) == (0o700 if path.is_dir() else 0o600), path


def test_a_shared_store_is_open_to_its_group(logbooks: Logbooks) -> None:
    logbooks.root.mkdir()
    logbooks.root.chmod(0o2770)
    seal(logbooks, 1)
    for path in logbooks.root.rglob("*"):
        assert stat.S_IMODE(path.stat().st_mode) == (0o2770 if path.is_dir() else 0o660), path
