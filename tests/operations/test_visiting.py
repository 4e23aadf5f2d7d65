"""Proves the work list for a visit: what is due, the tools that reach, spare chain by size."""

from datetime import date, timedelta
from decimal import Decimal
from pathlib import Path

import pytest

from fieldlog.cli.fleet_output import visit_lines
from fieldlog.errors import InputError, NotFoundError
from fieldlog.operations.handing_over import retire
from fieldlog.operations.shop import Shop, open_shop
from fieldlog.operations.visiting import plan_visit
from tests.operations.builder import ADA, NOW, RULE, TODAY, inspect, ready_shop, register, with_instrument

BEGUN = date(2026, 11, 1)
# monthly, calendar rule: from 1 November due on 1 December, which is six days after TODAY
FREQUENT_DUE = date(2026, 12, 1)
# 165 mm as new and 2.475 mm allowed (1.5 % of 11 x 15, DOE-STD-1090-96 ch. 8): 2.2 mm is 89 %
WORN = ("165.4", "167.2", "166.0")


@pytest.fixture
def shop(tmp_path: Path) -> Shop:
    shop = ready_shop(tmp_path)
    with_instrument(shop, "caliper 1", calibrated_on=date(2026, 6, 1), interval_months=12)
    with_instrument(shop, "rule 1", RULE, calibrated_on=date(2020, 6, 1), interval_months=12)
    return shop


def test_the_last_day_of_the_visit_is_in_it(shop: Shop):
    hoist = register(shop, day=BEGUN)
    inspect(shop, hoist.id, day=BEGUN)
    days = (FREQUENT_DUE - TODAY).days
    assert plan_visit(shop, "intake hall", TODAY, days=days - 1).jobs == ()
    (job,) = plan_visit(shop, "intake hall", TODAY, days=days).jobs
    assert [due.due_on for due in job.dues] == [FREQUENT_DUE]
    assert not job.overdue
    (late,) = plan_visit(shop, "intake hall", FREQUENT_DUE + timedelta(days=1), days=0).jobs
    assert late.overdue


def test_chain_is_taken_along_for_worn_chains_by_size_and_grade(shop: Shop):
    for serial, grade in (("1", "T"), ("2", "T"), ("3", "DAT")):
        hoist = register(shop, day=BEGUN, serial=serial, grade=grade, lift="6", falls="2")
        inspect(shop, hoist.id, day=BEGUN, readings=WORN)
    good = register(shop, day=BEGUN, serial="4")
    inspect(shop, good.id, day=BEGUN)
    needs = plan_visit(shop, "intake", TODAY).chains
    # 6 m on two falls and 1 m slack each
    assert [(need.grade, need.length_mm, len(need.hoists)) for need in needs] == [
        ("DAT", Decimal(13000), 1),
        ("T", Decimal(26000), 2),
    ]


def test_progress_is_told_of_the_hoists_of_the_site_alone(shop: Shop):
    for serial, site in (("1", "intake hall"), ("2", "intake hall"), ("3", "sludge press")):
        register(shop, day=BEGUN, serial=serial, site=site)
    told: list[tuple[int, int]] = []
    plan_visit(shop, "intake hall", TODAY, progress=lambda done, of: told.append((done, of)))
    assert told == [(1, 2), (2, 2)]


def test_tools_that_reach_are_named_those_in_calibration_first(shop: Shop):
    inspect(shop, register(shop, day=BEGUN).id, day=BEGUN)
    long = register(shop, day=BEGUN, serial="2", chain="16x45", capacity="5 t")
    visit = plan_visit(shop, "intake hall", TODAY)
    by_size = {tool.size: tool for tool in visit.tools}
    assert by_size["5 x 15"].length_mm == Decimal(165)
    assert [name.split(" (")[0] for name in by_size["5 x 15"].tools] == ["caliper 1", "rule 1"]
    assert by_size["16 x 45"].length_mm == Decimal(495)
    assert visit.jobs[0].id == long.id
    assert "16 x 45" in "\n".join(visit_lines(visit))


def test_retired_hoists_and_other_sites_are_left_out(shop: Shop):
    hoist = register(shop)
    register(shop, serial="2", site="workshop")
    retire(shop, hoist.id, {"why": "scrapped"}, by=ADA, now=NOW, today=TODAY)
    assert plan_visit(shop, "intake hall", TODAY).jobs == ()
    assert visit_lines(plan_visit(shop, "intake hall", TODAY))[1].startswith("nothing is due")


@pytest.mark.parametrize("site", ["nowhere", "hall"])
def test_a_site_that_is_none_or_several_is_told(shop: Shop, site: str):
    register(shop)
    register(shop, serial="2", site="machine hall")
    with pytest.raises(NotFoundError, match="intake hall"):
        plan_visit(shop, site, TODAY)


def test_no_site_and_no_time_are_refused(shop: Shop):
    for site, days in (("", 1), ("x", -1)):
        with pytest.raises(InputError):
            plan_visit(shop, site, TODAY, days=days)


def test_records_that_can_not_be_trusted_are_told_wherever_they_seem_to_hang(shop: Shop):
    """One that nothing else is due for, one that tells no site, and one that may have come from another."""
    here, lost = register(shop, day=BEGUN), register(shop, day=BEGUN, serial="2")
    elsewhere = register(shop, day=BEGUN, serial="3", site="sludge press")
    for hoist, spoilt in ((here, 1), (lost, 0), (elsewhere, 1)):
        path = shop.root / "logbooks" / f"{hoist.id}.jsonl"
        lines = path.read_bytes().splitlines(keepends=True)
        path.write_bytes(b"".join([*lines[:spoilt], b"spoilt\n"]))
    visit = plan_visit(open_shop(shop.root), "intake hall", TODAY, days=0)
    assert list(visit.distrusted) == [here.id, lost.id, elsewhere.id]
    told = [line for line in visit_lines(visit) if line.startswith("! ")]
    assert told == [f"! {tag} can not be trusted. {problem}" for tag, problem in visit.distrusted.items()]
