"""Proves that a hoist goes to another shop byte for byte, and that changed files are refused."""

from hashlib import sha256
from pathlib import Path
from zipfile import ZipFile

import pytest

from fieldlog.domain.records import TakenIn
from fieldlog.errors import IncompleteError, InputError, NotFoundError, RefusedError
from fieldlog.operations.due import due_list
from fieldlog.operations.exporting import rows_of
from fieldlog.operations.handing_over import hand_over, retire, take_in_hoist
from fieldlog.operations.hoist_page import hoist_page
from fieldlog.operations.shop import Shop, open_hoist
from fieldlog.operations.verifying import verify
from tests.operations.builder import ADA, NOW, TODAY, inspect, ready_shop, register, with_instrument

WHO = {"by": ADA, "now": NOW, "today": TODAY}


@pytest.fixture
def giver(tmp_path: Path) -> Shop:
    return ready_shop(tmp_path / "giver", prefix="gv")


@pytest.fixture
def taker(tmp_path: Path) -> Shop:
    return ready_shop(tmp_path / "taker")


def given(giver: Shop, file: Path) -> str:
    """A hoist measured with a tool that only the giver knows, handed over into the file."""
    with_instrument(giver, "our caliper")
    hoist = register(giver)
    inspect(giver, hoist.id, instrument="our caliper")
    hand_over(giver, hoist.id, file)
    return hoist.id


def logbook(shop: Shop, name: str) -> bytes:
    return (shop.root / "logbooks" / f"{name}.jsonl").read_bytes()


def test_every_byte_arrives_and_both_stores_verify(giver: Shop, taker: Shop, tmp_path: Path):
    name = given(giver, tmp_path / "h.zip")
    taken, entry = take_in_hoist(taker, tmp_path / "h.zip", **WHO)
    before, after = logbook(giver, name), logbook(taker, name)
    assert after.startswith(before)
    assert after[len(before) :].count(b"\n") == 1
    # the head by hand, with hashlib (FIPS 180-4)
    assert taken.head == sha256(before.splitlines(keepends=True)[-1]).hexdigest()
    assert entry.body == TakenIn(done_on=TODAY, from_shop="Saltmarsh Hoist Service", lines=2, head=taken.head)
    assert verify(taker).problems == ()
    assert verify(giver).problems == ()
    assert open_hoist(taker, name).history.last_readings[0].instrument == "our caliper"
    assert "taken in from" in hoist_page(taker, name, TODAY).timeline[-1].says


def test_work_goes_on_in_the_new_store(giver: Shop, taker: Shop, tmp_path: Path):
    name = given(giver, tmp_path / "h.zip")
    take_in_hoist(taker, tmp_path / "h.zip", **WHO)
    inspect(taker, name)
    assert verify(taker).problems == ()


def test_the_head_on_paper_is_compared(giver: Shop, taker: Shop, tmp_path: Path):
    given(giver, tmp_path / "h.zip")
    for head in ("0123456789", "abc"):
        with pytest.raises(RefusedError, match="not what was handed over"):
            take_in_hoist(taker, tmp_path / "h.zip", head=head, **WHO)
    assert taker.logbooks.hoist_names() == []


def test_a_tag_that_is_here_is_refused_and_stays_as_it_is(giver: Shop, taker: Shop, tmp_path: Path):
    name = given(giver, tmp_path / "h.zip")
    take_in_hoist(taker, tmp_path / "h.zip", **WHO)
    before = logbook(taker, name)
    with pytest.raises(RefusedError, match="is here already"):
        take_in_hoist(taker, tmp_path / "h.zip", **WHO)
    assert logbook(taker, name) == before


def rewritten(file: Path, **parts: bytes | None) -> Path:
    """The file with some of its parts (dots written as two underscores) put in anew, or left out."""
    with ZipFile(file) as archive:
        held = {name: archive.read(name) for name in archive.namelist()}
    book = next(name for name in held if name.startswith("logbooks/"))
    for key, data in parts.items():
        name = book if key == "book" else key.replace("__", ".")
        if data is None:
            del held[name]
        else:
            held[name] = data
    other = file.with_name("other.zip")
    with ZipFile(other, "w") as archive:
        for name, data in held.items():
            archive.writestr(name, data)
    return other


def test_a_file_that_was_changed_or_cut_is_refused(giver: Shop, taker: Shop, tmp_path: Path):
    file = tmp_path / "h.zip"
    name = given(giver, file)
    book = logbook(giver, name)
    first_line = book.splitlines(keepends=True)[0]

    def sums(data: bytes) -> bytes:
        """SHA256SUMS as a forger would write it, to go with a changed logbook."""
        with ZipFile(file) as archive:
            lines = archive.read("SHA256SUMS").decode().splitlines(keepends=True)
        return "".join(
            f"{sha256(data).hexdigest()}  {line.split('  ')[1]}" if "logbooks/" in line else line
            for line in lines
        ).encode()

    changed = book.replace(b"165.4", b"165.1")
    assert changed != book
    for parts in (
        {"book": changed},
        {"book": changed, "SHA256SUMS": sums(changed)},
        {"book": first_line, "SHA256SUMS": sums(first_line)},
        {"from__txt": b"Somebody else\n"},
    ):
        with pytest.raises(RefusedError, match="not as it was written"):
            take_in_hoist(taker, rewritten(file, **parts), **WHO)
    with pytest.raises(InputError):
        take_in_hoist(taker, rewritten(file, heads__txt=None), **WHO)
    assert taker.logbooks.hoist_names() == []


@pytest.mark.parametrize("data", [b"", b"hello", b"PK\x03\x04 not a zip"])
def test_what_is_no_hand_over_is_one_sentence(taker: Shop, tmp_path: Path, data: bytes):
    (tmp_path / "x.zip").write_bytes(data)
    with pytest.raises(InputError, match="hand-over"):
        take_in_hoist(taker, tmp_path / "x.zip", **WHO)


def test_files_that_are_there_are_not_written_over_and_missing_ones_are_told(giver: Shop, tmp_path: Path):
    name = given(giver, tmp_path / "h.zip")
    with pytest.raises(InputError, match="there already"):
        hand_over(giver, name, tmp_path / "h.zip")
    with pytest.raises(NotFoundError):
        take_in_hoist(giver, tmp_path / "none.zip", **WHO)


def test_a_retired_hoist_is_off_the_due_list_and_its_logbook_stays(taker: Shop):
    hoist = register(taker)
    retire(taker, hoist.id, {"why": "scrapped", "went_to": "the yard"}, **WHO)
    assert due_list(taker, TODAY) == []
    assert rows_of(taker, "hoists", TODAY).rows == ()
    assert len(rows_of(taker, "logbook", TODAY).rows) == 2
    page = hoist_page(taker, hoist.id, TODAY)
    assert "retired: scrapped" in page.standing.reasons
    assert page.timeline[-1].says == "retired: scrapped, went to the yard"
    with pytest.raises(RefusedError, match="is retired since"):
        retire(taker, hoist.id, {"why": "again"}, **WHO)


def test_retiring_needs_a_reason(taker: Shop):
    with pytest.raises(IncompleteError, match="Why is missing"):
        retire(taker, register(taker).id, {}, **WHO)
