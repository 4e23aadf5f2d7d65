"""A chain set agrees with the nameplate or says why not, begins a new life and ends the old one's defects."""

from datetime import date
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest

from fieldlog.domain.criteria import Verdict
from fieldlog.domain.records import ChainFitted, InspectionKind
from fieldlog.errors import IncompleteError
from fieldlog.operations.drafting import DefectDraft
from fieldlog.operations.hoist_page import hoist_page
from fieldlog.operations.servicing import fit_chain
from fieldlog.operations.shop import Shop, open_hoist
from tests.operations.builder import ADA, NOW, TODAY, at, body_of, inspect, ready_shop, register, verdicts
from tests.operations.service import CHAIN_SET

WORN = ("165.4", "167.6", "165.9")  # over 167.475 mm: 1.5 % of 165 mm (DOE-STD-1090-96 ch. 8)
OLD = DefectDraft(what="worn")


@pytest.fixture
def shop(tmp_path: Path) -> Shop:
    return ready_shop(tmp_path)


def fit(shop: Shop, hoist_id: str, *, day: date = TODAY, **changes: Any) -> ChainFitted:
    entry = fit_chain(shop, hoist_id, CHAIN_SET | changes, by=ADA, now=at(day), today=day)
    assert isinstance(entry.body, ChainFitted)
    return entry.body


def refused(shop: Shop, hoist_id: str, **changes: Any) -> list[str]:
    """Places of what stands in the way; nothing is sealed."""
    before = shop.logbooks.read(hoist_id).head
    with pytest.raises(IncompleteError) as error:
        fit(shop, hoist_id, **changes)
    assert shop.logbooks.read(hoist_id).head == before
    return [problem.place for problem in error.value.problems]


def test_all_that_was_typed_stands_in_the_record(shop: Shop) -> None:
    body = fit(shop, register(shop).id, length="12.5", basis="outside", baseline="175.2")
    assert (body.chain.dn_mm, body.chain.pn_mm, body.chain.grade) == (Decimal(5), Decimal(15), "T")
    assert (body.length_mm, body.certificate, body.wheel_and_guides_too) == (Decimal(12500), "CC-2211", True)
    assert (body.baseline_links, body.baseline_basis, body.baseline_mm) == (11, "outside", Decimal("175.2"))


def test_another_size_needs_a_reason(shop: Shop) -> None:
    hoist = register(shop)
    other: dict[str, Any] = {"chain": "5x16", "baseline": "176.1"}
    assert refused(shop, hoist.id, **other) == ["Chain dn x pn"]
    body = fit(shop, hoist.id, **other, why_other_size="the maker's new size, letter of 2026-11-02")
    assert body.why_other_size.startswith("the maker's new size")
    assert hoist_page(shop, hoist.id, TODAY).summary.pn_mm == Decimal(16)


@pytest.mark.parametrize(("grade", "taken"), [("T", True), ("t", True), ("DAT", False)])
def test_another_grade_needs_a_reason(shop: Shop, grade: str, taken: bool) -> None:
    hoist = register(shop)
    if taken:
        assert fit(shop, hoist.id, grade=grade).chain.grade == grade
        return
    assert refused(shop, hoist.id, grade=grade) == ["Chain grade"]
    assert fit(shop, hoist.id, grade=grade, why_other_size="the maker's new grade").chain.grade == grade


def test_where_the_plate_names_no_grade_any_is_taken(shop: Shop) -> None:
    assert fit(shop, register(shop, grade="").id, grade="DAT").chain.grade == "DAT"


def test_fitting_only_a_part_asks_why(shop: Shop) -> None:
    hoist = register(shop)
    assert refused(shop, hoist.id, set="no") == ["Why only a part"]
    body = fit(shop, hoist.id, set="no", why_part_only="wheel and guides fitted in June")
    assert (body.wheel_and_guides_too, body.why_part_only) == (False, "wheel and guides fitted in June")


# Shorter than 11 x 15 = 165 mm, or 0.5 % over it, 165.825 mm, is asked about (common practice, no source).
@pytest.mark.parametrize(
    ("baseline", "taken"), [("164.99", False), ("165", True), ("165.825", True), ("165.83", False)]
)
def test_a_baseline_that_is_not_that_of_new_links_is_questioned(
    shop: Shop, baseline: str, taken: bool
) -> None:
    hoist = register(shop)
    if taken:
        assert fit(shop, hoist.id, baseline=baseline).baseline_mm == Decimal(baseline)
        return
    assert refused(shop, hoist.id, baseline=baseline) == ["Baseline: length"]
    body = fit(shop, hoist.id, baseline=baseline, why_other_size="measured twice, certificate says so")
    assert (body.baseline_mm, body.why_other_size) == (
        Decimal(baseline),
        "measured twice, certificate says so",
    )


def test_everything_that_differs_is_told_at_once(shop: Shop) -> None:
    hoist = register(shop)
    found = refused(shop, hoist.id, chain="6x18", grade="DAT", set="no", baseline="190")
    assert found == ["Chain dn x pn", "Chain grade", "Baseline: length", "Why only a part"]


# What goes with a whole set, with the chain alone, and what stays with the hoist.
SET = ("upper-guide", "pocket-wheel", "lower-guide")
CHAIN = ("chain-damage", "chain-corrosion", "chain-clean")
STAYS = ("chain-end-anchor", "hook-latch")


@pytest.mark.parametrize(
    ("whole", "gone"), [({}, {*SET, *CHAIN}), ({"set": "no", "why_part_only": "wheel is new"}, set(CHAIN))]
)
def test_the_defects_of_the_old_set_are_mended_with_it(
    shop: Shop, whole: dict[str, Any], gone: set[str]
) -> None:
    hoist = register(shop)
    inspect(shop, hoist.id, readings=WORN, defects=dict.fromkeys([*SET, *CHAIN, *STAYS], OLD))
    fit(shop, hoist.id, **whole)
    states = hoist_page(shop, hoist.id, TODAY).defects
    assert {state.defect.item for state in states if state.mended_on} == {*gone, "chain-elongation"}
    assert {state.mended_by for state in states if state.mended_on} == {"chain set fitted"}


def test_a_defect_seen_after_the_day_of_fitting_stays_open(shop: Shop) -> None:
    hoist = register(shop, day=date(2026, 11, 1))
    inspect(shop, hoist.id, day=date(2026, 11, 20), defects={"upper-guide": OLD})
    assert fit(shop, hoist.id, done_on="2026-11-19").defects_mended == ()
    assert hoist_page(shop, hoist.id, TODAY).summary.open_defects == 1
    assert fit(shop, hoist.id, done_on="2026-11-20").defects_mended == ("D1",)


def test_wear_begins_anew_with_the_new_chain(shop: Shop) -> None:
    hoist = register(shop, day=date(2026, 11, 1))
    inspect(shop, hoist.id, day=date(2026, 11, 2), readings=WORN)
    old = hoist_page(shop, hoist.id, TODAY).chain
    assert old is not None
    assert [point.growth_mm for point in old.wear] == [Decimal("2.6")]
    fit(shop, hoist.id, day=date(2026, 11, 3))
    new = hoist_page(shop, hoist.id, TODAY).chain
    assert new is not None
    assert (new.number, new.wear, new.fitted_on) == (2, (), date(2026, 11, 3))
    assert hoist_page(shop, hoist.id, TODAY).summary.used_pct is None
    assert open_hoist(shop, hoist.id).history.earlier_chains == (old,)
    body = body_of(inspect(shop, hoist.id, InspectionKind.PERIODIC, readings=("165.2", "165.5", "165.3")))
    assert verdicts(body, "load chain elongation") == [Verdict.KEEP] * 3
    grown = hoist_page(shop, hoist.id, TODAY).chain
    assert grown is not None
    # counted from the baseline of 165.1 mm
    assert [point.growth_mm for point in grown.wear] == [Decimal("0.4")]


def test_the_new_chain_asks_for_a_load_test(shop: Shop) -> None:
    hoist = register(shop)
    inspect(shop, hoist.id)
    fit(shop, hoist.id)
    assert open_hoist(shop, hoist.id).history.load_path_opened


def test_a_form_not_filled_in_is_told_field_by_field(shop: Shop) -> None:
    hoist = register(shop)
    with pytest.raises(IncompleteError) as error:
        fit_chain(shop, hoist.id, {"chain": "15x5"}, by=ADA, now=NOW, today=TODAY)
    assert [problem.place for problem in error.value.problems] == [
        "Chain dn x pn",
        "Certificate no.",
        "Length fitted",
        "Baseline: length",
    ]
