"""Wear by place at the last measured inspection, beside the one before; figures worked out by hand."""

from datetime import date
from decimal import Decimal
from pathlib import Path

import pytest

from fieldlog.domain.criteria import Verdict
from fieldlog.errors import NotFoundError
from fieldlog.operations.correcting import find_line, strike_out
from fieldlog.operations.shop import open_hoist
from fieldlog.operations.wear_along import wear_along
from tests.operations.builder import ADA, at
from tests.operations.worn_chains import ALLOWED, STEADY, day_after, fit_chain, gauge, worn_shop


def test_places_with_growth_limit_share_verdict_and_last_time(tmp_path: Path) -> None:
    """165.9, 165.2 and 165.1 mm of 165 mm new, 2.475 mm allowed; the worst was 165.6 mm the time before."""
    along = wear_along(*worn_shop(tmp_path, *STEADY))
    assert [place.place for place in along.places] == ["usual working height", "hook end", "stop end"]
    found = [place.wear for place in along.places if place.wear is not None]
    assert [wear.growth_mm for wear in found] == [Decimal("0.9"), Decimal("0.2"), Decimal("0.1")]
    assert {wear.allowed_mm for wear in found} == {ALLOWED}
    assert [float(wear.used_pct) for wear in found] == pytest.approx(
        [100 * grown / 2.475 for grown in (0.9, 0.2, 0.1)]
    )
    assert {wear.day for wear in found} == {date(2025, 7, 9)}
    assert {place.verdict for place in along.places} == {Verdict.KEEP}
    before = along.places[0].before
    assert before is not None
    assert (before.day, before.growth_mm) == (date(2025, 4, 10), Decimal("0.6"))
    assert along.sentence == (
        "On 2025-07-09 (frequent) worst at usual working height: grown 0.9 of 2.475 mm, 36 %."
        " Last time: 2025-04-10 (worst 24 %)."
    )


def test_the_first_measured_inspection_has_nothing_before_it(tmp_path: Path) -> None:
    along = wear_along(*worn_shop(tmp_path, STEADY[0]))
    assert along.sentence.endswith("grown 0.3 of 2.475 mm, 12 %. It was not measured before.")
    assert [place.before for place in along.places] == [None, None, None]


def test_a_struck_inspection_is_neither_the_last_nor_the_one_before(tmp_path: Path) -> None:
    shop, tag = worn_shop(tmp_path, *STEADY)
    line = find_line(shop, tag, str(len(open_hoist(shop, tag).history.entries))).line
    strike_out(shop, tag, line, "misread", by=ADA, now=at(day_after(190)), today=day_after(190))
    along = wear_along(shop, tag)
    assert along.sentence.startswith("On 2025-04-10 (frequent) worst at usual working height: grown 0.6")
    assert along.sentence.endswith("Last time: 2025-01-10 (worst 12 %).")


def test_another_chain_starts_anew(tmp_path: Path) -> None:
    shop, tag = worn_shop(tmp_path, *STEADY)
    fit_chain(shop, tag, 200)
    along = wear_along(shop, tag)
    assert along.places == ()
    assert along.sentence == "Nothing to draw yet: this chain was not measured since 2025-07-29."


def test_a_gauge_has_words_and_no_bar(tmp_path: Path) -> None:
    shop, tag = worn_shop(tmp_path)
    gauge(shop, tag, 10)
    along = wear_along(shop, tag)
    assert {(place.wear, place.words, place.verdict) for place in along.places} == {
        (None, "gauge: gap", Verdict.KEEP)
    }
    assert along.sentence == (
        "On 2025-01-20 (before first use): read without a length, so there is no bar to draw."
    )


def test_a_hoist_that_is_not_there(tmp_path: Path) -> None:
    shop, _ = worn_shop(tmp_path)
    with pytest.raises(NotFoundError):
        wear_along(shop, "SW-9999-0")
