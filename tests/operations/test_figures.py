"""Proves the shop's figures against small fleets counted by hand."""

from datetime import date
from decimal import Decimal
from pathlib import Path

import pytest

from fieldlog.cli.fleet_output import figure_lines
from fieldlog.domain.records import ChainFitted, ChainSize, InspectionKind
from fieldlog.operations.figures import ChainLives, shop_figures
from fieldlog.operations.shop import Shop, append, open_hoist
from tests.operations.builder import ADA, RULE, TODAY, at, inspect, ready_shop, register

BEGUN = date(2026, 11, 1)


@pytest.fixture
def shop(tmp_path: Path) -> Shop:
    return ready_shop(tmp_path)


def test_an_empty_shop_has_figures_too(shop: Shop):
    figures = shop_figures(shop, TODAY)
    assert (figures.hoists, figures.undecided_pct, figures.worn, figures.chain_lives) == (0, None, (), ())
    assert [month.month for month in figures.load][:3] == ["2026-11", "2026-12", "2027-01"]
    assert figures.load[-1].month == "2027-10"
    assert figure_lines(figures)


def test_the_load_is_counted_by_month_and_kind(shop: Shop):
    inspect(shop, register(shop, day=BEGUN).id, day=BEGUN)
    register(shop, serial="2")
    load = {month.month: month.by_kind for month in shop_figures(shop, TODAY).load}
    # monthly and yearly by the calendar rule from 2026-11-01; the other before first use, today
    assert load["2026-11"] == {"before first use": 1}
    assert load["2026-12"] == {"frequent": 1}
    later = shop_figures(shop, TODAY)
    assert (later.later, later.hoists, later.out_of_service, later.overdue) == (1, 2, 1, 0)


def test_the_share_of_undecided_lengths(shop: Shop):
    hoist = register(shop, day=BEGUN)
    inspect(shop, hoist.id, day=BEGUN)
    # a steel rule can say keep only up to 2.000 mm of 2.475 mm growth on 5x15 over 11 links
    inspect(shop, hoist.id, InspectionKind.PERIODIC, readings=("165.5", "167.2", "166.0"), instrument=RULE)
    figures = shop_figures(shop, TODAY)
    assert (figures.undecided, figures.readings, figures.undecided_pct) == (1, 6, Decimal("16.7"))
    assert figures.worn[0].id == hoist.id


def test_chain_lives_count_from_fitting_to_fitting(shop: Shop):
    hoist = register(shop, day=date(2024, 1, 1))
    size = ChainSize(dn_mm=Decimal(5), pn_mm=Decimal(15))
    for day in (date(2025, 1, 1), date(2025, 4, 11)):
        body = ChainFitted(done_on=day, chain=size)
        append(shop, hoist.id, body, by=ADA, now=at(day), head=open_hoist(shop, hoist.id).head)
    # 366 days of 2024 since registration, then 100
    assert shop_figures(shop, TODAY).chain_lives == (
        ChainLives(size="5 x 15", service="normal", lives=2, mean_days=233, from_registration=1),
    )


def test_one_site_may_be_asked_for(shop: Shop):
    register(shop)
    register(shop, serial="2", site="workshop")
    assert shop_figures(shop, TODAY, site="WORK").hoists == 1


def test_a_logbook_that_tells_no_hoist_is_named_at_every_site(shop: Shop):
    lost = register(shop).id
    register(shop, serial="2", site="workshop")
    next(shop.root.glob(f"logbooks/**/{lost}.jsonl")).write_text("{}\n", encoding="utf-8")
    for site in ("", "workshop"):
        figures = shop_figures(shop, TODAY, site=site)
        assert (figures.hoists, figures.skipped) == (1, (lost,))
