"""Verdicts, due dates and used life explain themselves with rule, numbers, source and certainty."""

from datetime import date
from decimal import Decimal
from pathlib import Path

import pytest
from msgspec.structs import replace

from fieldlog.domain.criteria import Certainty, Finding, Verdict
from fieldlog.domain.records import HookReading, InspectionKind
from fieldlog.operations.explaining import explain_due, explain_finding, explain_hook, explain_life
from fieldlog.operations.hoist_page import hoist_page
from fieldlog.operations.shop import Shop, open_hoist
from fieldlog.operations.use_forms import log_hours
from tests.operations.builder import ADA, NOW, TODAY, body_of, inspect, ready_shop, register


@pytest.fixture
def shop(tmp_path: Path) -> Shop:
    return ready_shop(tmp_path)


def test_a_sealed_chain_verdict_shows_its_arithmetic(shop: Shop) -> None:
    # 11 x 15 = 165 mm, 1.5 % of it 2.475 mm (DOE-STD-1090-96 ch. 8); 2.2 / 2.475 = 88.9 %; the guard of the
    # caliper inside 1.645 x 0.07 / sqrt 3 = 0.0665 mm (DIN 862; JCGM 106 from memory)
    body = body_of(inspect(shop, register(shop).id, readings=("165.4", "167.2", "165.9")))
    lines = explain_finding(body.findings[1])
    for part in (
        "load chain elongation: watch",
        "167.2 - 165 = 2.2 mm grown",
        "allowed growth: 1.5 % of 11 x 15 mm = 2.475 mm",
        "2.2 / 2.475 = 88.9 % used",
        "guard 1.645 x 0.07 / sqrt 3 = 0.0665 mm",
        "Left       0.275 mm",
        "Certainty  published",
        "Rulebook   general, edition 2026-1",
    ):
        assert any(part in line for line in lines), part
    assert any(line.startswith("Source     DOE-STD-1090-96") for line in lines)


def test_a_verdict_out_of_an_old_record_explains_itself_from_what_it_carries() -> None:
    old = Finding(
        criterion="powered",
        component="load chain elongation",
        verdict=Verdict.DISCARD,
        value=Decimal("2.5"),
        limit=Decimal("2.475"),
        margin=Decimal("-0.025"),
        unit="mm",
        why="grown 2.5 of 2.475 mm allowed",
        source="an old book (from memory)",
        certainty=Certainty.MEMORY,
        rulebook="general",
        edition="2019-1",
    )
    lines = explain_finding(old)
    assert "Worked out 2.5 mm against a limit of 2.475 mm" in lines
    assert "           2.5 / 2.475 = 101.0 %" in lines
    assert "Left       -0.025 mm past the limit" in lines
    assert lines[-6:-2] == [
        "Rule       powered",
        "Source     an old book",
        "Certainty  from memory",
        "Rulebook   general, edition 2019-1",
    ]


def test_a_verdict_without_figures_says_what_was_looked_at(shop: Shop) -> None:
    body = body_of(inspect(shop, register(shop).id))
    brake = next(finding for finding in body.findings if finding.component == "Brake holds, no drift")
    lines = explain_finding(brake)
    assert lines[0] == "Brake holds, no drift: keep"
    assert any("a defect is: Sinks" in line for line in lines)
    assert not any(line.startswith("Left") for line in lines)
    bare = replace(brake, steps=(), rulebook="")
    assert not any(line.startswith(("Worked out", "Rulebook")) for line in explain_finding(bare))


def test_a_hook_shows_every_limit_with_its_own_source(shop: Shop) -> None:
    # general: 10 % (Korea art. 96), 10 degrees (29 CFR 1910.179), 10 % of the section (Alberta OHS Code 309)
    rules = open_hoist(shop, register(shop).id).rulebook
    reading = HookReading(throat_mm=Decimal(45))
    lines = explain_hook(reading, Decimal(40), rules.hook, rules)
    assert lines[0] == "lower hook: discard"
    assert any("limit 40 + 10 % = 44 mm" in line for line in lines)
    assert any("opened (45 - 40) / 40 = 12.5 %" in line for line in lines)
    limits = {
        line.split()[0]: line for line in lines if line.split()[:1] in (["throat"], ["twist"], ["wear"])
    }
    assert "Korea" in limits["throat"]
    assert "1910.179" in limits["twist"]
    assert "Alberta" in limits["wear"]
    us = replace(rules.hook, wear_percent=None)
    assert not any(line.startswith("wear") for line in explain_hook(reading, Decimal(40), us, rules))


def test_a_due_date_says_anchor_rule_what_else_and_source(shop: Shop) -> None:
    hoist = register(shop, day=date(2026, 11, 10))
    inspect(shop, hoist.id, day=date(2026, 11, 10))
    texts = {"hours": "30", "as": "period", "spectrum": "L1", "factor": "recorded"}
    log_hours(shop, hoist.id, texts, by=ADA, now=NOW, today=TODAY)
    dues = {due.inspection: due for due in hoist_page(shop, hoist.id, TODAY).summary.dues}
    lines = explain_due(dues[InspectionKind.FREQUENT])
    assert lines[0] == "frequent inspection: due on 2026-12-10"
    assert "Counted    from 2026-11-10, 30 days before" in lines
    assert "Rule       every month, calendar rule, from 2026-11-10" in lines
    assert any("by its date" in line for line in lines)
    # 30 h in 15 days: 100 h (Michigan R 408.11872) after 50 days
    assert any("only on 2026-12-30: every 100 running hours" in line for line in lines)
    assert any(line.startswith("Source     ") for line in lines)
    assert lines[-1].startswith("Certainty  ")


def test_a_used_life_adds_up_its_periods(shop: Shop) -> None:
    # S = 1000 h x 0.25 x 1.3 = 325 h of the 800 h of M4 (FEM 9.755, from memory; f ISO 12482:2014, table 1)
    hoist = register(shop, day=date(2026, 1, 10), group="M4")
    inspect(shop, hoist.id, day=date(2026, 1, 10))
    texts = {"hours": "1000", "as": "counter", "spectrum": "L2", "factor": "estimated"}
    log_hours(shop, hoist.id, texts, by=ADA, now=NOW, today=TODAY)
    life = hoist_page(shop, hoist.id, TODAY).life
    assert life is not None
    lines = explain_life(life)
    for part in (
        "used: 40.6 % of the design life of M4 (1Am)",
        "1000 h x 0.25 x 1.3 = 325 h at full load",
        "Share      325 / 800 = 40.6 %",
        "Remaining  475 h at full load",
        "Certainty  from memory",
    ):
        assert any(part in line for line in lines), part
