"""Proves that a file is there whole or not at all, whatever stops its writing."""

import os
from pathlib import Path

import pytest

from fieldlog.errors import NotSavedError
from fieldlog.printing.whole import whole_file


class CancelledError(Exception):
    """What a caller raises to stop."""


def write_half(place: Path, fault: BaseException) -> None:
    with whole_file(place, replace=True) as stream:
        stream.write(b"half a fi")
        raise fault


def test_it_is_there_once_the_block_ends(tmp_path: Path):
    place = tmp_path / "labels.pdf"
    with whole_file(place) as stream:
        stream.write(b"first")
        assert not place.exists()
    assert place.read_bytes() == b"first"
    assert [path.name for path in tmp_path.iterdir()] == ["labels.pdf"]


@pytest.mark.parametrize("fault", [CancelledError, KeyboardInterrupt, OSError(28, "No space left on device")])
def test_what_stood_there_stays_where_the_block_raises(tmp_path: Path, fault: BaseException):
    place = tmp_path / "labels.pdf"
    place.write_bytes(b"old")
    told = NotSavedError if isinstance(fault, OSError) else fault
    with pytest.raises(told):
        write_half(place, fault)
    assert place.read_bytes() == b"old"
    assert [path.name for path in tmp_path.iterdir()] == ["labels.pdf"]


def test_a_place_that_can_not_be_written_is_told_in_one_sentence(tmp_path: Path):
    for place in (tmp_path / "no" / "such" / "labels.pdf", tmp_path):
        with pytest.raises(NotSavedError, match=f"^{place} can not be written: "), whole_file(place):
            pytest.fail("nothing is drawn for a place that is not there")
    assert list(tmp_path.iterdir()) == []


def test_rights_of_the_file_before_and_links_to_it_are_kept(tmp_path: Path):
    place, link = tmp_path / "labels.pdf", tmp_path / "link.pdf"
    place.write_bytes(b"old")
    place.chmod(0o640)
    link.symlink_to(place)
    with whole_file(link, replace=True) as stream:
        stream.write(b"new")
    assert link.is_symlink()
    assert (place.read_bytes(), place.stat().st_mode & 0o777) == (b"new", 0o640)


def test_a_pipe_is_written_straight(tmp_path: Path):
    pipe = tmp_path / "pipe"
    os.mkfifo(pipe)
    reader = os.open(pipe, os.O_RDONLY | os.O_NONBLOCK)
    with whole_file(pipe) as stream:
        stream.write(b"straight")
    assert os.read(reader, 100) == b"straight"
    os.close(reader)
