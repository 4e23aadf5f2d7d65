"""The answer for one hoist: which records are kept until when, and by which rule."""

from datetime import date
from pathlib import Path

import pytest

from fieldlog.domain.records import InspectionKind
from fieldlog.operations.retaining import kept_records, retention_lines
from fieldlog.operations.shop import Shop, open_hoist
from tests.operations.builder import inspect, ready_shop, register

MARCH, NEXT = date(2025, 3, 10), date(2026, 3, 1)


@pytest.fixture
def shop(tmp_path: Path) -> Shop:
    return ready_shop(tmp_path)


def test_under_loler_a_periodic_report_is_kept_for_two_years_at_least(shop: Shop) -> None:
    # SI 1998/2307 (LOLER), reg. 11(2)(a)(iv): the next report or two years, whichever is later
    hoist = register(shop, day=MARCH, rulebook="uk")
    inspect(shop, hoist.id, InspectionKind.PERIODIC, day=MARCH)
    inspect(shop, hoist.id, InspectionKind.PERIODIC, day=NEXT)
    opened = open_hoist(shop, hoist.id)
    assert {kept.number: kept.until for kept in kept_records(opened)} == {2: date(2027, 3, 10), 3: None}
    lines = retention_lines(opened)
    assert lines[0] == "line 2    2025-03-10  inspection         keep until 2027-03-10"
    assert lines[1].endswith("keep until open ended")
    assert any("1998/2307" in line and line.endswith("[published]") for line in lines)


@pytest.mark.parametrize("rulebook", ["general", "us", "de"])
def test_elsewhere_all_records_are_kept_while_the_hoist_is_used(shop: Shop, rulebook: str) -> None:
    # DOE-STD-1090-96: no time is set; BetrSichV, annex 3: the whole time of use
    hoist = register(shop, day=MARCH, rulebook=rulebook)
    inspect(shop, hoist.id, InspectionKind.PERIODIC, day=MARCH)
    inspect(shop, hoist.id, InspectionKind.PERIODIC, day=NEXT)
    assert [kept.until for kept in kept_records(open_hoist(shop, hoist.id))] == [None] * 3


def test_where_no_rule_asks_that_is_said(shop: Shop) -> None:
    assert retention_lines(open_hoist(shop, register(shop, rulebook="uk").id)) == [
        "rulebook uk asks to keep no record of this hoist"
    ]
