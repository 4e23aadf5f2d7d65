"""A file that stands there is never lost unasked, not even one that came while the new one was written."""

import subprocess
import sys
from pathlib import Path

import pytest

from fieldlog.errors import InputError
from fieldlog.printing.whole import is_taken, whole_file


def test_what_stands_there_stays_unless_it_is_to_be_replaced(tmp_path: Path) -> None:
    place = tmp_path / "labels.pdf"
    place.write_bytes(b"old")
    with pytest.raises(InputError, match=f"^{place} is there already: name another file$"), whole_file(place):
        pytest.fail("nothing is drawn for a name that is taken")
    assert place.read_bytes() == b"old"
    with whole_file(place, replace=True) as stream:
        stream.write(b"new")
    assert place.read_bytes() == b"new"
    assert [path.name for path in tmp_path.iterdir()] == ["labels.pdf"]


def _write_while_another_does(place: Path) -> None:
    with whole_file(place) as stream:
        stream.write(b"mine")
        place.write_bytes(b"another's")


def test_one_that_came_meanwhile_stays(tmp_path: Path) -> None:
    place = tmp_path / "labels.pdf"
    with pytest.raises(InputError, match="is there already"):
        _write_while_another_does(place)
    assert place.read_bytes() == b"another's"
    assert [path.name for path in tmp_path.iterdir()] == ["labels.pdf"]


def test_a_link_to_a_file_is_taken_and_one_to_nothing_is_not(tmp_path: Path) -> None:
    place, link = tmp_path / "labels.pdf", tmp_path / "link.pdf"
    link.symlink_to(place)
    assert not is_taken(link)
    place.write_bytes(b"old")
    assert is_taken(link)
    assert not is_taken(tmp_path)


def test_standard_output_is_never_taken_though_the_shell_made_its_file(tmp_path: Path) -> None:
    code = (
        "from pathlib import Path\n"
        "from fieldlog.printing.whole import whole_file\n"
        "with whole_file(Path('/dev/stdout')) as stream:\n"
        "    stream.write(b'whole')\n"
    )
    target = tmp_path / "out.pdf"
    with target.open("wb") as shell:
        subprocess.run([sys.executable, "-c", code], stdout=shell, check=True)
    assert target.read_bytes() == b"whole"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, check=True)
    assert done.stdout == b"whole"
