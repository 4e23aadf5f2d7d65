"""What is offered for a mistyped hoist ID: the tags that lie one slip away, nearest first."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from stdnum.iso7064 import mod_37_36

from fieldlog.domain.tag_id import (
    make_id,
    may_be_given_out,
    near,
)
from tests.domain.tags import ALPHABET, hoist_ids, untimed

FLEET = [make_id("SW", number) for number in range(1, 400) if may_be_given_out("SW", number)]


MISTYPED = [
    *("SW-0008-M", "SW-0008-N", "SW-008-M", "SW-00088-M", "WS-0008-M", "sw oo08 m", "sw000m8", "SW-00#8-M"),
    *("FL:SW-0008-X", "SW-0008", "SW-8-M", "0008", "8", "AB-0008-M"),
]


@pytest.mark.parametrize("typed", MISTYPED)
def test_a_mistyped_id_leads_to_the_one_that_was_meant(typed: str) -> None:
    """One wrong, missing, additional or swapped pair of characters; else the same number."""
    assert near(typed, FLEET)[0] == "SW-0008-M"


@pytest.mark.parametrize(("typed", "same_number"), [("SW-0009-M", "SW-0009-K"), ("SW-0080-M", "SW-0080-6")])
def test_a_slip_in_the_number_may_mean_two_hoists_and_both_are_offered(typed: str, same_number: str) -> None:
    """Right number with a wrong check character, or the other way round. Checks by python-stdnum."""
    offered = near(typed, FLEET)
    assert offered[0] == same_number
    assert "SW-0008-M" in offered


def test_the_nearest_comes_first_and_no_more_than_asked_for() -> None:
    assert near("SW-0009-M", ["SW-0008-M", "SW-0009-K"]) == ["SW-0009-K", "SW-0008-M"]
    assert near("SW-0009-M", ["SW-0008-M", "SW-0009-K"], most=1) == ["SW-0009-K"]
    assert near("SW-0009-M", ["SW-0008-M", "SW-0009-K"], most=0) == []
    # The tag itself comes before one with another prefix; only the shape of an ID counts here.
    assert near("SW-0008-M", ["SV-0008-M", "SW-0008-M"]) == ["SW-0008-M", "SV-0008-M"]
    assert near("8", ["SW-0008-M", "AB-0008-S", "SW-0009-K"]) == ["AB-0008-S", "SW-0008-M"]


def test_letters_typed_for_digits_are_no_slips_of_their_own() -> None:
    """Two O and an I for digits, and beside them one wrong character."""
    assert near("SW-OI2O-#", FLEET) == [make_id("SW", 120)]


def test_the_fallback_takes_the_number_without_a_check_digit_typed_to_it() -> None:
    """Of `ZZ12340` typed for SW-1234 the last digit may be the check character."""
    hoist_id = f"SW-1234-{mod_37_36.calc_check_digit('SW1234')}"
    assert near("ZZ12340", [hoist_id, "SW-0008-M"]) == [hoist_id]


@pytest.mark.parametrize(
    "typed", ["", "   ", "hello", "FL:", "9" * 10_000, "S" * 41, "ZZ-7777-Z"], ids=lambda typed: typed[:12]
)
def test_where_nothing_is_near_nothing_is_offered(typed: str) -> None:
    assert near(typed, FLEET) == []


@untimed
@given(
    hoist_id=hoist_ids(), kind=st.sampled_from(["wrong", "missing", "additional", "swapped"]), data=st.data()
)
def test_every_single_slip_is_near(hoist_id: str, kind: str, data: st.DataObject) -> None:
    compact = hoist_id.replace("-", "")
    place = data.draw(st.integers(0, len(compact) - 2))
    char = data.draw(st.sampled_from(ALPHABET))
    before, here, after = compact[:place], compact[place], compact[place + 1 :]
    slip = {
        "wrong": before + char + after,
        "missing": before + after,
        "additional": before + char + here + after,
        "swapped": before + after[0] + here + after[1:],
    }[kind]
    assert near(slip, [hoist_id, "ZZZZ-999999-9"]) == [hoist_id]
