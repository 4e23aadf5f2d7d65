"""Proves what the inspection report holds: identification, dates, findings with rule and source, readings,
defects with remedy, tests, scope, next due, and the seal."""

from pathlib import Path

import pytest

from fieldlog.domain.records import InspectionKind
from fieldlog.domain.report_content import Report
from fieldlog.operations.reporting import inspection_report
from fieldlog.operations.shop import Shop, open_hoist
from tests.operations.builder import ADA, inspect
from tests.operations.report_samples import (
    VISIT_DAY,
    facts_of,
    section,
    shop_of,
    story,
)


@pytest.fixture(scope="module")
def told(tmp_path_factory: pytest.TempPathFactory) -> tuple[Shop, str]:
    return story(tmp_path_factory.mktemp("story"))


@pytest.fixture(scope="module")
def visit(told: tuple[Shop, str]) -> Report:
    return inspection_report(*told, 3)


def test_head_and_foot_name_the_report(told: tuple[Shop, str], visit: Report) -> None:
    entry = open_hoist(*told).history.entries[2]
    assert visit.title == "Report of thorough examination"
    assert (visit.about, visit.author, visit.dated) == (told[1], ADA, VISIT_DAY)
    assert visit.reference == f"Saltmarsh Hoist Service  |  logbook {told[1]}, line 3, {entry.line[:10]}"


def test_the_hoist_is_known_by_more_than_its_tag(told: tuple[Shop, str], visit: Report) -> None:
    words = facts_of(section(visit, "The hoist"))
    assert words["Tag"] == told[1]
    assert (words["Serial number"], words["Year made"]) == ("4711", "2019")
    assert words["Capacity (SWL)"] == "500 kg with 1 fall of chain"
    assert words["Load chain"] == "5 x 15 mm, T"


def test_a_frequent_check_is_no_report_of_thorough_examination(tmp_path: Path) -> None:
    shop, tag = shop_of(tmp_path, "uk")
    inspect(shop, tag, InspectionKind.FREQUENT, day=VISIT_DAY)
    assert inspection_report(shop, tag).title == "Inspection report"
