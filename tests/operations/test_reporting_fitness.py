"""Proves that a report says 'safe' only where it is so. Source: LOLER (SI 1998/2307), Schedule 1, 6(b) and
7(b): the statement is made 'if such be the case'."""

from datetime import timedelta
from pathlib import Path

import pytest
from msgspec.structs import replace

from fieldlog.domain.records import AnswerKind, DefectGrade, InspectionKind
from fieldlog.domain.verdict import Fitness
from fieldlog.operations.drafting import DefectDraft
from fieldlog.operations.reporting import inspection_report
from fieldlog.operations.reporting_defects import rechecks
from fieldlog.operations.reporting_fitness import NOT_SAID, hindrances, positive_statement
from fieldlog.operations.reporting_visit import read_visit
from fieldlog.operations.shop import Shop, open_shop
from tests.operations.builder import inspect
from tests.operations.report_samples import (
    VISIT_DAY,
    WATCHED,
    found_cracked,
    mended_and_tested,
    released,
    section,
    shop_of,
    words_of,
)

SAFE = "would be safe to operate"


@pytest.fixture
def examined(tmp_path: Path) -> tuple[Shop, str]:
    return shop_of(tmp_path, "uk")


def said(shop: Shop, tag: str) -> str:
    return words_of(section(inspection_report(shop, tag), "Result"))


def test_the_first_examination_says_that_it_is_installed_correctly(examined: tuple[Shop, str]) -> None:
    assert f"It has been installed correctly and {SAFE}" in said(*examined)


def test_a_later_one_says_that_the_hoist_is_safe(examined: tuple[Shop, str]) -> None:
    shop, tag = examined
    inspect(shop, tag, InspectionKind.PERIODIC, day=VISIT_DAY)
    assert f"The hoist {SAFE}" in said(shop, tag)
    assert "installed" not in said(shop, tag)


@pytest.mark.parametrize("occasion", [InspectionKind.PERIODIC, InspectionKind.AFTER_EVENT])
def test_with_a_stopping_defect_nothing_is_said_but_why(
    examined: tuple[Shop, str], occasion: InspectionKind
) -> None:
    shop, tag = examined
    broken = DefectDraft(what="guide cracked", grade=DefectGrade.STOPS_NOW)
    inspect(shop, tag, occasion, day=VISIT_DAY, defects={"upper-guide": broken})
    assert SAFE not in said(shop, tag)
    assert NOT_SAID in said(shop, tag)
    assert "OUT OF SERVICE\nD1: guide cracked" in said(shop, tag)


def test_mended_on_the_visit_it_is_safe_only_once_it_is_returned_to_service(
    examined: tuple[Shop, str],
) -> None:
    shop, tag = examined
    found_cracked(shop, tag)
    mended_and_tested(shop, tag)
    assert "mended 2026-02-27, not returned to service yet" in said(shop, tag)
    assert "stays out of service until its return" in said(shop, tag)
    released(shop, tag)
    line = 3
    assert SAFE in words_of(section(inspection_report(shop, tag, line), "Result"))


def test_a_dated_defect_and_an_item_not_seen_leave_it_out(examined: tuple[Shop, str]) -> None:
    shop, tag = examined
    inspect(shop, tag, InspectionKind.PERIODIC, day=VISIT_DAY, answers={"brake-wear": AnswerKind.NOT_SEEN})
    assert positive_statement(read_visit(shop, tag)) == ""
    assert any("not seen: Brake lining" in why for why in hindrances(read_visit(shop, tag)))


def test_an_open_defect_with_a_risk_of_injury_leaves_it_out_whatever_its_grade(
    examined: tuple[Shop, str],
) -> None:
    shop, tag = examined
    risky = DefectDraft(what="burr on the hook", grade=DefectGrade.WATCH, serious=True)
    inspect(shop, tag, InspectionKind.PERIODIC, day=VISIT_DAY, defects={"lower-hook": risky})
    assert SAFE not in said(shop, tag)
    assert "risk of serious injury" in said(shop, tag)


def test_a_defect_to_be_watched_alone_does_not(examined: tuple[Shop, str]) -> None:
    shop, tag = examined
    inspect(shop, tag, InspectionKind.PERIODIC, day=VISIT_DAY, defects={"hook-latch": WATCHED})
    assert SAFE in said(shop, tag)


def test_a_frequent_check_does_not_call_a_hoist_safe_whose_thorough_one_is_overdue(
    examined: tuple[Shop, str],
) -> None:
    """Examined on 2025-03-03 and due within 12 months (LOLER reg. 9(3)(a)(ii)): the day itself is in time."""
    shop, tag = examined
    due = VISIT_DAY.replace(month=3, day=3)
    inspect(shop, tag, InspectionKind.FREQUENT, day=due)
    assert "the hoist is safe to use" in said(shop, tag)
    inspect(shop, tag, InspectionKind.FREQUENT, day=due + timedelta(days=1))
    assert "the hoist is safe to use." not in said(shop, tag).replace(NOT_SAID, "")
    assert "the periodic inspection was due on 2026-03-03" in said(shop, tag)


def test_not_installed_right_is_not_called_so(tmp_path: Path) -> None:
    shop, tag = shop_of(tmp_path, "uk")
    inspect(
        shop,
        tag,
        InspectionKind.AFTER_MOVE,
        day=VISIT_DAY,
        answers={"installed-right": AnswerKind.NOT_APPLICABLE},
    )
    assert SAFE not in said(shop, tag)
    assert "installed right at this place is answered 'not applicable'" in said(shop, tag)


def test_a_record_that_can_not_be_trusted_speaks_for_no_fitness(examined: tuple[Shop, str]) -> None:
    """What stands behind the damage may be a withdrawal."""
    shop, tag = examined
    path = shop.root / "logbooks" / f"{tag}.jsonl"
    path.write_bytes(path.read_bytes() + b"spoilt\n")
    visit = read_visit(open_shop(shop.root), tag)
    assert visit.standing.fitness is Fitness.OUT_OF_SERVICE
    assert positive_statement(visit) == ""
    assert "does not read as a record" in hindrances(visit)[0]
    assert any("until its logbook is put right" in told for told in rechecks(visit))


def test_a_fault_of_the_records_that_stops_nothing_is_told_and_keeps_nothing_out(
    examined: tuple[Shop, str],
) -> None:
    visit = read_visit(*examined)
    odd = replace(visit, opened=replace(visit.opened, problem="line 3 mends what no line reports"))
    assert hindrances(odd)[0] == "line 3 mends what no line reports"
    assert not any("It stays out of service" in told for told in rechecks(odd))
