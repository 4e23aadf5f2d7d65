"""What the register remembers is read for comparing, and is never believed further than it can be."""

from hashlib import sha256
from pathlib import Path

import pytest

from fieldlog.store.ending import GENESIS
from fieldlog.store.reading import check_chain
from fieldlog.store.register_heads import known_heads, shown_sum
from tests.store.samples import HOIST, OTHER
from tests.store.stores import register, small_store

STAMP = "test"  # that of the register which `tests.store.stores` makes


@pytest.fixture
def path(tmp_path: Path) -> Path:
    small_store(tmp_path)
    register(tmp_path).refresh()
    return tmp_path / "register.json"


def test_every_hoist_is_known_by_its_last_line_and_the_state_of_its_file(path: Path) -> None:
    known = known_heads(path)
    assert known.keys() == {HOIST, OTHER}
    for name, held in known.items():
        file = path.parent / "logbooks" / f"{name}.jsonl"
        last = file.read_bytes().splitlines(keepends=True)[-1]
        assert held.anchor.head == sha256(last).hexdigest()
        assert (held.lines, held.anchor.lines) == (3, 3)
        assert held.state == (file.stat().st_size, file.stat().st_mtime_ns)


def test_rows_are_told_where_they_were_worked_out_under_the_same_stamp(path: Path) -> None:
    book = check_chain(HOIST, (path.parent / "logbooks" / f"{HOIST}.jsonl").read_bytes())
    shown = register(path.parent).shows(book)
    assert shown == ("", b'{"entries":3,"head":"%b"}' % book.head.encode())
    assert known_heads(path, STAMP)[HOIST].shown == shown_sum(*shown) != shown_sum("it is bent", shown[1])
    assert [held.shown for held in known_heads(path, "other rules").values()] == [b"", b""]
    assert [held.shown for held in known_heads(path).values()] == [b"", b""]


def test_rows_that_do_not_stand_as_they_were_written_are_not_told(path: Path) -> None:
    """A power cut may mix the file: that is no hoist shown otherwise, the next list works it out anew."""
    text = path.read_bytes()
    assert text.count(b'"entries":3') == 2
    path.write_bytes(text.replace(b'"entries":3', b'"entries":9', 1))
    known = known_heads(path, STAMP)
    assert [held.shown for held in known.values()] == [b"", b""]
    assert sorted(held.lines for held in known.values()) == [3, 9]


def test_of_a_logbook_with_a_problem_only_the_last_line_is_known(path: Path) -> None:
    file = path.parent / "logbooks" / f"{HOIST}.jsonl"
    before = known_heads(path)[HOIST].anchor.head
    file.write_bytes(file.read_bytes().replace(b"reason 2", b"reason 3"))
    register(path.parent).refresh()
    held = known_heads(path, STAMP)[HOIST]
    assert (held.anchor.head, held.lines) == (before, 0)


@pytest.mark.parametrize(
    "text",
    [
        b"",
        b"{",
        b"[]",
        b'{"hoists":{}}',
        b'{"meta":{},"hoists":3}',
        b'{"meta":{},"hoists":{"1":{"name":"SW-0007-X"}}}',
        b"[" * 100_000,
        b'{"meta":{},"hoists":{"1":{"name":"../x","size":1,"mtime_ns":1,"head":"ab","row":{}}}}',
        b'{"meta":{},"hoists":{"1":{"name":"SW-0007-X","size":1,"mtime_ns":1,"head":"%b","row":{}}}}'
        % GENESIS.encode(),
    ],
)
def test_what_does_not_read_or_names_no_line_of_a_hoist_is_as_no_register(path: Path, text: bytes) -> None:
    path.write_bytes(text)
    assert known_heads(path, STAMP) == {}
    assert len(known_heads(path, STAMP, empty=True)) == (GENESIS.encode() in text)
    path.unlink()
    assert known_heads(path, STAMP) == {}
