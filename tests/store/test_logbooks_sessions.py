"""Sessions killed at any moment, and many at once: nothing acknowledged is lost, changed or doubled."""

import re
import subprocess
import sys
from collections import Counter
from hashlib import sha256
from pathlib import Path

import pytest

from fieldlog.store.logbooks import Logbooks
from tests.store.samples import HOIST, chain_by_hand, seal, uid
from tests.store.writing_session import NAMES

REPOSITORY = Path(__file__).parents[2]


def run(*arguments: str | int | Path) -> list[str]:
    command = [sys.executable, "-m", "tests.store.writing_session", *map(str, arguments)]
    done = subprocess.run(command, cwd=REPOSITORY, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    return done.stdout.splitlines()


def lines_by_uid(root: Path) -> dict[str, str]:
    """The SHA-256 of each line by the uid in it, from the bytes alone; each uid may stand there once."""
    found: dict[str, str] = {}
    for path in sorted((root / "logbooks").glob("*.jsonl")):
        data = path.read_bytes()
        whole = data[: data.rfind(b"\n") + 1]
        lines = whole.splitlines(keepends=True)
        for line, prev in zip(lines, chain_by_hand(whole), strict=False):
            held = re.search(rb'^\{"v":1,"prev":"(\w{64})","uid":"(\w{32})"', line)
            assert held is not None
            assert held[1].decode() == prev
            assert held[2].decode() not in found
            found[held[2].decode()] = sha256(line).hexdigest()
    return found


def check_killed_sessions(root: Path, kills: int, seed: int) -> None:
    acknowledged = dict(line.split() for line in run("kill-at-random", root, kills, seed))
    assert len(acknowledged) >= kills // 2  # sessions that never got to seal would prove nothing
    found = lines_by_uid(root)
    assert acknowledged.items() <= found.items()
    # at most the one record that was on its way when the last session was killed
    assert len(found) - len(acknowledged) in (0, 1)
    logbooks = Logbooks(root)
    for name in NAMES:
        assert logbooks.read(name).problem is None
        seal(logbooks, 10**9 + NAMES.index(name), name=name)


def test_sixty_kills_at_random_moments_lose_nothing(tmp_path: Path) -> None:
    check_killed_sessions(tmp_path, kills=60, seed=1)


@pytest.mark.long
def test_three_hundred_kills_at_random_moments_lose_nothing(tmp_path: Path) -> None:
    check_killed_sessions(tmp_path, kills=300, seed=2)


@pytest.mark.parametrize("begun", ["nothing", "two lines", "two lines and a torn tail", "a torn tail"])
def test_a_kill_at_any_call_of_a_save_leaves_all_or_nothing_of_it(tmp_path: Path, begun: str) -> None:
    template = tmp_path / "template"
    template.mkdir()
    tail = b'{"v":1,"prev":"00' if "torn" in begun else b""
    earlier = 2 if "two" in begun else 0
    for number in range(earlier):
        seal(Logbooks(template), number)
    path = template / "logbooks" / f"{HOIST}.jsonl"
    path.parent.mkdir(exist_ok=True)
    good = path.read_bytes() if earlier else b""
    if earlier or tail:
        path.write_bytes(good + tail)
    outcomes: Counter[str] = Counter()
    for answer in run("kill-at-each-call", tmp_path, template):
        root, outcome = answer.split()
        outcomes[outcome] += 1
        check_after_kill(tmp_path / root, good, tail, number=earlier + 1, sealed=outcome == "sealed")
    # lock file, logbook, write, sync: at least four calls, a kill before and after each, and half a write
    assert outcomes["killed"] >= 9
    assert outcome == "sealed"  # the sweep went past the last call


def check_after_kill(root: Path, good: bytes, tail: bytes, *, number: int, sealed: bool) -> None:
    logbooks = Logbooks(root)
    path = root / "logbooks" / f"{HOIST}.jsonl"
    book = logbooks.read(HOIST)
    assert book.problem is None
    assert len(book.entries) in ((number,) if sealed else (number - 1, number))
    data = path.read_bytes() if path.exists() else b""
    assert data.startswith(good)
    torn = path.with_name(path.name + ".torn")
    kept = torn.read_bytes() if torn.exists() else b""
    assert tail in kept or data[len(good) :].startswith(tail)
    # sent again after the restart, the record is there exactly once
    entry = seal(logbooks, 99, head=book.entries[number - 2].line if number > 1 else "0" * 64)
    assert (entry.number, entry.uid) == (number, uid(99))
    assert len(logbooks.read(HOIST).entries) == number
    assert not tail or tail in torn.read_bytes()


def check_many_writers(root: Path, writers: int, appends: int) -> None:
    run("many-writers", root, writers, appends)
    found = lines_by_uid(root)
    assert set(found) == {uid(number) for number in range(writers * appends)}
    logbooks = Logbooks(root)
    books = [logbooks.read(name) for name in NAMES]
    assert [book.problem for book in books] == [None] * len(NAMES)
    assert not any(book.torn for book in books)
    per_writer = Counter(entry.by for book in books for entry in book.entries)
    assert per_writer == {f"writer {number}": appends for number in range(writers)}


def test_four_sessions_at_once_seal_each_record_once(tmp_path: Path) -> None:
    check_many_writers(tmp_path, writers=4, appends=50)


@pytest.mark.long
def test_four_sessions_at_once_seal_two_thousand_records_once(tmp_path: Path) -> None:
    check_many_writers(tmp_path, writers=4, appends=500)


def test_a_file_that_the_kernel_lets_grow_no_more_keeps_every_whole_line(tmp_path: Path) -> None:
    # the kernel takes a part of the last line and then refuses the rest: a full disk without a faulty double
    (answer,) = run("small-disk", tmp_path, 2000)
    sealed, sentence = answer.split(maxsplit=1)
    assert sentence.startswith(f"{HOIST} was not saved: the disk refused it (")
    book = Logbooks(tmp_path).read(HOIST)
    assert len(book.entries) == int(sealed) > 3
    assert (book.problem, book.torn) == (None, False)
    assert seal(Logbooks(tmp_path), 10**6).number == int(sealed) + 1
