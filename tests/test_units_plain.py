"""What is typed without a unit: numbers and dates, read exactly or refused in one sentence."""

from datetime import date
from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fieldlog.errors import InputError
from fieldlog.units import (
    parse_date,
    parse_decimal,
    parse_whole,
)
from tests.typed import ANY_TEXT, assert_one_sentence, short


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
