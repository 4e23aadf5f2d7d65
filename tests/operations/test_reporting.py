"""Proves that reports are values: the same records give equal ones, in a new session and on any day."""

from pathlib import Path

import pytest

from fieldlog.operations.reporting import chain_report, inspection_report, logbook_report, notice_report
from fieldlog.operations.shop import Shop, open_shop
from tests.operations.report_samples import story

VERBS = (chain_report, inspection_report, logbook_report, notice_report)


@pytest.fixture(scope="module")
def told(tmp_path_factory: pytest.TempPathFactory) -> tuple[Shop, str]:
    return story(tmp_path_factory.mktemp("reporting"))


@pytest.mark.parametrize("verb", VERBS)
def test_another_session_makes_the_same_report(told: tuple[Shop, str], verb: object) -> None:
    shop, tag = told
    assert callable(verb)
    assert verb(shop, tag) == verb(open_shop(shop.root), tag)


def test_reading_writes_nothing(told: tuple[Shop, str]) -> None:
    shop, tag = told
    before = _files(shop.root)
    for verb in VERBS:
        verb(shop, tag)
    assert _files(shop.root) == before


def _files(root: Path) -> dict[Path, bytes]:
    return {path: path.read_bytes() for path in root.rglob("*") if path.is_file()}
