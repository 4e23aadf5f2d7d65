"""One page holds all facts of a hoist: state, chain rule, findings, defects, each sealed line in words."""

from datetime import date
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest
from msgspec.structs import replace

from fieldlog.domain.functions import item_of
from fieldlog.domain.records import (
    InspectionKind,
    Mending,
    ShopSettings,
    StruckOut,
    Unknown,
)
from fieldlog.domain.verdict import Fitness
from fieldlog.errors import NotFoundError
from fieldlog.operations.drafting import DefectDraft
from fieldlog.operations.hoist_page import hoist_page, says
from fieldlog.operations.paper import content, note_printed
from fieldlog.operations.servicing import fit_chain, mend, record_load_test, return_to_service, withdraw
from fieldlog.operations.shop import Shop, append, open_hoist
from tests.operations.builder import (
    ADA,
    NOW,
    TODAY,
    begin,
    inspect,
    ready_shop,
    register,
    with_stricter_rule,
)
from tests.operations.service import CHAIN_SET, LOAD_TEST, MENDING, RETURN, WITHDRAWAL

BOOK: dict[str, Any] = {"book_length": "165.2", "book_discard": "168", "book_document": "LC book, p. 31"}


@pytest.fixture
def shop(tmp_path: Path) -> Shop:
    return ready_shop(tmp_path)


def test_a_hoist_that_was_just_registered(shop: Shop) -> None:
    hoist = register(shop)
    page = hoist_page(shop, hoist.id, TODAY)
    assert (page.hoist, page.findings, page.defects, page.drafts, page.problem) == (hoist, (), (), (), "")
    assert page.standing.fitness is Fitness.OUT_OF_SERVICE
    assert page.head == open_hoist(shop, hoist.id).head
    assert page.chain is not None
    assert page.chain.number == 1
    assert [row.says for row in page.timeline] == ["registered: Fenwright LC 500, 500 kg, intake hall"]


def test_every_sealed_line_is_told_in_the_order_of_sealing(shop: Shop) -> None:
    hoist = register(shop)
    inspect(
        shop, hoist.id, readings=("165.4", "167.6", "165.9"), defects={"labels": DefectDraft(what="torn")}
    )
    mend(shop, hoist.id, MENDING | {"defects": "D2"}, by=ADA, now=NOW, today=TODAY)
    fit_chain(shop, hoist.id, CHAIN_SET, by=ADA, now=NOW, today=TODAY)
    record_load_test(shop, hoist.id, LOAD_TEST, by=ADA, now=NOW, today=TODAY)
    withdraw(shop, hoist.id, WITHDRAWAL, by=ADA, now=NOW, today=TODAY)
    return_to_service(shop, hoist.id, RETURN, by=ADA, now=NOW, today=TODAY)
    label = content(shop, hoist.id, "tag", today=TODAY)
    note_printed(shop, label, "roll-62", by=ADA, now=NOW, today=TODAY)
    page = hoist_page(shop, hoist.id, TODAY)
    items = len(open_hoist(shop, hoist.id).history.inspections[0][1].answers)
    assert [row.says for row in page.timeline] == [
        "registered: Fenwright LC 500, 500 kg, intake hall",
        f"before first use: {items} items, 3 readings, 2 defects",
        "mended D2: new latch, part 17",
        "chain 5 x 15 fitted, certificate CC-2211",
        "load test with 625 kg: passed",
        "withdrawn: dropped load",
        "returned to service",
        f"tag printed: {hoist.id}",
    ]
    assert [row.number for row in page.timeline] == list(range(1, 9))
    assert {(row.by, row.day, row.struck) for row in page.timeline} == {(ADA, TODAY, "")}
    assert page.head == page.timeline[-1].line


def test_a_day_of_work_is_told_and_not_the_day_of_sealing(shop: Shop) -> None:
    hoist = register(shop, day=date(2026, 11, 1))
    withdraw(shop, hoist.id, WITHDRAWAL | {"done_on": "2026-11-20"}, by=ADA, now=NOW, today=TODAY)
    days = [row.day for row in hoist_page(shop, hoist.id, TODAY).timeline]
    assert days == [date(2026, 11, 1), date(2026, 11, 20)]


def test_a_line_struck_out_is_shown_with_the_reason_and_does_not_count(shop: Shop) -> None:
    hoist = register(shop)
    entry = inspect(shop, hoist.id, readings=("165.4", "167.6", "165.9"))
    strike = StruckOut(line=entry.line, why="the other hoist")
    append(shop, hoist.id, strike, by=ADA, now=NOW, head=entry.line)
    page = hoist_page(shop, hoist.id, TODAY)
    assert [row.struck for row in page.timeline] == ["", "the other hoist", ""]
    assert page.timeline[2].says == f"strikes out {entry.line[:10]}: the other hoist"
    assert (page.findings, page.defects, page.row.kind) == ((), (), "before first use")


def test_a_record_that_does_not_fit_the_history_is_told(shop: Shop) -> None:
    hoist = register(shop)
    head = open_hoist(shop, hoist.id).head
    mended = Mending(done_on=TODAY, defects=("D9",), work="?", checked_by=ADA)
    append(shop, hoist.id, mended, by=ADA, now=NOW, head=head)
    assert hoist_page(shop, hoist.id, TODAY).problem == "line 2: mends D9, which this logbook does not know."


def test_drafts_of_this_hoist_are_on_its_page(shop: Shop) -> None:
    one, two = register(shop), register(shop)
    _, draft, _ = begin(shop, one.id)
    assert [kept.uid for kept in hoist_page(shop, one.id, TODAY).drafts] == [draft.uid]
    assert hoist_page(shop, two.id, TODAY).drafts == ()


# 5x15 over 11 links: 165 mm, discard 1.5 % longer, 167.475 mm (DOE-STD-1090-96 ch. 8).
def test_the_chain_rule_by_size_alone(shop: Shop) -> None:
    rule = hoist_page(shop, register(shop).id, TODAY).chain_rule
    assert rule.startswith(
        "11 links inside: 165 mm (computed from 5 x 15), discard at 167.475 mm (1.5 % of 11 x 15"
    )
    assert "DOE-STD-1090-96" in rule


def test_the_chain_rule_by_the_makers_book(shop: Shop) -> None:
    rule = hoist_page(shop, register(shop, **BOOK).id, TODAY).chain_rule
    assert rule.startswith("11 links inside: 165.2 mm (maker's book (LC book, p. 31)), discard at 168 mm")


def test_the_chain_rule_where_the_shop_chose_the_stricter(shop: Shop) -> None:
    hoist = register(shop, **BOOK)
    with_stricter_rule(shop)
    # 1.5 % of 165 mm over the book's 165.2 mm
    assert "discard at 167.675 mm (1.5 % of 11 x 15" in hoist_page(shop, hoist.id, TODAY).chain_rule


def test_a_new_chain_of_the_same_size_keeps_the_book_whatever_its_grade(shop: Shop) -> None:
    hoist = register(shop, **BOOK)
    other = CHAIN_SET | {"grade": "DAT", "why_other_size": "the maker's new grade"}
    fit_chain(shop, hoist.id, other, by=ADA, now=NOW, today=TODAY)
    assert "maker's book" in hoist_page(shop, hoist.id, TODAY).chain_rule


def test_without_a_book_the_rule_is_told_over_the_links_of_the_baseline(shop: Shop) -> None:
    hoist = register(shop)
    texts = CHAIN_SET | {"links": "9", "baseline": "135.1"}
    fit_chain(shop, hoist.id, texts, by=ADA, now=NOW, today=TODAY)
    rule = hoist_page(shop, hoist.id, TODAY).chain_rule
    # 9 x 15 = 135 mm, 1.5 % of it 2.025 mm, over the 135.1 mm measured
    assert rule.startswith("9 links inside: 135.1 mm (measured on unused links), discard at 137.125 mm")


def test_the_rule_on_the_page_is_the_one_an_inspection_judges_by(shop: Shop) -> None:
    hoist = register(shop, **BOOK)
    with_stricter_rule(shop)
    inspect(shop, hoist.id)
    (elongation, *_) = hoist_page(shop, hoist.id, TODAY).findings
    assert elongation.limit == Decimal("2.475")


def test_findings_show_the_governing_one_of_each_part(shop: Shop) -> None:
    hoist = register(shop)
    inspect(shop, hoist.id)
    shown = hoist_page(shop, hoist.id, TODAY).findings
    found = {finding.component: finding.value for finding in shown if not item_of(finding)}
    assert found == {
        "load chain elongation": Decimal("1.1"),
        "load chain diameter": Decimal("4.95"),
        "lower hook": Decimal("30.5"),
    }


def test_a_page_of_another_day_is_judged_by_that_day(shop: Shop) -> None:
    hoist = register(shop)
    inspect(shop, hoist.id)
    assert not hoist_page(shop, hoist.id, TODAY).row.overdue
    assert hoist_page(shop, hoist.id, date(2027, 1, 1)).row.overdue


def test_an_unknown_tag_has_no_page(shop: Shop) -> None:
    with pytest.raises(NotFoundError):
        hoist_page(shop, "SW-4711-X", TODAY)


def test_records_of_other_kinds_are_told_too(shop: Shop) -> None:
    assert says(Unknown(name="drone flight", data={})) == (
        "a record of a kind this fieldlog does not know: drone flight"
    )
    assert says(ShopSettings(shop="x", prefix="SW", rulebook="uk")) == "settings"
    hoist = register(shop)
    body = inspect(shop, hoist.id, InspectionKind.FREQUENT, defects={"labels": DefectDraft(what="torn")}).body
    assert says(body).endswith("3 readings, 1 defect")
    failed = record_load_test(shop, hoist.id, LOAD_TEST | {"passed": "no"}, by=ADA, now=NOW, today=TODAY)
    assert says(failed.body) == "load test with 625 kg: not passed"
    assert replace(hoist, site="filter house") != hoist
