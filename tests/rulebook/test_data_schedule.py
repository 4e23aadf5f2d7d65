"""The shipped intervals and date rules against their sources.

The figures as printed stand in tests/check_values/rulebook_schedule.toml.
"""

from decimal import Decimal
from typing import Any

import pytest

from fieldlog.domain.criteria import Certainty
from fieldlog.domain.records import InspectionKind, ServiceClass
from fieldlog.domain.rules import DateRule, Interval, Rulebook
from fieldlog.rulebook.loader import load_all, load_rulebook
from tests.domain.published import cases

FILE = "rulebook_schedule"
SHORTEST_MONTH, LONGEST_MONTH = 28, 31


def interval(rulebook: Rulebook, inspection: str, service: str, persons: bool = False) -> Interval:
    [found] = [
        rule
        for rule in rulebook.intervals
        if (rule.inspection, rule.service, rule.lifts_persons) == (inspection, service, persons)
    ]
    return found


def days(rule: Interval) -> int:
    """Days for comparison; a month counts as 31, so that a week is always shorter."""
    return rule.days if rule.days is not None else (rule.months or 0) * LONGEST_MONTH


@pytest.mark.parametrize("case", cases(FILE, "interval", 25))
def test_intervals_lie_in_the_range_that_their_source_prints(case: dict[str, Any]) -> None:
    rule = interval(
        load_rulebook(case["rulebook"]), case["inspection"], case["service"], case.get("persons", False)
    )
    least, most = case.get("months") or case["days"]
    if "months" in case:
        assert rule.days is None
        assert rule.months is not None
        assert least <= rule.months <= most
    else:
        assert least <= days(rule) <= most
    assert rule.source.certainty == case["certainty"]


def test_general_takes_the_short_end_of_a_range() -> None:
    """ASME B30.16 as quoted: heavy weekly to monthly, severe daily to weekly."""
    general = load_rulebook("general")
    assert interval(general, "frequent", "heavy").days == 7
    assert interval(general, "frequent", "severe").days == 1


def test_german_yearly_check_is_never_longer_than_the_law_says() -> None:
    """DGUV Vorschrift 54, 23(2): at least once a year, more often by conditions of use without a figure."""
    for service in ServiceClass:
        rule = interval(load_rulebook("de"), "periodic", service)
        assert rule.months is not None
        assert rule.months <= 12
        published = rule.source.certainty is Certainty.PUBLISHED
        assert published is (service is ServiceClass.NORMAL)


@pytest.mark.parametrize("case", cases(FILE, "idle", 4))
def test_idle_rules_are_those_of_their_sources(case: dict[str, Any]) -> None:
    rules = load_rulebook(case["rulebook"]).idle
    [rule] = [rule for rule in rules if rule.inspection == case["inspection"]]
    assert rule.months == case["months"]
    assert rule.source.certainty == case["certainty"]


@pytest.mark.parametrize("case", cases(FILE, "hours", 2))
def test_running_hours_are_those_of_their_source(case: dict[str, Any]) -> None:
    for name in (case["rulebook"], "general"):
        [rule] = [rule for rule in load_rulebook(name).hours if rule.inspection == case["inspection"]]
        assert rule.hours == case["hours"]


def test_day_counts_are_those_of_doe() -> None:
    found = [(count.id, count.months, count.days) for count in load_rulebook("general").day_counts]
    assert found == [(case["id"], case["months"], case["days"]) for case in cases(FILE, "day_count", 6)]


def test_month_plate_forgives_what_its_source_does() -> None:
    [case] = cases(FILE, "month_plate", 1)
    [rule] = [rule for rule in load_rulebook("de").date_rules if rule.rule is DateRule.MONTH_PLATE]
    assert rule.grace_months == case["grace_months"]
    assert (rule.long_months, rule.early_months) == (case["long_months"], case["early_months"])
    assert rule.early_source is not None
    assert rule.early_source.certainty is Certainty.MEMORY


def test_each_regime_counts_dates_in_its_own_way() -> None:
    assert {name: rulebook.date_rule for name, rulebook in load_all().items()} == {
        "general": DateRule.CALENDAR,
        "de": DateRule.MONTH_PLATE,
        "uk": DateRule.CALENDAR,
        "us": DateRule.CALENDAR,
    }


@pytest.mark.parametrize("name", ["us", "de", "uk"])
def test_general_is_never_less_frequent_than_another_regime(name: str) -> None:
    general, other = load_rulebook("general"), load_rulebook(name)
    for rule in other.intervals:
        own = interval(general, rule.inspection, rule.service, rule.lifts_persons)
        assert days(own) <= days(rule), rule.id


def test_harder_service_never_waits_longer() -> None:
    order = [ServiceClass.NORMAL, ServiceClass.HEAVY, ServiceClass.SEVERE]
    for rulebook in load_all().values():
        for kind in (InspectionKind.PRE_USE, InspectionKind.FREQUENT, InspectionKind.PERIODIC):
            lengths = [days(interval(rulebook, kind, service)) for service in order]
            assert lengths == sorted(lengths, reverse=True)


def test_lifting_persons_never_waits_longer_than_lifting_loads() -> None:
    for rulebook in load_all().values():
        for rule in rulebook.intervals:
            if rule.lifts_persons:
                assert days(rule) <= days(interval(rulebook, rule.inspection, rule.service))


def test_hours_and_shares_are_exact_decimals() -> None:
    general = load_rulebook("general")
    assert (general.watch_share, general.reference_over_share) == (Decimal("0.8"), Decimal("0.005"))
    assert general.watch_source is not None
    assert general.watch_source.certainty is Certainty.PRACTICE
    assert {rule.hours for rule in general.hours} == {Decimal(100), Decimal(500)}
