"""A look at the folder sees hoists' logbooks and nothing else."""

from pathlib import Path

import pytest

from fieldlog.store.scan import hoist_states, read_state_line, state_line, state_lines


def test_only_logbooks_with_something_in_them_are_seen(tmp_path: Path) -> None:
    for name in (
        "SW-0007-X.jsonl",
        "SW-0008-V.jsonl.torn",
        "people.jsonl",
        ".SW-0007-X.jsonl",
        "SW-0009-K.json",
        "XSW-0009-K.jsonl.jsonl",
        "of\nSW-0011-X.jsonl",
        "SW-0011-X.jsonl\n",
    ):
        (tmp_path / name).write_bytes(b"123")
    (tmp_path / "SW-0010-Y.jsonl").write_bytes(b"")
    held = (tmp_path / "SW-0007-X.jsonl").stat()
    assert hoist_states(tmp_path) == {"SW-0007-X": (3, held.st_mtime_ns)}
    assert state_lines(tmp_path) == state_line("SW-0007-X", (3, held.st_mtime_ns))


def test_lines_are_in_order_and_read_as_they_were_written(tmp_path: Path) -> None:
    for name in ("SW-0010-Y", "SW-0007-X", "AB-0001-3", "SW-10000-5"):
        (tmp_path / f"{name}.jsonl").write_bytes(name.encode())
    lines = state_lines(tmp_path).splitlines()
    assert lines == sorted(lines)
    assert dict(map(read_state_line, lines)) == hoist_states(tmp_path)


def test_a_link_is_seen_as_itself(tmp_path: Path) -> None:
    (tmp_path / "elsewhere").write_bytes(b"1" * 1000)
    (tmp_path / "SW-0007-X.jsonl").symlink_to(tmp_path / "elsewhere")
    assert hoist_states(tmp_path)["SW-0007-X"][0] < 1000


def test_no_folder_is_no_logbooks_and_a_file_is_a_fault(tmp_path: Path) -> None:
    assert hoist_states(tmp_path / "none") == {}
    assert state_lines(tmp_path / "none") == b""
    (tmp_path / "file").write_bytes(b"")
    with pytest.raises(NotADirectoryError):
        hoist_states(tmp_path / "file")
