"""The door between typing and numbers: what is read is exact, everything else is one clear sentence.

Check values are worked by hand from the definitions, never taken from fieldlog:
1 in = 25.4 mm and 1 lb = 0.45359237 kg exactly (international yard and pound agreement, 1959);
1 ft = 12 in, 1 short ton = 2000 lb = 907.18474 kg, 1 t = 1000 kg (NIST SP 811, appendix B; from memory).
"""

import subprocess
import sys
from collections.abc import Callable, Iterator
from datetime import date
from decimal import Decimal
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fieldlog import units
from fieldlog.errors import InputError
from fieldlog.units import (
    Typed,
    format_length,
    format_mass,
    format_mm,
    parse_date,
    parse_decimal,
    parse_length,
    parse_mass,
    parse_whole,
    quoted,
)

ROOT = Path(__file__).parents[1]

# No example is timed: the first one that needs pint waits for it to load.
untimed = settings(deadline=None)

# Text in a mm field, millimetres, unit it was read in. Inches: multiplied by 25.4 by hand.
GOOD_LENGTHS = [
    (text, value_mm, unit)
    for value_mm, unit, texts in [
        ("234.1", "mm", ["234.1", "234,1", "234,1 mm", "234.1mm", "  234.1 mm  ", "234.1 MM", "234.10"]),
        ("165.4", "mm", ["165,4"]),
        ("165", "mm", ["165"]),
        ("0", "mm", ["0"]),
        ("7", "mm", ["007"]),
        ("0.5", "mm", [".5"]),
        ("0.234", "mm", ["0,234"]),
        ("1.234", "mm", ["1.234"]),
        ("1.2345", "mm", ["1,2345"]),
        ("0.12345678", "mm", ["0.12345678"]),
        ("1000000", "mm", ["1000000"]),
        ("5", "mm", ["5 millimetres"]),
        ("234.1", "cm", ["23.41 cm"]),
        ("25", "cm", ["2.5 Cm"]),
        ("165.4", "m", ["0.1654 m"]),
        ("1000000", "m", ["1000 m"]),
        ("2000", "m", ["2 meters"]),
        ("25.4", "in", ["1 in", "1 Inch", "1 IN."]),
        ("233.934", "in", ["9.21 in", '9.21"']),
        ("234.1626", "in", ["9.219 in"]),
        ("304.8", "in", ["12 inches"]),
        ("234.15625", "in", ["9 7/32 in", "9  7/32 in", "9 7/32in"]),
        ("165.1", "in", ['6-1/2"', "6 1/2 in", "6 1/2 ″"]),
        ("5.55625", "in", ["7/32 in"]),
        ("0.396875", "in", ['1/64"']),
        ("0.1984375", "in", ["1/128 in"]),
        ("2.54", "in", ["1/10 in"]),
        ("914.4", "ft", ["3 ft"]),
        ("3048", "ft", ["10'", "10 feet"]),
        ("152.4", "ft", ["1/2 ft"]),
        ("101.6", "ft", ["1/3 ft"]),
        ("1676.4", "ft", ["5 1/2 ft"]),
    ]
    for text in texts
]

# Text in a mm field and what its refusal has to say.
BAD_LENGTHS = [
    (text, says)
    for says, texts in [
        ("is empty", ["", "   ", "\t\n"]),
        ("is not a number", ["abc", "about nine inches", "mm", "nan", "nan mm", "inf", "Infinity mm", "."]),
        ("is not a number", ["/"]),
        ("exponent", ["1e400", "1e400 mm", "2E3", "5e-3 mm"]),
        ("calculation", ["12 mm + 1 in", "12+1", "9**9**9", "2^64", "(5)"]),
        ("not in a unit of length", ["5 m/s", "5 kg", "5 furlongs", "5 µm", "5 \u212am"]),
        ("negative", ["-5", "-5 mm", "- 5", "−5", "-1/2 in"]),
        ("plus sign", ["+5"]),
        ("longer than 40 characters", ["9" * 41, "9" * 10_000, "5 " + "m" * 10_000]),
        ("digits other than 0 to 9", ["２３４", "234,１", "٢٣٤", "9½ in", "5²"]),
        ("zero below the line", ["1/0 in", "0/0 in"]),
        ("write 6 1/2 in", ["6 1/2", "6-1/2"]),
        ("write 7/32 in", ["7/32"]),
        ("write a decimal number of mm", ["6 1/2 mm"]),
        ("inches and feet only", ["6 1/2 m"]),
        ("more than one fraction", ["6 1/2 1/2", "6 1/2 1/2 in", "1/2/3 in"]),
        ("not between 0 and 1", ["97/32 in", "9 35/32 in", "9 0/32 in", "9 32/32 in"]),
        ("no exact value", ["1/3 in"]),
        ("mixes a decimal and a fraction", ["6.5 1/2 in", "1/2.5 in"]),
        ("half a fraction", ["6 1/ in"]),
        ("two separators", ["1.234,5", "1,234.5", "1.234.567", "1,234,567", "1..5"]),
        ("write 1.234 or 1234", ["1,234", "1,234 in"]),
        ("write 234.156 or 234156", ["234,156 mm"]),
        ("write 0.234 or 234", [",234"]),
        ("no digit after the separator", ["234.", "234, mm"]),
        ("more than one number", ["1 234,5", "12 13", "5x15", "1' 6\"", "0x10", "1_000", "12-13"]),
        ("more than 8 decimals", ["0.123456789"]),
        ("write at most 1000000 mm", ["1000000.00000001", "1001 m", "39371 in"]),
        ("far too large", ["9" * 40]),
        ("can not be seen", ["5\x00mm", "5\nmm", "5\u202emm", "5\ud800mm"]),
    ]
    for text in texts
]


def short(value: str) -> str:
    """The name of a case in a test report, where 10,000 characters would help nobody."""
    return ascii(value)[1:31]


def assert_one_sentence(message: str, what: str) -> None:
    assert message.startswith(f"{what} ")
    assert message.isprintable(), "an error is one line without control characters"
    assert len(message) < 200


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


ANY_TEXT = st.text(max_size=60) | st.text(alphabet="0123456789.,/ -+*\"'inmcftkglbseE", max_size=45)


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


@settings(max_examples=300, deadline=None)
@given(text=ANY_TEXT | st.from_regex(r"[0-9]{1,4}[-/.][0-9]{1,2}[-/.][0-9]{1,4}", fullmatch=True))
def test_any_text_gives_a_plain_value_or_one_sentence(text: str) -> None:
    def whole(text: str, what: str) -> int:
        return parse_whole(text, what, 1, 99)

    for parse in (parse_decimal, whole, parse_date):
        try:
            parse(text, "field")
        except InputError as error:
            assert_one_sentence(str(error), "field")


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


def test_a_plain_number_has_neither_unit_nor_fraction() -> None:
    assert parse_decimal(" 12,5 ", "twist") == Decimal("12.5")
    assert str(parse_decimal("1000000000", "hours")) == "1000000000"
    for text, says in [
        ("12 mm", "write the number alone"),
        ("1/2", "is a fraction"),
        ("-1", "negative"),
        ("1,234", "write 1.234 or 1234"),
        ("1000000000.1", "far too large"),
        ("", "is empty"),
    ]:
        with pytest.raises(InputError, match="twist") as caught:
            parse_decimal(text, "twist")
        assert says in str(caught.value)


@pytest.mark.parametrize(("text", "number"), [("1", 1), ("99", 99), (" 07 ", 7)])
def test_a_whole_number_is_taken_up_to_its_limits(text: str, number: int) -> None:
    assert parse_whole(text, "links", 1, 99) == number


@pytest.mark.parametrize(
    "text",
    ["", "0", "100", "-1", "+5", "5.0", "5,0", "1e1", "eleven", "1 1", "٣", "１", "9" * 10_000],
    ids=short,
)
def test_what_is_no_whole_number_within_limits_is_told_what_to_write(text: str) -> None:
    with pytest.raises(InputError, match="write a whole number from 1 to 99") as caught:
        parse_whole(text, "links", 1, 99)
    assert_one_sentence(str(caught.value), "links")


def test_a_date_is_read_as_iso_8601_writes_it() -> None:
    """ISO 8601: calendar date in the extended format, YYYY-MM-DD."""
    assert parse_date(" 2025-04-03 ", "done on") == date(2025, 4, 3)
    assert parse_date("2024-02-29", "done on") == date(2024, 2, 29)


BAD_DATES = [
    (text, says)
    for says, texts in [
        ("is empty", ["", "  "]),
        ("could be more than one day", ["03/04/25", "03/04/2025", "3.4.25", "25-04-03"]),
        ("write year-month-day", ["2025/04/03", "2025-4-3", "20250403", "2025-W14-4", "2025-04-03T10:00"]),
        ("write year-month-day", ["today", "２０２５-04-03", "9" * 10_000]),
        ("not a day of the calendar", ["2025-02-29", "2025-13-01", "2025-04-31", "0000-01-01"]),
    ]
    for text in texts
]


@pytest.mark.parametrize(("text", "says"), BAD_DATES, ids=short)
def test_any_other_date_is_refused(text: str, says: str) -> None:
    with pytest.raises(InputError) as caught:
        parse_date(text, "done on")
    assert says in str(caught.value)
    assert_one_sentence(str(caught.value), "done on")


def test_what_was_typed_is_quoted_short_and_printable() -> None:
    assert quoted("234.1 mm") == "'234.1 mm'"
    assert quoted("x" * 30) == f"'{'x' * 30}'"
    assert quoted("x" * 31) == f"'{'x' * 27}...'"
    assert quoted("x" * 10_000) == f"'{'x' * 27}...'"
    assert quoted("a\x1b[31m\x07\u202eb") == "'a[31mb'"


@pytest.fixture
def fresh_factors() -> Iterator[None]:
    units._factor.cache_clear()
    yield
    units._factor.cache_clear()


def test_pint_sees_numbers_and_names_of_the_table_and_never_what_was_typed(
    monkeypatch: pytest.MonkeyPatch, fresh_factors: None
) -> None:
    """pint's own parser reads `6 1/2 in` as 3 inch and hangs on `9**9**9`: nothing raw may reach it."""
    seen: list[tuple[Any, ...]] = []

    class Recorder:
        def convert(self, *arguments: Any) -> Decimal:
            seen.append(arguments)
            return Decimal(1)

    monkeypatch.setattr(units, "_registry", Recorder)
    for text, *_ in GOOD_LENGTHS + BAD_LENGTHS:
        try:
            parse_length(text)
        except InputError:
            continue
    names = {"centimeter", "meter", "inch", "foot"}
    assert {name for _, name, _ in seen} == names
    assert all(number == Decimal(1) and target == "millimeter" for number, _, target in seen)


@pytest.mark.parametrize(("text", "loads"), [("234,1 mm", False), ("234.1", False), ("9 7/32 in", True)])
def test_pint_is_loaded_only_for_a_unit_other_than_the_fields_own(text: str, loads: bool) -> None:
    """The third case shows that the check would notice."""
    program = (
        "import sys; from fieldlog.units import parse_length, format_length;"
        f"format_length(parse_length({text!r}).value); print('pint' in sys.modules)"
    )
    done = subprocess.run(
        [sys.executable, "-c", program], cwd=ROOT, capture_output=True, text=True, check=True
    )
    assert done.stdout.strip() == str(loads)
