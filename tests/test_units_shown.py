"""Numbers as they are shown: short, exact, and the same when they are typed again.

Check values are worked by hand from the definitions, never taken from fieldlog:
1 in = 25.4 mm and 1 lb = 0.45359237 kg exactly (international yard and pound agreement, 1959);
1 ft = 12 in, 1 short ton = 2000 lb = 907.18474 kg, 1 t = 1000 kg (NIST SP 811, appendix B; from memory).
"""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fieldlog.errors import InputError
from fieldlog.units import (
    format_exact,
    format_length,
    format_mass,
    format_mm,
    parse_length,
    parse_mass,
    quoted,
)
from tests.typed import untimed


@untimed
@given(thousandths=st.integers(0, 1_000_000_000), unit=st.sampled_from(["mm", "cm", "m"]))
def test_a_length_shown_and_typed_again_is_the_same(thousandths: int, unit: str) -> None:
    value = Decimal(thousandths).scaleb(-3)
    assert parse_length(format_length(value, unit)).value == value
    assert parse_length(format_mm(value)).value == value


@untimed
@given(steps=st.integers(0, 100_000_000), unit=st.sampled_from(["kg", "g", "lb"]))
def test_a_mass_shown_and_typed_again_is_the_same(steps: int, unit: str) -> None:
    value = parse_mass(f"{Decimal(steps).scaleb(-3)} {unit}").value
    assert parse_mass(format_mass(value, unit)).value == value


@untimed
@given(steps=st.integers(0, 300_000_000))
def test_inches_to_four_decimals_shown_and_typed_again_are_the_same(steps: int) -> None:
    value = parse_length(f"{Decimal(steps).scaleb(-4)} in").value
    assert parse_length(format_length(value, "in")).value == value


@pytest.mark.parametrize(
    ("value", "shown"),
    [
        ("234.100", "234.1"),
        ("1E+6", "1000000"),
        ("1E-7", "0"),
        ("-0.0004", "0"),
        ("-2.475", "-2.475"),
        ("2.4745", "2.474"),
        ("2.4755", "2.476"),
        ("0.0005", "0"),
        ("0.00051", "0.001"),
        ("0", "0"),
    ],
)
def test_millimetres_are_shown_short_half_to_even_and_without_exponent(value: str, shown: str) -> None:
    assert format_mm(Decimal(value)) == shown


def test_quantities_are_shown_with_their_unit() -> None:
    """Inches and pounds by division of the definitions, by hand."""
    assert format_length(Decimal("234.1")) == "234.1 mm"
    assert format_length(Decimal("165.1"), "in") == "6.5 in"
    assert format_length(Decimal("234.15625"), "in") == "9.2188 in"
    assert format_length(Decimal(3048), "ft") == "10 ft"
    assert format_length(Decimal("304.803048"), "ft") == "1.00001 ft"
    assert format_length(Decimal(12_000), "m") == "12 m"
    assert format_mass(Decimal(500)) == "500 kg"
    assert format_mass(Decimal(2000)) == "2000 kg"
    assert format_mass(Decimal(2000), "t") == "2 t"
    assert format_mass(Decimal("453.59237"), "lb") == "1000 lb"
    assert format_mass(Decimal("907.18474"), "short ton") == "1 short ton"
    with pytest.raises(InputError, match="unit 'cubit' is not in a unit of length"):
        format_length(Decimal(1), "cubit")


def test_what_was_typed_is_quoted_short_and_printable() -> None:
    assert quoted("234.1 mm") == "'234.1 mm'"
    assert quoted("x" * 30) == f"'{'x' * 30}'"
    assert quoted("x" * 31) == f"'{'x' * 27}...'"
    assert quoted("x" * 10_000) == f"'{'x' * 27}...'"
    assert quoted("a\x1b[31m\x07\u202eb") == "'a[31mb'"


@pytest.mark.parametrize(
    ("value", "shown"),
    [
        ("234.15625", "234.15625"),
        ("0.00000001", "0.00000001"),
        ("0.10", "0.1"),
        ("1000000", "1000000"),
        ("0.333333333", "0.333"),
        ("-0.0000", "0"),
    ],
)
def test_an_exact_number_is_whole_up_to_eight_decimals_and_never_an_exponent(value: str, shown: str) -> None:
    assert format_exact(Decimal(value)) == shown


@pytest.mark.parametrize(
    ("decimals", "inches", "pounds"),
    [(None, "6.5935 in", "1102.311 lb"), (4, "6.5935 in", "1102.3113 lb"), (1, "6.6 in", "1102.3 lb")],
)
def test_so_many_decimals_are_shown_as_asked_for(decimals: int | None, inches: str, pounds: str) -> None:
    """167.475 / 25.4 = 6.593503...; 500 / 0.45359237 = 1102.311310... (factors: NIST SP 811, appendix B)."""
    assert format_length(Decimal("167.475"), "in", decimals) == inches
    assert format_mass(Decimal(500), "lb", decimals) == pounds
