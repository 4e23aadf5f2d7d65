"""Proves that a hand-over is put into the store whole or not at all, whichever sync fails."""

from collections.abc import Callable
from functools import partial
from pathlib import Path
from zipfile import ZipFile

import pytest

from fieldlog.domain.records import TakenIn
from fieldlog.errors import DamagedError, InputError, LockedError, NotFoundError, RefusedError, StoreError
from fieldlog.store import handover
from fieldlog.store.ending import GENESIS
from fieldlog.store.files import FileCalls
from fieldlog.store.handover import FROM, Handover, read_handover, take_in, write_handover
from fieldlog.store.locks import hold
from fieldlog.store.logbooks import Logbooks
from tests.domain.build import hoist
from tests.store.samples import DAY, HOIST, WHEN, seal, uid


class _Failing(FileCalls):
    """A disk on which the n-th sync fails."""

    def __init__(self, at: int) -> None:
        self.left = at

    def fsync(self, fd: int) -> None:
        self.left -= 1
        if self.left == 0:
            raise OSError(28, "No space left on device")


def written(root: Path, file: Path) -> Handover:
    logbooks = Logbooks(root)
    logbooks.append(HOIST, hoist(id=HOIST), uid=uid(1), by="Ada Fenn", at=WHEN, expected_head=GENESIS)
    seal(logbooks, 2)
    return write_handover(root, HOIST, file, from_shop="Saltmarsh")


def body_for(given: Handover) -> TakenIn:
    return TakenIn(done_on=DAY, from_shop=given.from_shop, lines=given.lines, head=given.head)


def test_what_is_read_is_what_was_written(tmp_path: Path):
    given = written(tmp_path / "a", tmp_path / "h.zip")
    assert read_handover(tmp_path / "h.zip") == given
    assert given.lines == 2
    assert given.data == (tmp_path / "a" / "logbooks" / f"{HOIST}.jsonl").read_bytes()


def test_the_same_logbook_gives_the_same_bytes(tmp_path: Path):
    written(tmp_path / "a", tmp_path / "h.zip")
    write_handover(tmp_path / "a", HOIST, tmp_path / "again.zip", from_shop="Saltmarsh")
    assert (tmp_path / "h.zip").read_bytes() == (tmp_path / "again.zip").read_bytes()


@pytest.mark.parametrize("at", range(1, 9))
def test_a_disk_that_fails_leaves_the_whole_logbook_or_none(tmp_path: Path, at: int):
    given = written(tmp_path / "a", tmp_path / "h.zip")
    store = Logbooks(tmp_path / "b", files=_Failing(at))
    failed = False
    try:
        take_in(store, given, body_for(given), uid=uid(9), by="Ada Fenn", at=WHEN)
    except StoreError:
        failed = True
    book = Logbooks(tmp_path / "b").read(HOIST)
    assert len(book.entries) in ((0, 3) if failed else (3,))
    assert book.problem is None


def test_a_damaged_logbook_is_not_handed_over(tmp_path: Path):
    written(tmp_path / "a", tmp_path / "h.zip")
    path = tmp_path / "a" / "logbooks" / f"{HOIST}.jsonl"
    path.write_bytes(path.read_bytes().replace(b"reason 2", b"reason 3") + b"{}\n")
    with pytest.raises(DamagedError):
        write_handover(tmp_path / "a", HOIST, tmp_path / "x.zip", from_shop="Saltmarsh")
    assert not (tmp_path / "x.zip").exists()


def test_a_hoist_that_is_not_here_and_a_file_that_is_are_told(tmp_path: Path):
    with pytest.raises(NotFoundError):
        write_handover(tmp_path / "none", HOIST, tmp_path / "x.zip", from_shop="Saltmarsh")
    (tmp_path / "h.zip").write_bytes(b"mine")
    with pytest.raises(InputError):
        written(tmp_path / "a", tmp_path / "h.zip")
    assert (tmp_path / "h.zip").read_bytes() == b"mine"


def test_a_forged_line_does_not_excuse_what_stands_above(tmp_path: Path):
    from fieldlog.store.verify_logbook import verify_bytes

    given = written(tmp_path / "a", tmp_path / "h.zip")
    store = Logbooks(tmp_path / "a")
    wrong = TakenIn(done_on=DAY, from_shop="x", lines=1, head=given.head)
    store.append(HOIST, wrong, uid=uid(7), by="Ada Fenn", at=WHEN, expected_head=given.head)
    report = verify_bytes(HOIST, (tmp_path / "a" / "logbooks" / f"{HOIST}.jsonl").read_bytes())
    assert ["takes in" in problem.wrong for problem in report.problems] == [True]


def rewritten(file: Path, change: Callable[[str, bytes], bytes]) -> None:
    with ZipFile(file) as archive:
        parts = {name: archive.read(name) for name in archive.namelist()}
    with ZipFile(file, "w") as archive:
        for name, part in parts.items():
            archive.writestr(name, change(name, part))


def test_a_part_that_does_not_match_its_sum_is_refused(tmp_path: Path):
    """The shop's name is covered by no chain: the sum alone finds that it was changed."""
    file = tmp_path / "h.zip"
    written(tmp_path / "a", file)
    rewritten(file, lambda name, part: b"Sedgemoor\n" if name == FROM else part)
    with pytest.raises(RefusedError, match=f"{FROM} does not match its sum"):
        read_handover(file)


def test_while_another_session_holds_the_logbook_nothing_is_taken_in(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
):
    given = written(tmp_path / "a", tmp_path / "h.zip")
    root = tmp_path / "b"
    (root / "locks").mkdir(parents=True)
    monkeypatch.setattr(handover, "hold", partial(hold, seconds=0))
    with hold(root / "locks" / f"{HOIST}.lock", HOIST, shared=False), pytest.raises(LockedError):
        take_in(Logbooks(root), given, body_for(given), uid=uid(9), by="Ada Fenn", at=WHEN)
    assert not (root / "logbooks" / f"{HOIST}.jsonl").exists()
