"""The door between typing and numbers: what is read is exact, everything else is one clear sentence.

Check values are worked by hand from the definitions, never taken from fieldlog:
1 in = 25.4 mm and 1 lb = 0.45359237 kg exactly (international yard and pound agreement, 1959);
1 ft = 12 in, 1 short ton = 2000 lb = 907.18474 kg, 1 t = 1000 kg (NIST SP 811, appendix B; from memory).
"""

from collections.abc import Callable
from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fieldlog.errors import InputError
from fieldlog.units import (
    Typed,
    parse_length,
    parse_mass,
    unit_named,
)
from tests.typed import ANY_TEXT, BAD_LENGTHS, GOOD_LENGTHS, assert_one_sentence, short, untimed


def test_the_tables_are_as_large_as_they_are_meant_to_be() -> None:
    """A table that lost its rows would pass silently."""
    assert len(GOOD_LENGTHS) >= 40
    assert len(BAD_LENGTHS) >= 80


@pytest.mark.parametrize(("text", "value_mm", "unit"), GOOD_LENGTHS)
def test_a_length_is_read_exactly(text: str, value_mm: str, unit: str) -> None:
    assert parse_length(text) == Typed(text=text.strip(), value=Decimal(value_mm), unit=unit)


@pytest.mark.parametrize(("text", "says"), BAD_LENGTHS, ids=short)
def test_what_is_no_length_gets_one_sentence_that_names_the_fault(text: str, says: str) -> None:
    with pytest.raises(InputError) as caught:
        parse_length(text, what="chain length")
    assert says in str(caught.value)
    assert_one_sentence(str(caught.value), "chain length")


def test_a_bare_number_takes_the_unit_of_its_field() -> None:
    assert parse_length("9.21", unit="in") == Typed(text="9.21", value=Decimal("233.934"), unit="in")
    assert parse_length("6 1/2", unit="in").value == Decimal("165.1")
    assert parse_length("6 1/2", unit="inches").unit == "in"
    assert parse_length("3", unit="m").value == 3000
    assert parse_length("234.1 mm", unit="in") == Typed(text="234.1 mm", value=Decimal("234.1"), unit="mm")
    with pytest.raises(InputError, match="write a decimal number of mm"):
        parse_length("6 1/2 mm", unit="in")


@pytest.mark.parametrize(
    ("below", "above", "parse"),
    [
        ("4" + " " * 37 + "mm", "4" + " " * 38 + "mm", parse_length),
        ("1.12345678", "1.123456789", parse_length),
        ("1000000", "1000000.00000001", parse_length),
        ("1000000 kg", "1000000.1 kg", parse_mass),
        ("1000 t", "1000.00001 t", parse_mass),
    ],
)
def test_each_limit_holds_at_it_and_just_above_it(
    below: str, above: str, parse: Callable[[str], Typed]
) -> None:
    """40 characters, 8 decimals, 1,000,000 mm or kg."""
    assert isinstance(parse(below), Typed)
    with pytest.raises(InputError):
        parse(above)


@pytest.mark.parametrize(
    ("text", "value_kg", "unit"),
    [
        ("500", "500", "kg"),
        ("500 kg", "500", "kg"),
        ("0,5 KG", "0.5", "kg"),
        ("250 g", "0.25", "g"),
        ("2 t", "2000", "t"),
        ("1,5 t", "1500", "t"),
        ("2 tonnes", "2000", "t"),
        ("1 metric ton", "1000", "t"),
        ("1 lb", "0.45359237", "lb"),
        ("1000 lbs", "453.59237", "lb"),
        ("2.2 LB", "0.997903214", "lb"),
        ("1 short ton", "907.18474", "short ton"),
        ("2  Short  Tons", "1814.36948", "short ton"),
    ],
)
def test_a_mass_is_read_exactly(text: str, value_kg: str, unit: str) -> None:
    assert parse_mass(text) == Typed(text=text, value=Decimal(value_kg), unit=unit)


BAD_MASSES = [
    (text, says)
    for says, texts in [
        ("is empty", [""]),
        ("write short ton or t", ["2 ton", "2 tons", "2 TON", "2 T"]),
        ("not in a unit of mass", ["2 long tons", "2 mm", "2 kN", "2 \u212ag"]),
        ("write a decimal number of t", ["1/2 t"]),
        ("write a decimal number of kg", ["1/2"]),
        ("write 1.000 or 1000", ["1,000 kg"]),
        ("negative", ["-1 kg"]),
        ("exponent", ["1e3 kg"]),
    ]
    for text in texts
]


@pytest.mark.parametrize(("text", "says"), BAD_MASSES)
def test_what_is_no_mass_gets_one_sentence_that_names_the_fault(text: str, says: str) -> None:
    with pytest.raises(InputError) as caught:
        parse_mass(text, what="capacity")
    assert says in str(caught.value)
    assert_one_sentence(str(caught.value), "capacity")


# By definition, see the head of this file.
DEFINITIONS = {
    "mm": Fraction(1),
    "cm": Fraction(10),
    "m": Fraction(1000),
    "in": Fraction(254, 10),
    "ft": Fraction(3048, 10),
    "kg": Fraction(1),
    "g": Fraction(1, 1000),
    "t": Fraction(1000),
    "lb": Fraction(45_359_237, 100_000_000),
    "short ton": Fraction(90_718_474, 100_000),
}


@untimed
@given(whole=st.integers(0, 900), decimals=st.from_regex("[0-9]{0,8}", fullmatch=True), data=st.data())
def test_every_decimal_in_every_unit_is_exact(whole: int, decimals: str, data: st.DataObject) -> None:
    """Against exact fractions and the definitions: no digit is lost and none is added."""
    unit = data.draw(st.sampled_from(sorted(DEFINITIONS)))
    number = f"{whole}.{decimals}" if decimals else str(whole)
    parse = parse_length if unit in ("mm", "cm", "m", "in", "ft") else parse_mass
    assert Fraction(parse(f"{number} {unit}").value) == Fraction(number) * DEFINITIONS[unit]


@untimed
@given(whole=st.integers(0, 3000), top=st.integers(1, 63), power=st.integers(1, 6))
def test_every_mark_of_an_inch_rule_is_exact(whole: int, top: int, power: int) -> None:
    """Halves to 64ths, against exact fractions of 25.4 mm."""
    bottom = 2**power
    top = top % bottom or 1
    text = f"{whole} {top}/{bottom} in" if whole else f'{top}/{bottom}"'
    assert Fraction(parse_length(text).value) == (whole + Fraction(top, bottom)) * Fraction(254, 10)


@untimed
@given(whole=st.integers(0, 999_999), decimals=st.from_regex("[0-9]{1,8}", fullmatch=True))
def test_comma_and_point_agree_or_the_comma_is_questioned(whole: int, decimals: str) -> None:
    pointed = parse_length(f"{whole}.{decimals}").value
    if len(decimals) == 3 and whole:
        with pytest.raises(InputError, match=rf"write {whole}\.{decimals} or {whole}{decimals}$"):
            parse_length(f"{whole},{decimals}")
    else:
        assert parse_length(f"{whole},{decimals}").value == pointed


@settings(max_examples=400, deadline=None)
@given(text=ANY_TEXT, unit=st.sampled_from(["mm", "in"]))
def test_any_text_gives_a_quantity_or_one_sentence_and_nothing_else(text: str, unit: str) -> None:
    for parse, field_unit in ((parse_length, unit), (parse_mass, "kg")):
        try:
            typed = parse(text, field_unit, "field")
        except InputError as error:
            assert_one_sentence(str(error), "field")
        else:
            assert 0 <= typed.value <= 1_000_000
            assert set(str(typed.value)) <= set("0123456789."), "no exponent, sign or nan in a record"
            assert typed.text == text.strip()


def test_a_unit_goes_by_its_usual_name() -> None:
    assert [unit_named(text, "length") for text in ("inches", ' " ', "MM")] == ["in", "in", "mm"]
    assert [unit_named(text, "mass") for text in ("lbs", "kilograms")] == ["lb", "kg"]
    with pytest.raises(InputError, match="is not in a unit of mass"):
        unit_named("in", "mass")
