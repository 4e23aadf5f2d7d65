"""Logbooks: the chain can be checked by hand, every change is found, and nobody seals over somebody else."""

import hashlib
import os
import shutil
import subprocess
from pathlib import Path

import pytest
from msgspec.structs import replace

from fieldlog.domain.records import Unknown
from fieldlog.errors import ConflictError, DamagedError, LockedError
from fieldlog.store import logbooks as logbooks_module
from fieldlog.store.ending import GENESIS
from fieldlog.store.locks import hold
from fieldlog.store.logbooks import Logbooks
from fieldlog.store.reading import Logbook
from tests.store.samples import HOIST, OTHER, WHEN, chain_by_hand, inspection, seal, uid, withdrawal


@pytest.fixture
def logbooks(tmp_path: Path) -> Logbooks:
    return Logbooks(tmp_path / "store", wait_seconds=0.1)


@pytest.fixture
def three_lines(logbooks: Logbooks) -> Path:
    for number in range(3):
        seal(logbooks, number)
    return file_of(logbooks)


def file_of(logbooks: Logbooks, name: str = HOIST) -> Path:
    return logbooks.root / "logbooks" / f"{name}.jsonl"


def test_a_logbook_that_is_not_there_is_empty_and_reading_makes_nothing(logbooks: Logbooks) -> None:
    assert logbooks.read(HOIST) == Logbook(name=HOIST, entries=(), head="0" * 64)
    assert logbooks.hoist_names() == []
    assert not logbooks.root.exists()


def test_sealed_records_come_back_in_order(logbooks: Logbooks) -> None:
    first = seal(logbooks, 1, reason="first")
    second = logbooks.append(
        HOIST, inspection(), uid=uid(2), by="Ole Dahl", at=WHEN, expected_head=first.line
    )
    book = logbooks.read(HOIST)
    assert book.entries == (first, second)
    assert [(entry.number, entry.by, entry.at) for entry in book.entries] == [
        (1, "Ada Fenn", WHEN),
        (2, "Ole Dahl", WHEN),
    ]
    assert (book.entries[0].body, book.entries[1].body) == (withdrawal("first"), inspection())
    held = file_of(logbooks).stat()
    assert (book.head, book.problem, book.torn) == (second.line, None, False)
    assert (book.end, book.size, book.mtime_ns) == (held.st_size, held.st_size, held.st_mtime_ns)


def test_the_chain_is_that_of_hashlib(three_lines: Path, logbooks: Logbooks) -> None:
    data = three_lines.read_bytes()
    book = logbooks.read(HOIST)
    assert [entry.prev for entry in book.entries] == chain_by_hand(data)
    assert book.head == hashlib.sha256(data.splitlines(keepends=True)[-1]).hexdigest()


@pytest.mark.skipif(shutil.which("sha256sum") is None, reason="needs the sha256sum command")
def test_the_chain_is_proved_with_sed_and_sha256sum_alone(three_lines: Path) -> None:
    # source: FIPS 180-4 as the sha256sum command computes it, which shares no code with fieldlog
    def by_hand(line: int) -> str:
        command = f"sed -n {line}p '{three_lines}' | sha256sum"
        return subprocess.run(command, shell=True, capture_output=True, text=True, check=True).stdout[:64]

    text = three_lines.read_text().splitlines()
    assert f'"prev":"{"0" * 64}"' in text[0]
    assert f'"prev":"{by_hand(1)}"' in text[1]
    assert f'"prev":"{by_hand(2)}"' in text[2]


def test_every_flipped_bit_of_a_logbook_is_found(three_lines: Path, logbooks: Logbooks) -> None:
    good = logbooks.read(HOIST)
    data = three_lines.read_bytes()
    line_of = [number for number, line in enumerate(data.splitlines(keepends=True)) for _ in line]
    with three_lines.open("r+b", buffering=0) as file:
        for place, byte in enumerate(data):
            for bit in range(8):
                os.pwrite(file.fileno(), bytes([byte ^ 1 << bit]), place)
                book = logbooks.read(HOIST)
                # only the kept head pins the last line: there a flip may read well, but not to the same head
                line = line_of[place]
                assert book.problem is not None or (line == 2 and book.head != good.head)
                assert book.entries[:line] == good.entries[:line]
            os.pwrite(file.fileno(), bytes([byte]), place)
    assert logbooks.read(HOIST) == replace(good, mtime_ns=three_lines.stat().st_mtime_ns)


@pytest.mark.parametrize(
    ("order", "line"),
    [
        ((1, 2), 1),  # the first removed
        ((0, 2), 2),  # one from the middle removed
        ((1, 0, 2), 1),  # swapped
        ((0, 2, 1), 2),
        ((0, 0, 1, 2), 2),  # put in once more
        ((0, 1, 2, 2), 4),
        ((0, 1, 0, 2), 3),
        ((), None),  # truncated: only a head kept elsewhere tells
        ((0, 1), None),
    ],
)
def test_removed_swapped_and_inserted_lines_are_found(
    three_lines: Path, logbooks: Logbooks, order: tuple[int, ...], line: int | None
) -> None:
    good = logbooks.read(HOIST)
    lines = three_lines.read_bytes().splitlines(keepends=True)
    three_lines.write_bytes(b"".join(lines[number] for number in order))
    book = logbooks.read(HOIST)
    if line is None:
        assert (book.problem, book.head != good.head) == (None, True)
    else:
        assert book.problem is not None
        assert book.problem.place == f"logbooks/{HOIST}.jsonl line {line}"
        assert len(book.entries) == line - 1


def test_damage_is_told_refused_and_left_as_it_is_while_others_go_on(
    three_lines: Path, logbooks: Logbooks
) -> None:
    head = logbooks.read(HOIST).head
    spoilt = three_lines.read_bytes().replace(b"reason 1", b"reason 9")
    three_lines.write_bytes(spoilt)
    book = logbooks.read(HOIST)
    assert str(book.problem) == (
        f"logbooks/{HOIST}.jsonl line 3: it does not follow the line above: a line was changed, removed, "
        "put in or moved here. Nothing is added to this logbook until it is put right: compare it with a "
        "backup."
    )
    assert [entry.number for entry in book.entries] == [1, 2]
    for expected in (head, book.head):
        with pytest.raises(DamagedError, match=f"{HOIST} was not saved. logbooks/{HOIST}.jsonl line 3"):
            seal(logbooks, 9, head=expected)
    assert three_lines.read_bytes() == spoilt
    assert seal(logbooks, 1, name=OTHER).number == 1


def test_a_torn_tail_behind_damage_is_not_moved(three_lines: Path, logbooks: Logbooks) -> None:
    spoilt = three_lines.read_bytes().replace(b"reason 1", b"reason 9") + b'{"v":1'
    three_lines.write_bytes(spoilt)
    with pytest.raises(DamagedError):
        seal(logbooks, 9)
    assert three_lines.read_bytes() == spoilt


def test_the_second_of_two_technicians_gets_a_conflict_that_names_the_first(logbooks: Logbooks) -> None:
    begun = seal(logbooks, 1).line
    logbooks.append(HOIST, withdrawal(), uid=uid(2), by="Ole Dahl", at=WHEN, expected_head=begun)
    before = file_of(logbooks).read_bytes()
    with pytest.raises(ConflictError) as caught:
        seal(logbooks, 3, head=begun)
    assert str(caught.value) == (
        f"{HOIST} was sealed by Ole Dahl at 2026-11-25 13:05+00:00 since you began; nothing was written"
    )
    assert file_of(logbooks).read_bytes() == before
    assert seal(logbooks, 3).number == 3  # after a look at what the first one sealed


def test_a_record_sealed_as_the_first_conflicts_with_another_first(logbooks: Logbooks) -> None:
    seal(logbooks, 1, head=GENESIS)
    with pytest.raises(ConflictError, match="sealed by Ada Fenn"):
        seal(logbooks, 2, head=GENESIS)


def test_a_head_that_the_logbook_never_had_or_has_lost_is_told_apart(logbooks: Logbooks) -> None:
    seal(logbooks, 1)
    for name in (HOIST, OTHER):
        with pytest.raises(ConflictError, match="no longer holds the record you began from"):
            seal(logbooks, 2, name=name, head="f" * 64)
    assert not file_of(logbooks, OTHER).exists()


def test_the_same_uid_is_sealed_once_however_often_and_late_it_is_sent(logbooks: Logbooks) -> None:
    first = seal(logbooks, 1, head=GENESIS)
    for number in range(2, 6):
        seal(logbooks, number)
    before = file_of(logbooks).read_bytes()
    for again in (logbooks, Logbooks(logbooks.root)):
        assert seal(again, 1, head=GENESIS) == first
        assert seal(again, 1) == first
    assert file_of(logbooks).read_bytes() == before


def test_another_session_and_another_object_see_what_was_sealed(logbooks: Logbooks) -> None:
    other = Logbooks(logbooks.root)
    first = seal(logbooks, 1)
    second = seal(other, 2)
    assert seal(logbooks, 3).prev == second.line
    assert second.prev == first.line


def test_lines_of_later_versions_stay_and_records_follow_them(three_lines: Path, logbooks: Logbooks) -> None:
    head = logbooks.read(HOIST).head
    later = (
        f'{{"v":2,"prev":"{head}","uid":"{uid(50)}","kind":"varnish","by":"Ole Dahl",'
        '"at":"2031-01-01T00:00:00+00:00","data":{"coats":2}}\n'
    )
    with three_lines.open("a") as file:
        file.write(later)
    book = logbooks.read(HOIST)
    assert book.problem is None
    assert book.entries[-1].body == Unknown(name="varnish", data={"coats": 2})
    assert seal(logbooks, 9).number == 5
    assert later in three_lines.read_text()


def test_sealing_checks_nothing_anew_that_has_not_changed(
    logbooks: Logbooks, monkeypatch: pytest.MonkeyPatch
) -> None:
    heads = [seal(logbooks, number).line for number in range(3)]
    checked: list[str] = []
    original = logbooks_module.check_chain

    def watched(name: str, data: bytes) -> Logbook:
        checked.append(name)
        return original(name, data)

    monkeypatch.setattr(logbooks_module, "check_chain", watched)
    head = seal(logbooks, 3, head=heads[-1]).line
    assert checked == []  # so a save costs the same whatever the history
    head = seal(Logbooks(logbooks.root), 4, head=head).line
    assert checked == [HOIST]  # nothing known yet
    seal(logbooks, 5, head=head)
    assert checked == [HOIST, HOIST]  # another session was there
    data = file_of(logbooks).read_bytes()
    file_of(logbooks).write_bytes(data.replace(b"reason 0", b"reason 9"))
    with pytest.raises(DamagedError):
        seal(logbooks, 6, head=hashlib.sha256(data.splitlines(keepends=True)[-1]).hexdigest())


def test_only_the_last_few_logbooks_are_kept_in_mind(logbooks: Logbooks) -> None:
    for number in range(20):
        seal(logbooks, number, name=f"SW-{number:04d}-A")
    assert len(logbooks._kept) == logbooks_module.KEPT_LOGBOOKS


def test_who_reads_very_many_crowds_nothing_out(logbooks: Logbooks) -> None:
    for number in range(3):
        seal(logbooks, number, name=f"SW-{number:04d}-A")
    kept = dict(logbooks._kept)
    other = Logbooks(logbooks.root)
    assert other.read_once("SW-0001-A") == logbooks.read_once("SW-0001-A") == other.read("SW-0001-A")
    assert other.read_once("SW-0009-A") == other.read("SW-0009-A")
    assert logbooks._kept == kept
    assert list(other._kept) == ["SW-0001-A"]


def test_a_held_lock_keeps_writers_out_and_lets_readers_in(logbooks: Logbooks) -> None:
    head = seal(logbooks, 1).line
    before = file_of(logbooks).read_bytes()
    with hold(logbooks.root / "locks" / f"{HOIST}.lock", HOIST):
        with pytest.raises(LockedError, match=rf"{HOIST} is held by .* \(process {os.getpid()}\)"):
            seal(logbooks, 2, head=head)
        assert logbooks.read(HOIST).head == head
        assert seal(logbooks, 1, name=OTHER).number == 1
    assert file_of(logbooks).read_bytes() == before
    assert seal(logbooks, 2, head=head).number == 2


def test_size_and_entries_belong_together_while_somebody_else_seals(
    logbooks: Logbooks, monkeypatch: pytest.MonkeyPatch
) -> None:
    seal(logbooks, 1)
    original = os.fstat

    def slow(fd: int) -> os.stat_result:
        held = original(fd)
        monkeypatch.setattr(os, "fstat", original)
        seal(Logbooks(logbooks.root), 2)
        return held

    monkeypatch.setattr(os, "fstat", slow)
    book = logbooks.read(HOIST)
    assert (len(book.entries), book.size, book.torn) == (1, book.end, False)
    assert len(logbooks.read(HOIST).entries) == 2
