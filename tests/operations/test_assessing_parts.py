"""Diameters, hook, instrument and items in the live view of an inspection."""

from datetime import date
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fieldlog.domain.criteria import Verdict
from fieldlog.domain.records import AnswerKind
from fieldlog.operations.assessing import assess
from fieldlog.operations.drafting import AnswerDraft, InspectionDraft, ReadingDraft
from tests.operations.bench import PERIODIC, Bench, bench
from tests.operations.builder import TODAY, with_instrument


@pytest.fixture(scope="module")
def plain(tmp_path_factory: pytest.TempPathFactory) -> Bench:
    """A powered hoist with 5x15 chain and no book value."""
    return bench(tmp_path_factory.mktemp("plain"))


@pytest.fixture(scope="module")
def hand(tmp_path_factory: pytest.TempPathFactory) -> Bench:
    return bench(tmp_path_factory.mktemp("hand"), drive="hand")


# Mean of two diameters at right angles: discard at 90 % of dn or less (DGUV Information 209-021): 4.5 mm.
@pytest.mark.parametrize(
    ("d1", "d2", "verdict"),
    [
        ("4.5", "4.5", Verdict.DISCARD),
        ("4.4", "4.6", Verdict.DISCARD),
        ("4.51", "4.5", Verdict.KEEP),
        ("4.4", "4.7", Verdict.WATCH),
        ("5", "5", Verdict.KEEP),
    ],
)
def test_the_wire_diameter(plain: Bench, d1: str, d2: str, verdict: Verdict) -> None:
    found = plain.assess(d1=d1, d2=d2)
    assert found.diameter is not None
    assert found.diameter.verdict is verdict
    assert (found.diameter_problem, found.questions) == ("", ())


@pytest.mark.parametrize(("d1", "d2"), [("4.9", ""), ("", "4.9"), ("0", "5"), ("x", "5"), ("-1", "5")])
def test_half_a_diameter_or_none_that_can_be_is_a_problem_and_no_crash(
    plain: Bench, d1: str, d2: str
) -> None:
    found = plain.assess(d1=d1, d2=d2)
    assert found.diameter is None
    assert found.diameter_problem


def test_a_diameter_ten_times_too_large_is_questioned_before_it_hides_a_worn_one(plain: Bench) -> None:
    found = plain.assess(d1="4.2", d2="42")
    assert found.diameter is not None
    assert found.diameter.verdict is not Verdict.DISCARD
    (question,) = found.questions
    assert "d2 42 mm on a chain of 5 mm" in question


# 10 % or more over the as-new opening: discard (Korea, OSH Standards Rule art. 96), 33 of 30 mm.
@pytest.mark.parametrize(
    ("throat", "verdict"), [("30", Verdict.KEEP), ("32.99", Verdict.KEEP), ("33", Verdict.DISCARD)]
)
def test_the_hooks_throat(plain: Bench, throat: str, verdict: Verdict) -> None:
    content = InspectionDraft(occasion=PERIODIC, done_on=TODAY.isoformat())
    content.hook.throat = throat
    found = plain.assess(hook=content.hook)
    assert found.hook is not None
    assert found.hook.verdict is verdict


@pytest.mark.parametrize("throat", ["0", "wide", "-3"])
def test_a_throat_that_can_not_be_is_a_problem_and_no_crash(plain: Bench, throat: str) -> None:
    content = InspectionDraft(occasion=PERIODIC, done_on=TODAY.isoformat())
    content.hook.throat = throat
    found = plain.assess(hook=content.hook)
    assert (found.hook, bool(found.hook_problem)) == (None, True)


# Any crack is discard; a twist over 10 degrees is (29 CFR 1910.179(l)(3)(iii)(a)).
@pytest.mark.parametrize(
    ("twist", "crack", "verdict"),
    [("10", False, Verdict.UNDECIDED), ("10.1", False, Verdict.DISCARD), ("", True, Verdict.DISCARD)],
)
def test_twist_and_crack_need_no_throat(plain: Bench, twist: str, crack: bool, verdict: Verdict) -> None:
    content = InspectionDraft(occasion=PERIODIC, done_on=TODAY.isoformat())
    content.hook.twist, content.hook.crack = twist, crack
    found = plain.assess(hook=content.hook)
    assert found.hook is not None
    assert found.hook.verdict is verdict


def test_a_hook_whose_throat_as_new_is_not_known_stays_undecided(tmp_path: Path) -> None:
    held = bench(tmp_path, hook_throat="")
    content = InspectionDraft(occasion=PERIODIC, done_on=TODAY.isoformat())
    content.hook.throat = "30"
    found = held.assess(hook=content.hook)
    assert found.hook is not None
    assert (found.hook.verdict, found.questions) == (Verdict.UNDECIDED, ())


def test_a_throat_narrower_than_new_is_questioned(plain: Bench) -> None:
    content = InspectionDraft(occasion=PERIODIC, done_on=TODAY.isoformat())
    content.hook.throat = "3.3"
    (question,) = plain.assess(hook=content.hook).questions
    assert "throat 3.3 mm, as new 30 mm" in question


def test_the_instruments_state_is_that_of_the_day(tmp_path: Path) -> None:
    held = bench(tmp_path)
    with_instrument(held.shop, "C1", calibrated_on=date(2025, 11, 20), interval_months=12)
    late = held.assess("165.4", instrument="C1")
    then = held.assess("165.4", instrument="C1", day=date(2026, 11, 20))
    assert late.gauging.instrument_note == "out of calibration since 2026-11-20"
    assert then.gauging.instrument_note == "in calibration until 2026-11-20"
    assert late.readings[0].verdict is not None


def test_only_items_that_apply_are_asked_and_figures_count_as_their_answer(plain: Bench, hand: Bench) -> None:
    nothing = plain.assess()
    measured = {item.id for item in nothing.items if item.measure}
    assert len(measured) == 3
    assert nothing.open == nothing.items
    found = plain.assess("165.4", "165.6", "165.8", d1="4.9", d2="5")
    left = {item.id for item in found.items} - {item.id for item in found.open}
    assert left == measured - {item.id for item in found.items if item.measure == "hook"}
    assert sum(part.answered for part in found.progress) == 2
    assert sum(part.total for part in found.progress) == len(found.items)
    assert {item.id for item in hand.assess().items} != {item.id for item in nothing.items}


def test_an_answer_without_a_kind_is_no_answer(plain: Bench) -> None:
    answers = {
        "labels": AnswerDraft(note="later"),
        "hook-latch": AnswerDraft(answer=AnswerKind.NOT_SEEN),
    }
    found = plain.assess(answers=answers)
    assert {"labels"} <= {item.id for item in found.open}
    assert sum(part.answered for part in found.progress) == 1


@settings(max_examples=60, deadline=None)
@given(text=st.text(max_size=12))
def test_whatever_is_typed_into_every_field_there_is_a_view(plain: Bench, text: str) -> None:
    content = InspectionDraft(occasion=PERIODIC, done_on=text, links=text, instrument=text, d1=text, d2=text)
    content.readings = [ReadingDraft(place=text, text=text)]
    content.hook.throat = content.hook.twist = text
    found = assess(plain.shop, plain.opened, content, today=TODAY)
    assert len(found.readings) == 1
