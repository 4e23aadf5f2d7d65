"""Every slip of counting, unit or decimal point is questioned, and a plausible reading is not.

The bounds are common practice, no source; 1 in = 25.4 mm exactly (international yard and pound, 1959).
"""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fieldlog.domain.chain import nominal_length, reference_for
from fieldlog.domain.plausibility import question_all, question_reading, question_reference
from fieldlog.domain.records import Basis, ChainSize
from tests.domain.build import SIZE, D
from tests.domain.published import cases, number

REFERENCE = reference_for(SIZE, 11, Basis.INSIDE)


def asked(value: str | Decimal, **how: Decimal) -> str:
    return " ".join(question_reading(Decimal(value), REFERENCE, SIZE, **how))


@pytest.mark.parametrize(
    ("value", "question"),
    [
        ("180.4", "looks like 12 links, not 11"),
        ("150.3", "looks like 10 links, not 11"),
        ("195", "looks like 13 links"),
        ("135", "looks like 9 links"),
        ("6.50", "inches typed as millimetres"),
        ("4201", "millimetres typed as inches"),
        ("1654", "decimal point"),
        ("16.54", "decimal point"),
        ("164.9", "shorter than new (165 mm)"),
        ("175.2", "106 % of the reference 165 mm"),
        ("12.3", "7 % of the reference"),
        ("900", "545 % of the reference"),
    ],
)
def test_each_slip_is_named(value: str, question: str) -> None:
    assert question in asked(value)


@pytest.mark.parametrize(
    ("value", "questioned"),
    [
        ("161.7", True),  # 0.98 of the reference: shorter than new, and no other slip
        ("161.6", True),
        ("164.999", True),
        ("165", False),
        ("167.475", False),
        ("174.9", False),  # 1.06 itself
        ("174.901", True),
    ],
)
def test_the_bounds_of_what_is_plausible(value: str, questioned: bool) -> None:
    assert bool(asked(value)) is questioned


def test_just_short_is_asked_otherwise_than_far_short() -> None:
    assert "shorter than new" in asked("161.7")
    assert "shorter than new" not in asked("161.699")


@pytest.mark.parametrize(
    ("off", "counted"), [("3.75", True), ("3.751", False), ("-3.75", True), ("-3.751", False)]
)
def test_one_pitch_off_means_within_a_quarter_of_a_pitch(off: str, counted: bool) -> None:
    assert ("looks like 12 links" in asked(D(180) + D(off))) is counted


def test_a_single_link_is_not_asked_for_none() -> None:
    one = reference_for(SIZE, 1, Basis.INSIDE)
    assert question_reading(D("15.1"), one, SIZE) == ()
    assert "decimal point" in question_reading(D("1.5"), one, SIZE)[0]


@pytest.mark.parametrize(
    ("value", "questioned"), [("165.59", True), ("165.60", False), ("165.61", False), ("166.1", False)]
)
def test_wear_that_goes_back_by_more_than_both_doubts_is_questioned(value: str, questioned: bool) -> None:
    question = asked(value, last_mm=D(166), doubt_mm=D("0.4"))
    assert ("shorter than last time (166 mm)" in question) is questioned


def test_the_graver_slip_is_asked_first_and_alone() -> None:
    assert question_reading(D("16.5"), REFERENCE, SIZE, last_mm=D(166)) == ("decimal point slipped?",)


def test_three_readings_alike_are_questioned_and_two_are_not() -> None:
    assert "all 3 readings are the same" in question_all([D("165.4")] * 3)[0]
    assert question_all([D("165.4")] * 2) == ()
    assert question_all([D("165.4"), D("165.4"), D("165.5")]) == ()
    assert question_all([]) == ()


@pytest.mark.parametrize(
    ("basis", "length", "question"),
    [
        (Basis.INSIDE, "164.999", "shorter than 11 new links (165 mm)"),
        (Basis.INSIDE, "165", ""),
        (Basis.INSIDE, "165.825", ""),
        (Basis.INSIDE, "165.826", "over 0.5 % longer than 11 new links"),
        (Basis.OUTSIDE, "174.999", "shorter than 11 new links (175 mm)"),
        (Basis.OUTSIDE, "175.825", ""),
        (Basis.OUTSIDE, "175.826", "over 0.5 % longer"),
    ],
)
def test_a_measured_reference_is_from_n_p_to_half_a_percent_over_it(
    basis: Basis, length: str, question: str
) -> None:
    # 0.5 % of n p = 0.825 mm, whether it is read inside or outside: one growth, one question.
    asked_of = question_reference(D(length), SIZE, 11, basis)
    assert bool(asked_of) is bool(question)
    assert question in " ".join(asked_of)


def test_a_shop_may_ask_sooner() -> None:
    assert question_reference(D("165.5"), SIZE, 11, Basis.INSIDE, most_over=D("0.002"))
    assert not question_reference(D("165.5"), SIZE, 11, Basis.INSIDE)


SIZES = st.sampled_from(
    [ChainSize(dn_mm=number(case, "dn"), pn_mm=number(case, "pn")) for case in cases("chain", "geometry", 10)]
)
GROWN = st.decimals("1", "1.05", places=4)


@given(SIZES, GROWN, st.sampled_from([Basis.INSIDE, Basis.OUTSIDE]))
def test_worn_but_plausible_chain_is_never_questioned(size: ChainSize, share: Decimal, basis: Basis) -> None:
    reference = reference_for(size, 11, basis)
    assert question_reading(share * nominal_length(size, 11, basis), reference, size) == ()


@given(SIZES, GROWN)
def test_inches_for_millimetres_and_back_are_never_swallowed(size: ChainSize, share: Decimal) -> None:
    reference = reference_for(size, 11, Basis.INSIDE)
    true = share * reference.length_mm
    assert "add 'in'" in question_reading(true / D("25.4"), reference, size)[0]
    assert "add 'mm'" in question_reading(true * D("25.4"), reference, size)[0]
    assert "decimal point" in question_reading(true * 10, reference, size)[0]
