"""Proves that the notice tells the owner which defects there are, what they mean for use and what to do.
Source: LOLER reg. 10(1)(a) to (c) and 10(3) (published)."""

from pathlib import Path

import pytest

from fieldlog.domain.records import InspectionKind
from fieldlog.errors import NotFoundError
from fieldlog.operations.reporting import notice_report
from fieldlog.operations.shop import Shop, open_hoist
from tests.operations.builder import inspect
from tests.operations.report_samples import (
    NEXT_DAY,
    VISIT_DAY,
    WATCHED,
    facts_of,
    found_cracked,
    section,
    shop_of,
    story,
    words_of,
)


@pytest.fixture(scope="module")
def told(tmp_path_factory: pytest.TempPathFactory) -> tuple[Shop, str]:
    return story(tmp_path_factory.mktemp("notice"))


def test_all_open_defects_are_told_the_gravest_first(told: tuple[Shop, str]) -> None:
    report = notice_report(*told)
    ids = [line.split(" | ")[0] for line in words_of(section(report, "The defects")).splitlines()]
    assert ids == ["D3", "D2"]
    assert words_of(section(report, "What it means")).startswith("! NO USE FROM 2026-04-20 ON")


def test_a_stopping_defect_forbids_use_and_asks_for_the_copy(tmp_path: Path) -> None:
    shop, tag = shop_of(tmp_path, "uk")
    found_cracked(shop, tag)
    report = notice_report(shop, tag)
    assert words_of(section(report, "What it means")).startswith("X DO NOT USE\nBecause of D1")
    assert "A copy of the report goes to the enforcing authority" in words_of(section(report, "The defects"))
    assert report.dated == VISIT_DAY


def test_outside_the_united_kingdom_no_such_copy_is_asked_for(tmp_path: Path) -> None:
    shop, tag = shop_of(tmp_path, "general")
    found_cracked(shop, tag)
    assert "authority" not in words_of(section(notice_report(shop, tag), "The defects"))


def test_a_mended_one_is_told_as_mended(told: tuple[Shop, str]) -> None:
    report = notice_report(*told, "d1")
    assert words_of(section(report, "What it means")).startswith("+ MENDED")
    assert "Mended 2026-02-27" in words_of(section(report, "The defects"))


def test_one_to_be_watched_stops_nothing(tmp_path: Path) -> None:
    shop, tag = shop_of(tmp_path, "uk")
    inspect(shop, tag, InspectionKind.PERIODIC, day=VISIT_DAY, defects={"hook-latch": WATCHED})
    assert words_of(section(notice_report(shop, tag), "What it means")).startswith("! WATCH")


def test_it_goes_to_the_owner_and_both_sign(told: tuple[Shop, str]) -> None:
    report = notice_report(*told)
    assert facts_of(section(report, "To the owner"))["Address"] == "Pumping Station Road, Saltmarsh"
    assert words_of(section(report, "Received")).startswith(
        "Handed over by: \nFor the owner: Saltmarsh Water Works"
    )


def test_the_line_that_reported_it_is_named(told: tuple[Shop, str]) -> None:
    report = notice_report(*told)
    line = open_hoist(*told).history.entries[7].line
    assert facts_of(section(report, "Seen and sealed"))["D2, D3"] == (
        f"line 8, 2026-04-01 12:00+00:00 by Ada Fenn, {line[:10]}"
    )
    assert report.dated == NEXT_DAY


def test_what_is_missing_is_listed(told: tuple[Shop, str], tmp_path: Path) -> None:
    assert [str(problem) for problem in notice_report(*told).missing] == [
        "defect D2: no remedy is recorded. Say what it needs.",
        "defect D2: nobody is recorded as told. Tell the owner, and record it.",
    ]
    shop, tag = shop_of(tmp_path, "us", complete=False)
    found_cracked(shop, tag)
    assert [problem.place for problem in notice_report(shop, tag).missing] == ["owner", "owner"]
    assert facts_of(section(notice_report(shop, tag), "To the owner"))["Address"] == "not recorded"


def test_no_defect_no_notice(tmp_path: Path, told: tuple[Shop, str]) -> None:
    shop, tag = shop_of(tmp_path, "uk")
    with pytest.raises(NotFoundError, match="has no open defect"):
        notice_report(shop, tag)
    with pytest.raises(NotFoundError, match="has no defect D9: known are D1, D2, D3"):
        notice_report(*told, "D9")
