"""Proves which records belong to the report of one inspection, and that later ones do not change it."""

from datetime import timedelta
from pathlib import Path

import pytest

from fieldlog.domain.records import Inspection, InspectionKind, StruckOut
from fieldlog.errors import InputError, NotFoundError
from fieldlog.operations.reporting import inspection_report
from fieldlog.operations.reporting_visit import last_thorough, read_visit
from fieldlog.operations.shop import Shop, append, open_hoist
from tests.operations.builder import ADA, at, inspect, ready_shop, register
from tests.operations.report_samples import (
    FIRST_DAY,
    NEXT_DAY,
    VISIT_DAY,
    found_cracked,
    left_open,
    mended_and_tested,
    released,
    section,
    shop_of,
    words_of,
)


@pytest.fixture
def cracked(tmp_path: Path) -> tuple[Shop, str]:
    shop, tag = shop_of(tmp_path, "uk")
    found_cracked(shop, tag)
    return shop, tag


def line_of(shop: Shop, tag: str, occasion: InspectionKind) -> int:
    entries = open_hoist(shop, tag).history.entries
    return next(e.number for e in entries if isinstance(e.body, Inspection) and e.body.occasion is occasion)


def strike(shop: Shop, tag: str, line: int, why: str) -> None:
    opened = open_hoist(shop, tag)
    body = StruckOut(line=opened.history.entries[line - 1].line, why=why)
    append(shop, tag, body, by=ADA, now=at(NEXT_DAY), head=opened.head)


def test_the_latest_inspection_is_taken_unless_a_line_is_named(cracked: tuple[Shop, str]) -> None:
    shop, tag = cracked
    assert read_visit(shop, tag).body.done_on == VISIT_DAY
    assert read_visit(shop, tag, 2).body.occasion is InspectionKind.FIRST_USE


def test_a_line_without_an_inspection_is_refused_with_those_that_have_one(cracked: tuple[Shop, str]) -> None:
    shop, tag = cracked
    with pytest.raises(InputError, match=r"is no inspection but a registration: .* lines 2, 3"):
        read_visit(shop, tag, 1)
    with pytest.raises(NotFoundError, match="has no line 77: it ends at line 3"):
        read_visit(shop, tag, 77)


def test_a_hoist_without_an_inspection_has_nothing_to_report(tmp_path: Path) -> None:
    shop = ready_shop(tmp_path)
    hoist = register(shop)
    with pytest.raises(NotFoundError, match=r"no inspection .* is sealed yet"):
        read_visit(shop, hoist.id)


def test_what_is_done_on_the_day_belongs_to_the_visit(cracked: tuple[Shop, str]) -> None:
    shop, tag = cracked
    mended_and_tested(shop, tag)
    visit = read_visit(shop, tag)
    assert [state.mended_on for state in visit.defects] == [VISIT_DAY]
    assert [test.done_on for _, test in visit.tests] == [VISIT_DAY]
    assert visit.read_to.number == visit.entry.number + 2


def test_what_is_sealed_of_a_later_day_does_not_change_a_report(cracked: tuple[Shop, str]) -> None:
    """A reprint says what the first print said; the head on it stays the one it was made from."""
    shop, tag = cracked
    before = inspection_report(shop, tag)
    line = read_visit(shop, tag).entry.number
    mended_and_tested(shop, tag, VISIT_DAY + timedelta(days=3))
    inspect(shop, tag, InspectionKind.AFTER_REPAIR, day=VISIT_DAY + timedelta(days=4))
    assert inspection_report(shop, tag, line) == before


def test_a_defect_found_before_and_still_open_is_told_again(cracked: tuple[Shop, str]) -> None:
    shop, tag = cracked
    inspect(shop, tag, InspectionKind.FREQUENT, day=VISIT_DAY + timedelta(days=1))
    visit = read_visit(shop, tag)
    assert [state.defect.id for state in visit.defects] == ["D1"]
    assert visit.defects[0].entry == 3


def test_a_defect_mended_before_the_visit_is_not(cracked: tuple[Shop, str]) -> None:
    shop, tag = cracked
    mended_and_tested(shop, tag)
    released(shop, tag)
    left_open(shop, tag)
    assert {state.defect.id for state in read_visit(shop, tag).defects} == {"D2", "D3"}


def test_the_last_thorough_inspection_is_not_the_last_frequent_one(cracked: tuple[Shop, str]) -> None:
    shop, tag = cracked
    inspect(shop, tag, InspectionKind.FREQUENT, day=VISIT_DAY + timedelta(days=1))
    inspect(shop, tag, InspectionKind.FREQUENT, day=VISIT_DAY + timedelta(days=2))
    before = last_thorough(read_visit(shop, tag))
    assert before is not None
    assert before.done_on == VISIT_DAY


def test_a_struck_inspection_says_so_first_and_states_nothing(cracked: tuple[Shop, str]) -> None:
    shop, tag = cracked
    line = line_of(shop, tag, InspectionKind.PERIODIC)
    strike(shop, tag, line, "typed for the hoist beside it")
    report = inspection_report(shop, tag, line)
    result = words_of(section(report, "Result"))
    assert result.startswith("STRUCK OUT\nThis record does not hold: typed for the hoist beside it")
    assert "safe" not in result
    assert "No date follows" in words_of(section(report, "Next due"))
    assert "upper guide cracked" in words_of(section(report, "Defects"))
    assert read_visit(shop, tag).body.done_on == FIRST_DAY


def test_an_earlier_line_struck_later_no_longer_counts(cracked: tuple[Shop, str]) -> None:
    shop, tag = cracked
    strike(shop, tag, 2, "typed for the hoist beside it")
    visit = read_visit(shop, tag)
    assert visit.earlier == ()
    assert visit.read_to.number == 4


def test_a_defect_found_before_and_mended_on_the_day_is_told_as_mended(cracked: tuple[Shop, str]) -> None:
    shop, tag = cracked
    mended_and_tested(shop, tag, NEXT_DAY)
    inspect(shop, tag, InspectionKind.AFTER_REPAIR, day=NEXT_DAY)
    told = words_of(section(inspection_report(shop, tag), "Defects"))
    assert "Seen 2026-02-27, line 3." in told
    assert "Mended 2026-04-01" in told
