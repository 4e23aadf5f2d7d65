"""What is measured on one link under an instrument's doubt, and a diameter that fails without elongation."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fieldlog.domain.criteria import SEVERITY, Certainty, Source, Verdict
from fieldlog.domain.records import ChainSize, DiameterReading, PitchReading
from fieldlog.domain.rules import InstrumentType, SinglePitchRule
from fieldlog.domain.wire import PITCH, judge_diameter, judge_pitch, with_little_elongation
from fieldlog.errors import InputError
from tests.domain.build import CALIPER, RULE_II, D, rulebook

GENERAL = rulebook()
TEN = ChainSize(dn_mm=D(10), pn_mm=D(30))
SLINGS = Source(
    id="dguv-109-004", title="DGUV Regel 109-004", clause="section 7", certainty=Certainty.PUBLISHED
)
ONE_LINK = SinglePitchRule(id="one-link", factor=D("1.05"), source=SLINGS)
TOOLS = (None, CALIPER, RULE_II)


def diameter(mean: str | Decimal, tool: InstrumentType | None = None) -> Verdict:
    worn = DiameterReading(place="2 m", d1_mm=D(mean), d2_mm=D(mean))
    return judge_diameter(worn, TEN, GENERAL.diameter, GENERAL, instrument=tool).verdict


# The limit is 0.9 x 10 = 9 mm (DGUV Information 209-021); the guard of a caliper 0.05 (DIN 862:1988) is
# 1.645 x 0.05 / sqrt 3 = 0.0475 mm, that of a steel rule of class II (SI 2016/1153) 0.4749 mm.
@pytest.mark.parametrize(
    ("mean", "tool", "verdict"),
    [
        ("9", CALIPER, Verdict.DISCARD),
        ("9.0001", CALIPER, Verdict.UNDECIDED),
        ("9.0475", CALIPER, Verdict.UNDECIDED),
        ("9.0476", CALIPER, Verdict.KEEP),
        ("9.4749", RULE_II, Verdict.UNDECIDED),
        ("9.4750", RULE_II, Verdict.KEEP),
        ("9.0001", None, Verdict.KEEP),
    ],
)
def test_a_diameter_near_the_limit_is_undecided(
    mean: str, tool: InstrumentType | None, verdict: Verdict
) -> None:
    assert diameter(mean, tool) is verdict


def test_it_says_what_to_do_and_how_it_was_worked_out() -> None:
    worn = DiameterReading(place="2 m", d1_mm=D("9.0"), d2_mm=D("9.04"))
    found = judge_diameter(worn, TEN, GENERAL.diameter, GENERAL, instrument=CALIPER)
    assert "measure again with a finer tool" in found.why
    assert found.steps == (
        "(9 + 9.04) / 2 = 9.02 mm",
        "limit 0.9 x 10 = 9 mm",
        "guard 1.645 x 0.05 / sqrt 3 = 0.0475 mm",
    )


@given(st.decimals(7, 10, places=3))
def test_a_coarser_tool_is_never_milder(mean: Decimal) -> None:
    found = [SEVERITY[diameter(mean, tool)] for tool in TOOLS]
    assert found == sorted(found)


@pytest.mark.parametrize(("used", "told"), [("0", True), ("79.9", True), ("80", False), ("100", False)])
def test_a_failure_with_little_elongation_is_told_as_such(used: str, told: bool) -> None:
    worn = DiameterReading(place="2 m", d1_mm=D("8.8"), d2_mm=D("8.9"))
    found = judge_diameter(worn, TEN, GENERAL.diameter, GENERAL)
    noted = with_little_elongation(found, D(used), GENERAL.watch_share)
    assert ("local damage or abrasion from outside" in noted.why) is told
    assert noted.verdict is Verdict.DISCARD


def test_nothing_is_added_to_one_that_holds_or_where_nothing_else_was_measured() -> None:
    good = DiameterReading(place="2 m", d1_mm=D("9.8"), d2_mm=D("9.9"))
    found = judge_diameter(good, TEN, GENERAL.diameter, GENERAL)
    assert with_little_elongation(found, D(0), GENERAL.watch_share) is found
    worn = judge_diameter(
        DiameterReading(place="2 m", d1_mm=D(8), d2_mm=D(8)), TEN, GENERAL.diameter, GENERAL
    )
    assert with_little_elongation(worn, None, GENERAL.watch_share) is worn


def pitch(value: str, worn: str | None, tool: InstrumentType | None = None) -> Verdict:
    link = PitchReading(place="wheel", pitch_mm=D(value), diameter_mm=None if worn is None else D(worn))
    return judge_pitch(link, TEN, ONE_LINK, GENERAL, instrument=tool).verdict


# DGUV Regel 109-004, section 7: t > 1.05 t0 + (d0 - d) is discard; t0 30, d0 10, d 9.5: 32; d 10: 31.5.
@pytest.mark.parametrize(
    ("value", "worn", "verdict"),
    [
        ("31.99", "9.5", Verdict.KEEP),
        ("32", "9.5", Verdict.KEEP),
        ("32.01", "9.5", Verdict.DISCARD),
        ("31.5", None, Verdict.KEEP),
        ("31.51", None, Verdict.DISCARD),
    ],
)
def test_a_single_pitch_below_at_and_above(value: str, worn: str | None, verdict: Verdict) -> None:
    assert pitch(value, worn) is verdict


def test_a_pitch_within_the_doubt_is_undecided() -> None:
    # the guard of the caliper inside is 0.0665 mm: 32 - 0.0665 = 31.9335
    assert pitch("31.93", "9.5", CALIPER) is Verdict.KEEP
    assert pitch("31.94", "9.5", CALIPER) is Verdict.UNDECIDED
    assert pitch("32.01", "9.5", CALIPER) is Verdict.DISCARD


def test_its_finding_carries_the_source_and_the_arithmetic() -> None:
    link = PitchReading(place="wheel", pitch_mm=D("32.1"), diameter_mm=D("9.5"))
    found = judge_pitch(link, TEN, ONE_LINK, GENERAL)
    assert (found.component, found.limit, found.margin) == (PITCH, D("32.000"), D("-0.100"))
    assert found.source == "DGUV Regel 109-004, section 7"
    assert found.steps == ("limit 1.05 x 30 + (10 - 9.5) = 32 mm",)


@pytest.mark.parametrize(("value", "worn"), [("0", "9"), ("-1", None), ("30", "0")])
def test_a_link_that_can_not_be_is_refused(value: str, worn: str | None) -> None:
    with pytest.raises(InputError, match="greater than 0"):
        pitch(value, worn)
