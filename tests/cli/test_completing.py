"""Proves that the shell is offered commands, options and tags, as the argcomplete protocol asks for them.

Protocol: argcomplete's documentation (COMP_LINE and COMP_POINT in, the words on file descriptor 8 or a file).
"""

import os
import subprocess
import sys
from pathlib import Path

import pytest

from fieldlog.operations.shop import Shop

ROOT = Path(__file__).parents[2]


def offered(line: str, tmp_path: Path, **more: str) -> set[str]:
    out = tmp_path / "offered"
    environment = {
        **os.environ,
        "PYTHONPATH": str(ROOT),
        "_ARGCOMPLETE": "1",
        "_ARGCOMPLETE_IFS": "\n",
        "_ARGCOMPLETE_SUPPRESS_SPACE": "1",
        "_ARGCOMPLETE_STDOUT_FILENAME": str(out),
        "COMP_LINE": line,
        "COMP_POINT": str(len(line)),
        **more,
    }
    subprocess.run(
        [sys.executable, "-m", "fieldlog"], env=environment, capture_output=True, check=False, timeout=20
    )
    return set(out.read_text().split("\n")) - {""}


@pytest.mark.parametrize(
    ("line", "word"),
    [
        ("fieldlog ver", "verify"),
        ("fieldlog hoist han", "handover"),
        ("fieldlog export due --fo", "--format"),
    ],
)
def test_commands_and_options_are_offered(tmp_path: Path, line: str, word: str):
    assert {found.strip() for found in offered(line, tmp_path)} == {word}


def test_tags_of_the_store_are_offered(shop: Shop, tmp_path: Path):
    names = set(shop.logbooks.hoist_names())
    for typed, wanted in (("SW", names), ("sw", {name.lower() for name in names})):
        found = offered(f"fieldlog hoist show {typed}", tmp_path, FIELDLOG_STORE=str(shop.root))
        assert {tag.strip() for tag in found} == wanted


def test_without_a_store_nothing_is_offered_and_nothing_breaks(tmp_path: Path):
    assert offered("fieldlog hoist show SW", tmp_path, FIELDLOG_STORE=str(tmp_path / "none")) == set()
