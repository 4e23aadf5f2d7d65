"""The load that a test asks for, and what a load reached is worth, below, at and above each limit."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace

from fieldlog.domain.criteria import Certainty, Source, Verdict
from fieldlog.domain.load_test import LOAD_TEST, judge_load_test, required_load
from fieldlog.domain.records import Drive
from fieldlog.domain.rules import LoadTestRule
from fieldlog.errors import InputError
from tests.domain.build import DOE, D, rulebook

EU = Source(id="eu", title="Directive 2006/42/EC", clause="annex I, 4.1.2.3", certainty=Certainty.PUBLISHED)
# 2006/42/EC, annex I, 4.1.2.3: 1.25, hand 1.5; DOE-STD-1090-96 ch. 8: 125 %, 100 % with an overload device,
# weights -5/+0 %.
POWERED = LoadTestRule(
    id="eu-powered",
    drives=(Drive.ELECTRIC, Drive.AIR),
    static_factor=D("1.25"),
    with_overload_device=None,
    low_percent=D(5),
    high_percent=D(0),
    tolerance_source=DOE,
    source=EU,
)
HAND = replace(POWERED, id="eu-hand", drives=(Drive.HAND,), static_factor=D("1.5"))
US = replace(POWERED, id="us", with_overload_device=D(1), source=DOE)
EUROPE = rulebook(load_tests=(POWERED, HAND))
AMERICA = rulebook(load_tests=(US, HAND))


@pytest.mark.parametrize(
    ("book", "drive", "device", "load", "low"),
    [
        (EUROPE, Drive.ELECTRIC, False, "625", "593.75"),
        (EUROPE, Drive.ELECTRIC, True, "625", "593.75"),
        (EUROPE, Drive.HAND, False, "750", "712.5"),
        (AMERICA, Drive.AIR, False, "625", "593.75"),
        (AMERICA, Drive.AIR, True, "500", "475"),
    ],
)
def test_the_required_load(book: object, drive: Drive, device: bool, load: str, low: str) -> None:
    needed = required_load(D(500), drive, book, overload_device=device)  # type: ignore[arg-type]
    assert (needed.load_kg, needed.low_kg, needed.high_kg) == (D(load), D(low), D(load))


NEEDED = required_load(D(500), Drive.ELECTRIC, EUROPE)


@pytest.mark.parametrize(
    ("reached", "held", "verdict"),
    [
        ("593.74", True, Verdict.UNDECIDED),
        ("593.75", True, Verdict.KEEP),
        ("625", True, Verdict.KEEP),
        ("625.01", True, Verdict.WATCH),
        ("593.75", False, Verdict.DISCARD),
        ("100", False, Verdict.DISCARD),
    ],
)
def test_what_a_reached_load_is_worth(reached: str, held: bool, verdict: Verdict) -> None:
    found = judge_load_test(D(reached), held=held, needed=NEEDED, rulebook=EUROPE)
    assert (found.component, found.verdict, found.limit, found.unit) == (
        LOAD_TEST,
        verdict,
        D("593.75"),
        "kg",
    )
    assert found.source == "Directive 2006/42/EC, annex I, 4.1.2.3"
    assert found.steps[0] == "1.25 x 500 kg = 625 kg"
    assert "DOE-STD-1090-96" in found.steps[1]


def test_a_rulebook_without_a_test_and_a_rating_that_can_not_be_are_refused() -> None:
    with pytest.raises(InputError, match="has no load test for hand hoists"):
        required_load(D(500), Drive.HAND, rulebook(load_tests=(POWERED,)))
    with pytest.raises(InputError, match="greater than 0"):
        required_load(D(0), Drive.ELECTRIC, EUROPE)


@given(st.decimals("0.1", 10_000, places=1), st.decimals("0.1", 10_000, places=1))
def test_a_held_load_within_the_weights_tolerance_alone_is_kept(capacity: Decimal, reached: Decimal) -> None:
    needed = required_load(capacity, Drive.ELECTRIC, EUROPE)
    found = judge_load_test(reached, held=True, needed=needed, rulebook=EUROPE)
    assert (found.verdict is Verdict.KEEP) is (needed.low_kg <= reached <= needed.high_kg)
