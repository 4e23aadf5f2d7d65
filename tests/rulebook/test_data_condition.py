"""The shipped figures on chain, hooks and load tests against their sources.

The figures as printed stand in tests/check_values/rulebook.toml.
"""

from decimal import Decimal
from typing import Any

import pytest

from fieldlog.domain.criteria import Certainty
from fieldlog.domain.records import Drive
from fieldlog.domain.rules import ElongationRule, HookRule, LoadTestRule, Rulebook
from fieldlog.rulebook.loader import load_all, load_rulebook
from tests.domain.published import cases

FILE = "rulebook"


def elongation(rulebook: Rulebook, drive: str) -> ElongationRule:
    [rule] = [rule for rule in rulebook.elongation if Drive(drive) in rule.drives]
    return rule


def load_test(rulebook: Rulebook, drive: str) -> LoadTestRule:
    [rule] = [rule for rule in rulebook.load_tests if Drive(drive) in rule.drives]
    return rule


def hook(rule_id: str) -> HookRule:
    [rule] = [rule for rule in load_rulebook("general").hook_rules if rule.id == rule_id]
    return rule


@pytest.mark.parametrize("case", cases(FILE, "elongation", 3))
def test_elongation_is_that_of_its_source_in_every_rulebook(case: dict[str, Any]) -> None:
    for rulebook in load_all().values():
        rule = elongation(rulebook, case["drive"])
        assert rule.percent == case["percent"]
        assert rule.source.certainty == case["certainty"]


@pytest.mark.parametrize("case", cases(FILE, "discard_length", 24))
def test_elongation_gives_the_discard_length_worked_out_elsewhere(case: dict[str, Any]) -> None:
    percent = elongation(load_rulebook("general"), case["drive"]).percent
    assert Decimal(case["unused"]) * (1 + percent / 100) == Decimal(case["discard"])


def test_diameter_and_single_pitch_are_those_of_their_sources() -> None:
    [diameter] = cases(FILE, "diameter", 1)
    [pitch] = cases(FILE, "single_pitch", 1)
    for rulebook in load_all().values():
        assert rulebook.diameter.share == diameter["share"]
        assert rulebook.diameter.source.certainty == diameter["certainty"]
        assert rulebook.single_pitch is not None
        assert rulebook.single_pitch.factor == pitch["factor"]


@pytest.mark.parametrize("case", cases(FILE, "hook", 4))
def test_hook_opening_is_that_of_its_source(case: dict[str, Any]) -> None:
    rule = hook(case["rule"])
    assert (rule.percent, rule.inclusive) == (case["percent"], case["inclusive"])
    assert rule.source.certainty == case["certainty"]


@pytest.mark.parametrize("case", cases(FILE, "hook_limit", 5))
def test_hook_limits_worked_out_elsewhere(case: dict[str, Any]) -> None:
    """The cap of 1/4 in governs above 127 mm: at 127 mm both give 133.35 mm."""
    rule, new = hook(case["rule"]), Decimal(case["new_mm"])
    growth = new * rule.percent / 100
    assert new + min(growth, rule.cap_mm or growth) == Decimal(case["limit_mm"])


@pytest.mark.parametrize("case", cases(FILE, "hook_twist_and_wear", 4))
def test_hook_twist_and_wear_are_those_of_their_sources(case: dict[str, Any]) -> None:
    rule = hook(case["rule"])
    assert rule.twist_deg == case["twist_deg"]
    assert rule.wear_percent == (Decimal(case["wear_percent"]) if case["wear_percent"] else None)


def test_each_regime_has_its_own_hook_rule_and_all_are_there_by_id() -> None:
    assert {name: rulebook.hook.id for name, rulebook in load_all().items()} == {
        "general": "general",
        "us": "us-osha",
        "de": "de",
        "uk": "uk",
    }
    for rulebook in load_all().values():
        assert [rule.id for rule in rulebook.hook_rules] == ["general", "us-osha", "us-b30", "de", "uk"]
        assert rulebook.hook in rulebook.hook_rules


def test_a_hook_without_source_of_its_own_says_so() -> None:
    """The UK names no figure for hooks: common practice, no source."""
    assert hook("uk").source.certainty is Certainty.PRACTICE


@pytest.mark.parametrize("case", cases(FILE, "load_test", 9))
def test_load_test_factors_are_those_of_their_sources(case: dict[str, Any]) -> None:
    rule = load_test(load_rulebook(case["rulebook"]), case["drive"])
    assert rule.static_factor == case["static"]
    assert rule.dynamic_factor == (Decimal(case["dynamic"]) if case["dynamic"] else None)
    device = case.get("with_device", "")
    assert rule.with_overload_device == (Decimal(device) if device else None)
    assert rule.source.certainty == case["certainty"]


@pytest.mark.parametrize("case", cases(FILE, "test_weight", 2))
def test_weights_accepted_for_a_load_test(case: dict[str, Any]) -> None:
    rule = load_test(load_rulebook(case["rulebook"]), case["drive"])
    load = Decimal(case["capacity_kg"]) * rule.static_factor
    assert load * (100 - rule.low_percent) / 100 == Decimal(case["low_kg"])
    assert load * (100 + rule.high_percent) / 100 == Decimal(case["high_kg"])


def test_uk_load_tests_repeat_the_directive_from_memory() -> None:
    """Directive 2006/42/EC Annex I 4.1.2.3 gives 1.25 and 1.5; that UK law took it over is from memory."""
    rulebook = load_rulebook("uk")
    assert load_test(rulebook, "electric").static_factor == Decimal("1.25")
    assert load_test(rulebook, "hand").static_factor == Decimal("1.5")
    assert load_test(rulebook, "hand").source.certainty is Certainty.MEMORY
