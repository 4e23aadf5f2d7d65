"""Proves that the scope tells first what was not seen, and every item once."""

import pytest

from fieldlog.domain.report_content import Report
from fieldlog.operations.reporting import inspection_report
from fieldlog.operations.shop import Shop
from tests.operations.report_samples import (
    section,
    story,
    words_of,
)


@pytest.fixture(scope="module")
def told(tmp_path_factory: pytest.TempPathFactory) -> tuple[Shop, str]:
    return story(tmp_path_factory.mktemp("story"))


@pytest.fixture(scope="module")
def visit(told: tuple[Shop, str]) -> Report:
    return inspection_report(*told, 3)


def test_what_was_not_seen_is_told_before_what_was(told: tuple[Shop, str]) -> None:
    words = words_of(section(inspection_report(*told), "What was looked at"))
    assert words.startswith("Not seen, and so not passed: Book, certificates, last report.")
    assert "Identity and nameplate | not seen | Book, certificates, last report" in words
    assert "| ok | Nameplate complete and legible" not in words
    assert "Tag and hoist belong together; Nameplate complete and legible" in words
