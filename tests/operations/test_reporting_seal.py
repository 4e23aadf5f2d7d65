"""Proves that a report names who made it and the seal that it can be checked by."""

from pathlib import Path

import pytest

from fieldlog.domain.records import Signature
from fieldlog.domain.report_content import Report
from fieldlog.operations.reporting import inspection_report
from fieldlog.operations.shop import Shop, append, open_hoist
from tests.operations.builder import ADA, at
from tests.operations.report_samples import (
    NEXT_DAY,
    facts_of,
    found_cracked,
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


def test_the_seal_can_be_checked_by_hand(told: tuple[Shop, str], visit: Report) -> None:
    entries = open_hoist(*told).history.entries
    words = facts_of(section(visit, "Signatures and seal"))
    assert words["SHA-256 of that line"] == entries[2].line
    assert words["Logbook read to"] == f"line 7, head {entries[6].line[:10]}"
    assert words["Sealed"] == "2026-02-27 12:00+00:00 by Ada Fenn"
    assert words["Signature"].startswith("unsigned")


def test_a_signed_line_says_by_whom_and_asks_for_no_signature_by_hand(tmp_path: Path) -> None:
    shop, tag = shop_of(tmp_path, "us")
    opened = open_hoist(shop, tag)
    body = Signature(
        line=opened.head, principal="ada", key="SHA256:abc", signature="-----BEGIN SSH SIGNATURE-----"
    )
    append(shop, tag, body, by=ADA, now=at(NEXT_DAY), head=opened.head)
    report = inspection_report(shop, tag)
    assert "signed by ada with key SHA256:abc" in words_of(section(report, "Signatures and seal"))
    assert report.missing == ()


def test_the_owner_signs_too_where_the_rulebook_wants_it_and_there_are_defects(tmp_path: Path) -> None:
    """'Owner confirms knowledge and remedy' (DGUV Regel 100-500, 2.9.4.3, published)."""
    shop, tag = shop_of(tmp_path, "de")
    assert "For the owner" not in words_of(section(inspection_report(shop, tag), "Signatures and seal"))
    found_cracked(shop, tag)
    assert "For the owner" in words_of(section(inspection_report(shop, tag), "Signatures and seal"))
