"""The wear trend makes a reading one to watch where the limit comes before the next periodic inspection."""

from datetime import date
from pathlib import Path

import pytest

from fieldlog.domain.criteria import Verdict
from fieldlog.domain.history import ChainLife, WearPoint
from fieldlog.domain.records import InspectionKind
from fieldlog.operations.foreseeing import next_periodic, trend_on
from fieldlog.operations.hoist_page import hoist_page
from fieldlog.operations.shop import OpenHoist, Shop, open_hoist
from fieldlog.operations.use_forms import log_hours
from tests.operations.builder import ADA, at, begin, body_of, fill, inspect, ready_shop, register

FIRST, PERIODIC, FREQUENT = InspectionKind.FIRST_USE, InspectionKind.PERIODIC, InspectionKind.FREQUENT
START = date(2025, 1, 10)


@pytest.fixture
def shop(tmp_path: Path) -> Shop:
    return ready_shop(tmp_path)


def readings(grown: str) -> tuple[str, str, str]:
    """Three places of a 5x15 chain over 11 links (165 mm new), the worst grown by so much."""
    return "165.1", f"165.{grown}" if "." not in grown else f"{165 + float(grown):.2f}", "165.2"


def worn(shop: Shop, *grown: tuple[date, str]) -> OpenHoist:
    """A hoist whose chain had grown by so much [mm] on these days."""
    hoist = register(shop, day=START)
    for place, (day, growth) in enumerate(grown):
        kind = FREQUENT if place else FIRST
        inspect(shop, hoist.id, kind, day=day, readings=readings(growth))
    return open_hoist(shop, hoist.id)


# 0.3, 0.6 and 0.9 of 2.475 mm at intervals of 90 days: 0.3 mm in 90 days, so 1.575 mm more take 472 days.
STEADY = ((START, "3"), (date(2025, 4, 10), "6"))
THIRD = date(2025, 7, 9)


def test_a_chain_that_lasts_until_the_next_periodic_inspection_is_kept(shop: Shop) -> None:
    opened = worn(shop, *STEADY)
    entry = inspect(shop, opened.hoist.id, PERIODIC, day=THIRD, readings=readings("9"))
    # due again on 2026-07-09; the limit comes 472 days after the third, on 2026-10-24
    assert next_periodic(opened, PERIODIC, THIRD) == date(2026, 7, 9)
    assert {finding.verdict for finding in body_of(entry).findings} == {Verdict.KEEP}
    page = hoist_page(shop, opened.hoist.id, THIRD)
    assert page.trend is not None
    assert page.trend.meets_on == date(2026, 10, 24)
    assert page.trend_words.startswith("meets the limit about 2026-10")


def test_one_that_does_not_is_watched_with_the_sentence(shop: Shop) -> None:
    # 0.6, 1.2 and 1.8 of 2.475 mm (72.7 %, under the 80 % of the watch share): 0.675 mm more take 101 days
    opened = worn(shop, (START, "6"), (date(2025, 4, 10), "1.2"))
    body = body_of(inspect(shop, opened.hoist.id, PERIODIC, day=THIRD, readings=readings("1.8")))
    (told,) = [finding for finding in body.findings if finding.verdict is Verdict.WATCH]
    assert told.component == "load chain elongation"
    assert "meets the limit about 2025-10" in told.why
    assert told.why.endswith("before the next periodic inspection on 2026-07-09")
    assert any(
        "meets the limit about" in text for text in hoist_page(shop, opened.hoist.id, THIRD).summary.watch
    )


def test_a_worse_verdict_never_gets_milder(shop: Shop) -> None:
    opened = worn(shop, (START, "6"), (date(2025, 4, 10), "1.2"))
    body = body_of(inspect(shop, opened.hoist.id, PERIODIC, day=THIRD, readings=readings("2.5")))
    assert Verdict.DISCARD in {finding.verdict for finding in body.findings}


def test_under_three_inspections_there_is_no_trend(shop: Shop) -> None:
    opened = worn(shop, (START, "6"))
    _, _, content = begin(shop, opened.hoist.id, day=THIRD)
    fill(shop, opened, content, readings=readings("1.8"), day=THIRD)
    page = hoist_page(shop, opened.hoist.id, THIRD)
    assert page.trend_words == "no trend yet"


def test_a_frequent_one_looks_to_the_periodic_one_that_is_due_already(shop: Shop) -> None:
    opened = worn(shop, *STEADY)
    assert next_periodic(opened, FREQUENT, THIRD) == date(2026, 1, 10)


def test_where_hours_are_logged_over_all_of_it_the_trend_is_against_hours(shop: Shop) -> None:
    opened = worn(shop, *STEADY, (THIRD, "9"))
    assert trend_on(opened.history, opened.history.chain).hours_per_day is None
    texts = {"hours": "360", "as": "period", "since": "2025-01-10", "spectrum": "L1", "factor": "recorded"}
    log_hours(shop, opened.hoist.id, texts, by=ADA, now=at(THIRD), today=THIRD)
    again = open_hoist(shop, opened.hoist.id)
    assert trend_on(again.history, again.history.chain).hours_per_day == pytest.approx(2)


def test_a_hoist_without_a_chain_life_has_no_trend(shop: Shop) -> None:
    opened = worn(shop)
    assert trend_on(opened.history, None).words == "no trend yet"
    chain = opened.history.chain
    assert isinstance(chain, ChainLife)
    today = WearPoint(day=START, growth_mm=chain.size.dn_mm, allowed_mm=chain.size.pn_mm)
    assert trend_on(opened.history, chain, today).points == 1
