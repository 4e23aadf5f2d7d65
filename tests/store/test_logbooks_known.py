"""What sealing asks before it writes: a line that is known to have stood there, and the right to write."""

import os
from pathlib import Path

import pytest

from fieldlog.errors import StoreError
from fieldlog.store.ending import GENESIS
from fieldlog.store.logbooks import Logbooks
from tests.store.samples import HOIST, seal


def test_a_known_line_is_looked_for_once_where_nobody_else_seals(tmp_path: Path) -> None:
    asked: list[str] = []

    def known_head(name: str) -> str:
        asked.append(name)
        return ""

    logbooks, head = Logbooks(tmp_path, known_head=known_head), GENESIS
    for number in range(1, 4):
        head = seal(logbooks, number, head=head).line
    assert asked == [HOIST]
    head = seal(Logbooks(tmp_path), 4).line
    seal(logbooks, 5, head=head)
    assert asked == [HOIST, HOIST]


def test_a_store_that_can_only_be_read_says_so_before_anything_is_done(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    logbooks = Logbooks(tmp_path)
    logbooks.check_may_write()
    seal(logbooks, 1)
    logbooks.check_may_write()
    monkeypatch.setattr(os, "access", lambda *_: False)
    with pytest.raises(StoreError, match="can only be read from here"):
        logbooks.check_may_write()
