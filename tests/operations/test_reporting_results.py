"""Proves the tables of the inspection report: findings with rule and source, next dates, tests, index."""

from pathlib import Path

import pytest

from fieldlog.domain.report_content import Report
from fieldlog.operations.reporting import inspection_report
from fieldlog.operations.shop import Shop
from tests.operations.report_samples import (
    section,
    shop_of,
    story,
    words_of,
)


@pytest.fixture(scope="module")
def told(tmp_path_factory: pytest.TempPathFactory) -> tuple[Shop, str]:
    return story(tmp_path_factory.mktemp("story"))


@pytest.fixture(scope="module")
def visit(told: tuple[Shop, str]) -> Report:
    return inspection_report(*told, 3)


def test_the_load_test_of_the_visit_with_both_loads(visit: Report) -> None:
    """500 kg x 1.25 = 625 kg (2006/42/EC, annex I, 4.1.2.3); up to 5 % less counts (DOE-STD-1090-96)."""
    words = words_of(section(visit, "Tests"))
    assert "2026-02-27 | 625 kg | 620 kg | passed | held ten minutes, no drift; tested by Ada Fenn" in words


def test_findings_carry_value_limit_margin_rule_and_source(visit: Report) -> None:
    """1.5 % of 11 x 15 mm is 2.475 mm (DOE-STD-1090-96, ch. 8): of the readings 1.1 mm is the worst."""
    words = words_of(section(visit, "Findings"))
    assert "load chain elongation | + keep | 1.1 mm | 2.475 mm | 1.375 mm | at hook end" in words
    assert "DOE-STD-1090-96" in words
    assert "(published)" in words
    assert "Judged by rulebook uk, edition" in words


def test_the_next_thorough_inspection_stands_first_with_its_source(visit: Report) -> None:
    """12 months after 2026-02-27 (LOLER reg. 9(3)(a)(ii))."""
    first = words_of(section(visit, "Next due")).splitlines()[0]
    assert first.startswith("periodic | 2027-02-27 | every 12 months, calendar rule, from 2026-02-27 | ")
    assert "SI 1998/2307" in first


def test_months_of_grace_are_told_but_do_not_move_the_date(tmp_path: Path) -> None:
    """Month plate: the month stays, two months later is in time (BetrSichV 14(5), TRBS 1201, 6.1(4))."""
    shop, tag = shop_of(tmp_path, "de")
    first = words_of(section(inspection_report(shop, tag), "Next due")).splitlines()[0]
    assert first.startswith("periodic | 2026-03-31 | ")
    assert "in time until 2026-05-31" in first


def test_the_table_of_what_is_asked_tells_the_state_of_each(told: tuple[Shop, str]) -> None:
    words = words_of(section(inspection_report(*told), "What the rulebook asks, and where it stands"))
    assert "employer for whom the examination was made. | For whom and where | given" in words
    assert "If so: that the hoist would be safe to operate. | Result | left out: not so" in words
    assert "could become a danger: by when, and the remedy. | Defects | not all recorded" in words
    assert words.endswith("paragraphs 8(f) and 11 (from memory)")
