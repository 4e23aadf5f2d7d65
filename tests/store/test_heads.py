"""The list of heads is plain text to compare with sha256sum, and a list that was cut is found out."""

import subprocess
from pathlib import Path

import pytest

from fieldlog.errors import InputError, NotSavedError
from fieldlog.store.heads import heads_text, parse_heads, read_heads, write_heads
from fieldlog.store.logbooks import Logbooks
from fieldlog.store.verify_logbook import LogbookReport
from tests.store.faults import WatchedCalls
from tests.store.samples import HOIST, OTHER, seal

REPORTS = (
    LogbookReport(name=OTHER, lines=12, head="b" * 64),
    LogbookReport(name="people", lines=2, head="c" * 64),
    LogbookReport(name=HOIST, lines=3, head="a" * 64),
    LogbookReport(name="SW-0001-0"),
)


def test_what_was_written_is_read_again(tmp_path: Path) -> None:
    path = tmp_path / "heads.txt"
    assert read_heads(path) is None
    write_heads(path, REPORTS)
    held = read_heads(path)
    assert held is not None
    assert {name: (anchor.head[0], anchor.lines, anchor.source) for name, anchor in held.items()} == {
        HOIST: ("a", 3, "heads.txt"),
        OTHER: ("b", 12, "heads.txt"),
        "people": ("c", 2, "heads.txt"),
    }


def test_a_head_is_what_sha256sum_says_of_the_last_line(tmp_path: Path) -> None:
    logbooks = Logbooks(tmp_path)
    for number in range(3):
        seal(logbooks, number)
    path = tmp_path / "logbooks" / f"{HOIST}.jsonl"
    told = subprocess.run(
        f"tail -n1 '{path}' | sha256sum", shell=True, capture_output=True, text=True, check=True
    )
    assert told.stdout.split()[0] == logbooks.read(HOIST).head


def test_a_list_that_was_cut_or_changed_is_refused() -> None:
    text = heads_text(REPORTS)
    lines = text.splitlines(keepends=True)
    for cut in range(len(lines)):
        with pytest.raises(InputError):
            parse_heads("".join(lines[:cut]), "heads.txt")
    for gone in range(1, len(lines) - 1):
        with pytest.raises(InputError, match="was cut or changed"):
            parse_heads("".join(lines[:gone] + lines[gone + 1 :]), "heads.txt")
    for wrong in ("SW-0007-X", "../etc", "PEOPLE"):
        with pytest.raises(InputError, match=r"heads\.txt line 4"):
            parse_heads(text.replace("people", wrong + " x"), "heads.txt")
    with pytest.raises(InputError, match=f"names {HOIST} a second time"):
        parse_heads(text.replace(OTHER, HOIST), "heads.txt")


def test_a_folder_in_its_place_is_said(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="can not be read"):
        read_heads(tmp_path)
    with pytest.raises(NotSavedError, match="could not be written"):
        write_heads(tmp_path / "none" / "heads.txt", REPORTS)


def test_a_list_is_on_the_disk_before_it_takes_the_place_of_the_old_one(tmp_path: Path) -> None:
    calls = WatchedCalls()
    write_heads(tmp_path / "heads.txt", REPORTS, files=calls)
    assert [call for call, _ in calls.seen] == ["open", "open", "write", "fsync", "replace"]
