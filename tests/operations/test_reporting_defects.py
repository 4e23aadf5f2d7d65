"""Proves that each defect is told with meaning, remedy and date, mended or not."""

import pytest

from fieldlog.domain.report_content import Report
from fieldlog.operations.reporting import inspection_report
from fieldlog.operations.shop import Shop
from tests.operations.builder import ADA
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


def test_a_defect_mended_on_the_visit_stays_in_the_report(visit: Report) -> None:
    """Source: guidance on LOLER reg. 10 (published): all defects are reported, mended on the spot or not."""
    words = words_of(section(visit, "Defects"))
    assert "Upper guide: cracks at the top: upper guide cracked at the top" in words
    assert "Needs: new pocket wheel and both guides." in words
    assert f"Mended 2026-02-27: new pocket wheel, upper and lower guide, checked by {ADA}." in words
    assert "existing or imminent risk of serious injury (mended)" in words
    assert "a copy of this report goes to the enforcing authority" in words


def test_what_must_be_looked_at_again_and_by_when(told: tuple[Shop, str]) -> None:
    words = words_of(section(inspection_report(*told), "Result"))
    assert "Still to be looked at: Book, certificates, last report." in words
    assert "D3: mend and check it before 2026-04-20." in words
    assert "D2: look at it again at the next inspection." in words
