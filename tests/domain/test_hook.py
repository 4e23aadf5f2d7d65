"""Hooks under each rule: throat, twist and crack against published percentages."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fieldlog.domain.criteria import SEVERITY, Certainty, Verdict
from fieldlog.domain.hook import judge_hook, opening_percent, throat_limit
from fieldlog.domain.records import HookReading
from fieldlog.errors import InputError
from tests.domain.build import HOOKS, D, rulebook
from tests.domain.published import Case, cases, number

LIMITS = cases("hook", "limit", 5)
UNCAPPED = cases("hook", "uncapped", 1)
VERDICTS = cases("hook", "verdict", 3)

GENERAL = rulebook()
STEP = D("0.01")


def judged(rule: str, throat: str | Decimal | None, new: str | None = "40", **seen: object) -> Verdict:
    reading = HookReading(throat_mm=None if throat is None else Decimal(throat), **seen)  # type: ignore[arg-type]
    return judge_hook(reading, None if new is None else D(new), HOOKS[rule], GENERAL).verdict


def by_rule(case: Case) -> str:
    return f"{case['rule']}-{case['new']}"


@pytest.mark.parametrize("case", LIMITS, ids=by_rule)
def test_the_limit_of_each_rule_below_at_and_above(case: Case) -> None:
    rule, limit = HOOKS[case["rule"]], number(case, "limit")
    assert throat_limit(number(case, "new"), rule) == limit
    assert judged(rule.id, limit - STEP, case["new"]) is Verdict.KEEP
    assert judged(rule.id, limit + STEP, case["new"]) is Verdict.DISCARD
    # '10 % or more' discards at the limit, 'more than 15 percent' only past it.
    assert judged(rule.id, limit, case["new"]) is (Verdict.DISCARD if rule.inclusive else Verdict.KEEP)


@pytest.mark.parametrize("case", UNCAPPED, ids=lambda case: case["new"])
def test_the_cap_governs_large_hooks(case: Case) -> None:
    new = number(case, "new")
    assert new * (1 + number(case, "percent") / 100) == number(case, "limit")
    assert throat_limit(new, HOOKS["us-b30"]) < number(case, "limit")


@pytest.mark.parametrize(("new", "growth"), [("126.9", "6.345"), ("127", "6.35"), ("127.1", "6.35")])
def test_the_cap_begins_at_five_inches(new: str, growth: str) -> None:
    assert throat_limit(D(new), HOOKS["us-b30"]) == D(new) + D(growth)


@pytest.mark.parametrize("case", VERDICTS, ids=by_rule)
def test_one_hook_is_judged_by_the_rule_that_holds(case: Case) -> None:
    assert opening_percent(number(case, "new"), number(case, "now")) == number(case, "percent")
    assert judged(case["rule"], case["now"], case["new"]).value == case["verdict"]


@pytest.mark.parametrize("rule", sorted(HOOKS))
def test_any_crack_is_discard_whatever_was_measured(rule: str) -> None:
    assert judged(rule, "40", crack=True) is Verdict.DISCARD
    assert judged(rule, None, None, crack=True) is Verdict.DISCARD


@pytest.mark.parametrize(
    ("rule", "twist", "verdict"),
    [
        ("general", "9.9", Verdict.KEEP),
        ("general", "10", Verdict.KEEP),  # 'more than 10 deg', 29 CFR 1910.179(j)(2)(iii)
        ("general", "10.1", Verdict.DISCARD),
        ("general", "-10.1", Verdict.DISCARD),
        ("us-osha", "10", Verdict.KEEP),
        ("us-osha", "10.1", Verdict.DISCARD),
        ("us-b30", "0", Verdict.KEEP),
        ("us-b30", "0.1", Verdict.DISCARD),  # 'any visibly apparent' twist, WAC 296-155-55800 table 12
        ("us-b30", "-0.1", Verdict.DISCARD),
    ],
)
def test_twist_to_either_side(rule: str, twist: str, verdict: Verdict) -> None:
    assert judged(rule, "40", twist_deg=D(twist)) is verdict


def test_without_throat_or_its_value_as_new_nothing_is_decided() -> None:
    assert judged("general", None) is Verdict.UNDECIDED
    assert judged("general", "40", None) is Verdict.UNDECIDED
    assert judged("general", None, None, twist_deg=D(11)) is Verdict.DISCARD


def test_a_throat_finding_carries_millimetres_and_the_source_of_the_opening() -> None:
    found = judge_hook(HookReading(which="upper", throat_mm=D(43)), D(40), HOOKS["general"], GENERAL)
    assert (found.component, found.criterion) == ("upper hook", "general")
    assert (found.value, found.limit, found.margin, found.unit) == (D(43), D(44), D(1), "mm")
    assert found.source == "Korea, OSH Standards Rule, art. 96 no. 5"
    assert (found.certainty, found.edition) == (Certainty.PUBLISHED, "2026-11")


def test_a_twist_finding_carries_degrees_and_the_source_of_the_twist() -> None:
    twisted = HookReading(throat_mm=D(40), twist_deg=D(12))
    found = judge_hook(twisted, D(40), HOOKS["general"], GENERAL)
    assert (found.value, found.limit, found.margin, found.unit) == (D(12), D(10), D(-2), "deg")
    assert found.source == "29 CFR 1910.179, (j)(2)(iii)"
    assert "twisted 12 degrees" in found.why


def test_a_crack_has_no_figure() -> None:
    found = judge_hook(HookReading(throat_mm=D(40), crack=True), D(40), HOOKS["general"], GENERAL)
    assert (found.value, found.limit, found.margin) == (None, None, None)


@pytest.mark.parametrize("bad", ["0", "-40"])
def test_a_throat_that_can_not_be_is_refused(bad: str) -> None:
    with pytest.raises(InputError, match="greater than 0"):
        judged("general", "44", bad)
    with pytest.raises(InputError, match="greater than 0"):
        judged("general", bad)
    with pytest.raises(InputError, match="greater than 0"):
        opening_percent(D(bad), D(44))


THROATS = st.decimals("1", 200, places=2)


@given(st.sampled_from(sorted(HOOKS)), THROATS, THROATS, THROATS)
def test_a_verdict_never_improves_as_the_hook_opens(
    rule: str, new: Decimal, one: Decimal, other: Decimal
) -> None:
    less, more = sorted((one, other))
    assert SEVERITY[judged(rule, less, str(new))] <= SEVERITY[judged(rule, more, str(new))]


@given(THROATS, THROATS)
def test_a_stricter_rule_is_never_milder(new: Decimal, now: Decimal) -> None:
    # 5 % capped, 10 % and 15 %, in this order.
    found = [SEVERITY[judged(rule, now, str(new))] for rule in ("us-osha", "general", "us-b30")]
    assert found == sorted(found)
