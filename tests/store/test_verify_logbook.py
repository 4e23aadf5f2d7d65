"""Whatever single byte or line of a sealed logbook is changed, verifying it finds it.

The chain itself is checked against hashlib alone (FIPS 180-4), as in samples.chain_by_hand.
"""

import json
from datetime import timedelta
from hashlib import sha256
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fieldlog.domain.records import (
    Defect,
    DefectGrade,
    Hoist,
    Inspection,
    LabelPrinted,
    Mending,
    Signature,
    StruckOut,
)
from fieldlog.store import verify_logbook
from fieldlog.store.codec import encode, from_plain, plain
from fieldlog.store.ending import GENESIS
from fieldlog.store.reading import check_chain
from fieldlog.store.verify_logbook import Anchor, LogbookReport, read_whole, verify_book, verify_bytes
from tests.domain.build import hoist
from tests.store.samples import DAY, HOIST, OTHER, WHEN, chain_by_hand, inspection, uid, withdrawal

Change = tuple[bytes, ...]


def registration(tag: str = HOIST) -> Hoist:
    return from_plain({**plain(hoist()), "id": tag}, Hoist)


def logbook(*bodies: object, begin: int = 1, tag: str = HOIST, minutes: tuple[int, ...] = ()) -> bytes:
    """A chained logbook of these records after a registration."""
    data, prev = b"", GENESIS
    for number, body in enumerate((registration(tag), *bodies), start=begin):
        at = WHEN + timedelta(minutes=minutes[number - begin] if minutes else number)
        line = encode(body, prev=prev, uid=uid(number), by="Ada Fenn", at=at)  # type: ignore[arg-type]
        data, prev = data + line, sha256(line).hexdigest()
    return data


def heads_of(data: bytes) -> list[str]:
    return [sha256(line).hexdigest() for line in data.splitlines(keepends=True)]


def known(data: bytes) -> tuple[Anchor, ...]:
    heads = heads_of(data)
    return (Anchor(head=heads[-1], lines=len(heads), source="the register"),)


def report(data: bytes, anchors: tuple[Anchor, ...] = ()) -> LogbookReport:
    known = frozenset({"caliper-0.05"})
    return verify_book(check_chain(HOIST, data), data, anchors=anchors, instruments=known)


@pytest.fixture(scope="module")
def good() -> bytes:
    return logbook(withdrawal("hook cracked"), inspection(1), withdrawal("again"))


def test_a_good_logbook_has_no_problem_and_its_head_is_the_hash_of_its_last_line(good: bytes) -> None:
    found = report(good, known(good))
    assert (found.problems, found.notes, found.lines, found.size) == ((), (), 4, len(good))
    assert found.head == sha256(good.splitlines(keepends=True)[-1]).hexdigest()
    assert chain_by_hand(good)[0] == GENESIS


def test_every_byte_flipped_in_turn_is_found(good: bytes) -> None:
    """Each byte in one of its bits, the bit chosen by its place; the last line needs what was known of it."""
    anchors = known(good)
    for place in range(len(good)):
        flipped = bytearray(good)
        flipped[place] ^= 1 << (place % 8)
        assert report(bytes(flipped), anchors).problems, place


def test_every_bit_of_the_first_lines_is_found_without_any_anchor(good: bytes) -> None:
    """A later line names them, so that nothing kept elsewhere is needed."""
    last = good.rindex(b"\n", 0, -1) + 1
    for place in range(0, last, 7):
        for bit in range(8):
            flipped = bytearray(good)
            flipped[place] ^= 1 << bit
            assert report(bytes(flipped)).problems, (place, bit)


def test_every_line_removed_doubled_or_swapped_is_found(good: bytes) -> None:
    lines, anchors = good.splitlines(keepends=True), known(good)
    for number in range(len(lines)):
        without = lines[:number] + lines[number + 1 :]
        doubled = lines[: number + 1] + lines[number:]
        assert report(b"".join(without), anchors).problems, number
        assert report(b"".join(doubled), anchors).problems, number
        for other in range(number):
            swapped = list(lines)
            swapped[number], swapped[other] = swapped[other], swapped[number]
            assert report(b"".join(swapped), anchors).problems, (number, other)


@given(st.binary(min_size=1, max_size=30), st.integers(0, 10**6), st.integers(0, 30))
def test_anything_put_in_or_over_is_found(piece: bytes, place: int, over: int) -> None:
    good = logbook(withdrawal("hook cracked"), withdrawal("again"))
    place %= len(good) + 1
    changed = good[:place] + piece + good[place + over :]
    if changed != good:
        assert report(changed, known(good)).problems


def test_a_logbook_cut_after_a_whole_line_is_found_by_what_was_known_of_it(good: bytes) -> None:
    cut = good[: good.rindex(b"\n", 0, -1) + 1]
    assert report(cut).problems == ()
    (problem,) = report(cut, known(good)).problems
    assert "its line 4 was" in problem.wrong
    assert "lines were changed or cut" in problem.wrong


def test_lines_added_since_are_no_problem(good: bytes) -> None:
    head = Anchor(head=heads_of(good)[1], lines=2, source="heads.txt")
    assert report(good, (head,)).problems == ()
    wrong_place = Anchor(head=heads_of(good)[1], lines=3, source="heads.txt")
    assert report(good, (wrong_place,)).problems


def test_a_piece_of_a_line_at_the_end_is_told_with_what_to_do(good: bytes) -> None:
    (problem,) = report(good + b'{"v":1,').problems
    assert problem.place == f"logbooks/{HOIST}.jsonl line 5"
    assert "ends in the middle of a line" in problem.wrong
    assert problem.todo


def test_the_first_line_that_is_broken_is_told_and_nothing_after_it(good: bytes) -> None:
    lines = good.splitlines(keepends=True)
    spoilt = b"".join([lines[0], b"spoilt\n", b"spoilt too\n"])
    (problem,) = report(spoilt, known(good)).problems
    assert problem.place.endswith("line 2")


def test_a_clock_set_back_is_told_and_is_no_problem() -> None:
    found = report(logbook(withdrawal(), withdrawal("b"), minutes=(10, 20, 5)))
    assert found.problems == ()
    (note,) = found.notes
    assert note.place.endswith("line 3")
    assert "before the line above" in note.wrong


def test_a_line_is_compared_with_the_one_above_it_alone() -> None:
    """One wrong clock is told once, not again for every line until it is passed."""
    found = report(logbook(withdrawal(), withdrawal("b"), withdrawal("c"), minutes=(10, 20, 5, 6)))
    assert [note.place.split()[-1] for note in found.notes] == ["3"]


def test_work_dated_after_its_sealing_is_told_and_is_no_problem() -> None:
    late = from_plain({**plain(withdrawal()), "done_on": str(DAY + timedelta(days=2))}, type(withdrawal()))
    within = from_plain({**plain(withdrawal()), "done_on": str(DAY + timedelta(days=1))}, type(withdrawal()))
    assert len(report(logbook(late)).notes) == 1
    # in another zone it is tomorrow already
    assert report(logbook(within)).notes == ()


def with_defect(name: str) -> Inspection:
    defect = Defect(id=name, item="hook", what="cracked", grade=DefectGrade.STOPS_NOW)
    return from_plain({**plain(inspection()), "defects": [plain(defect)]}, Inspection)


def mending(name: str) -> Mending:
    return Mending(done_on=DAY, defects=(name,), work="new hook", checked_by="Ada Fenn")


@pytest.mark.parametrize(
    ("bodies", "words"),
    [
        ((mending("D1"),), "mends D1"),
        ((with_defect("D1"), mending("D2")), "mends D2"),
        ((with_defect("D1"), with_defect("D1")), "an id that an earlier line took"),
        ((StruckOut(line="f" * 64, why="?"),), "strikes out ffffffffff"),
        ((Signature(line="f" * 64, principal="a", key="k", signature="s"),), "signs ffffffffff"),
        (
            (LabelPrinted(done_on=DAY, label="due", template="t", says="s", head="f" * 10),),
            "printed from ffffffffff",
        ),
        ((registration(OTHER),), f"registers {OTHER}"),
    ],
)
def test_a_reference_to_what_is_not_there_is_a_problem(bodies: tuple[object, ...], words: str) -> None:
    (problem,) = report(logbook(*bodies)).problems
    assert words in problem.wrong


def test_references_that_hold_are_no_problem() -> None:
    first = logbook(with_defect("D1"))
    line = heads_of(first)[1]
    bodies = (
        with_defect("D1"),
        mending("D1"),
        StruckOut(line=line, why="the other hoist"),
        LabelPrinted(done_on=DAY, label="due", template="t", says="s", head=line[:10]),
    )
    assert report(logbook(*bodies)).problems == ()


def test_an_instrument_that_the_shop_does_not_know_is_a_problem() -> None:
    reading = {**plain(inspection().readings[0]), "instrument": "a strange tool"}
    body = from_plain({**plain(inspection()), "readings": [reading]}, Inspection)
    (problem,) = report(logbook(body)).problems
    assert "a strange tool" in problem.wrong
    reading["instrument"] = "caliper-0.05"
    body = from_plain({**plain(inspection()), "readings": [reading]}, Inspection)
    assert report(logbook(body)).problems == ()
    assert verify_bytes(HOIST, logbook(body)).problems == ()


def test_the_same_record_twice_is_a_problem() -> None:
    data, prev = b"", GENESIS
    for body in (registration(), withdrawal(), withdrawal()):
        line = encode(body, prev=prev, uid=uid(7 if data else 1), by="Ada Fenn", at=WHEN)
        data, prev = data + line, sha256(line).hexdigest()
    (problem,) = report(data).problems
    assert "the same record as line 2" in problem.wrong


def test_a_logbook_that_does_not_begin_with_a_registration_is_a_problem() -> None:
    line = encode(withdrawal(), prev=GENESIS, uid=uid(1), by="Ada Fenn", at=WHEN)
    (problem,) = report(line).problems
    assert "registration" in problem.wrong


def test_a_kind_of_a_later_version_is_no_problem(good: bytes) -> None:
    prev = heads_of(good)[-1]
    line = {"v": 2, "prev": prev, "uid": uid(9), "kind": "thread count", "by": "Ada Fenn"}
    later = json.dumps({**line, "at": WHEN.isoformat(), "data": {"count": 3}}).encode() + b"\n"
    found = report(good + later)
    assert (found.problems, found.lines) == ((), 5)


def test_a_line_that_is_being_written_is_looked_at_again(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, good: bytes
) -> None:
    path = tmp_path / "a"
    path.write_bytes(good[:-10])

    def finish(_seconds: float) -> None:
        path.write_bytes(good)

    monkeypatch.setattr(verify_logbook.time, "sleep", finish)
    assert read_whole(path)[0] == good
    path.write_bytes(good[:-10])
    monkeypatch.setattr(verify_logbook.time, "sleep", lambda _seconds: None)
    assert read_whole(path)[0] == good[:-10]
