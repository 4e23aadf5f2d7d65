"""Proves that the work list on paper says all that the plan of the visit holds, and invents nothing."""

from datetime import date
from pathlib import Path

import pytest
from msgspec.structs import replace

from fieldlog.domain.records import DefectGrade
from fieldlog.domain.report_content import Report, Table
from fieldlog.operations.drafting import DefectDraft
from fieldlog.operations.reporting_work_list import work_list_report
from fieldlog.operations.shop import Shop
from fieldlog.operations.visiting import plan_visit
from tests.operations.builder import TODAY, inspect, ready_shop, register, with_instrument
from tests.operations.report_samples import section, words_of

BEGUN = date(2026, 11, 1)
WORN = ("165.4", "167.2", "166.0")


@pytest.fixture
def shop(tmp_path: Path) -> Shop:
    shop = ready_shop(tmp_path)
    with_instrument(shop, "caliper 1", calibrated_on=date(2026, 6, 1), interval_months=12)
    return shop


def _rows(report: Report, title: str) -> list[list[str]]:
    tables = [block for block in section(report, title).blocks if isinstance(block, Table)]
    return [[words.text for words in row] for table in tables for row in table.rows]


def test_each_hoist_has_a_box_its_dues_its_defects_and_its_state(shop: Shop) -> None:
    hoist = register(shop, day=BEGUN)
    inspect(shop, hoist.id, day=BEGUN)
    visit = plan_visit(shop, "intake hall", TODAY, days=30)
    ((box, tag, what, to_do, state),) = _rows(work_list_report(shop, visit), "Hoists")
    assert (box, tag, state) == ("[   ]", hoist.id, "+ IN SERVICE")
    assert hoist.serial in what
    assert to_do == "2026-12-01 frequent", "monthly from 1 November"


def test_overdue_work_is_named_in_words(shop: Shop) -> None:
    hoist = register(shop, day=BEGUN)
    inspect(shop, hoist.id, day=BEGUN)
    visit = plan_visit(shop, "intake hall", date(2027, 1, 5), days=0)
    report = work_list_report(shop, visit)
    assert _rows(report, "Hoists")[0][3].splitlines()[0] == "OVERDUE"
    assert "1, of which 1 overdue and 0 out of service" in words_of(section(report, "Hoists"))


def test_a_worn_chain_asks_for_spare_chain_of_its_size_and_a_defect_is_named(shop: Shop) -> None:
    """Lift 6 m in one fall and 1 m over."""
    hoist = register(shop, day=BEGUN)
    weak = DefectDraft(what="spring of the latch is weak", grade=DefectGrade.WATCH)
    inspect(shop, hoist.id, day=BEGUN, readings=WORN, defects={"hook-latch": weak})
    report = work_list_report(shop, plan_visit(shop, "intake hall", TODAY, days=30))
    to_do = _rows(report, "Hoists")[0][3]
    assert "spring of the latch is weak" in to_do
    assert "take spare chain along" in to_do
    ((size, _grade, length, for_whom),) = _rows(report, "Spare chain to take")
    assert (size, length, for_whom) == ("5 x 15 mm", "7 m", hoist.id)


def test_tools_are_named_with_their_calibration_and_a_missing_one_is_said(shop: Shop) -> None:
    hoist = register(shop, day=BEGUN)
    inspect(shop, hoist.id, day=BEGUN)
    visit = plan_visit(shop, "intake hall", TODAY, days=30)
    assert "caliper 1 (in calibration until" in _rows(work_list_report(shop, visit), "Tools to take")[0][4]
    without = replace(visit, tools=tuple(replace(need, tools=()) for need in visit.tools))
    assert _rows(work_list_report(shop, without), "Tools to take")[0][4] == "no tool of the shop reaches it"


def test_a_site_with_nothing_to_do_says_so(shop: Shop) -> None:
    hoist = register(shop, day=BEGUN)
    inspect(shop, hoist.id, day=BEGUN)
    report = work_list_report(shop, plan_visit(shop, "intake hall", TODAY, days=0))
    words = "\n".join(words_of(part) for part in report.sections)
    assert "Nothing is due there, and no defect is open." in words
    assert "None: nothing is measured there." in words


def test_records_that_can_not_be_trusted_stand_above_the_work(shop: Shop) -> None:
    register(shop, day=BEGUN)
    visit = plan_visit(shop, "intake hall", TODAY, days=0)
    broken = {"SW-0001-0": "Line 2 does not read."}
    words = words_of(section(work_list_report(shop, replace(visit, distrusted=broken)), "Hoists"))
    told = "X NOT ALL RECORDS CAN BE TRUSTED\nSW-0001-0 can not be trusted. Line 2 does not read."
    assert told in words
    assert "X NOT ALL" not in words_of(section(work_list_report(shop, visit), "Hoists"))
