"""Proves how one cell becomes what the registration form takes: units, dates, words, clear refusals."""

import pytest

from fieldlog.errors import InputError
from fieldlog.exchange.cells import Manner, take_cell

PLAIN = Manner()
GERMAN = Manner(dates="dmy", comma_decimals=True)


@pytest.mark.parametrize(
    ("field", "text", "unit", "taken"),
    [
        ("capacity", "1 t", "", "1 t"),
        ("capacity", "1000kg", "", "1000 kg"),
        ("capacity", "2,2 lb", "kg", "2,2 lb"),
        ("capacity", "0,5", "t", "0,5 t"),
        ("capacity", "1 to", "", "1 t"),
        ("capacity", "25", "", "25"),
        ("lift", "200", "", "200"),
        ("lift", "6", "m", "6 m"),
        ("last_reading", "9 7/32 in", "", "9 7/32 in"),
        ("chain", "7 x 21 mm", "", "7x21"),
        ("chain", "Ø 11,3×31", "", "11,3x31"),
        ("falls", "2/1", "", "2"),
        ("falls", "2 falls", "", "2"),
        ("falls", "1-strängig", "", "1"),
        ("year", "2019.0", "", "2019"),
        ("drive", "Elektro", "", "electric"),
        ("drive", "Handkette", "", "hand"),
        ("limit_switches", "x", "", "yes"),
        ("container", "-", "", "no"),
        ("last_kind", "UVV", "", "periodic"),
        ("last_day", "2026-03-31", "", "2026-03-31"),
        ("last_day", "2026-03-31 00:00:00", "", "2026-03-31"),
        ("year", "n/a", "", ""),
        ("place", " - ", "", "-"),
        ("hook_throat", "\u00a0", "", ""),
    ],
)
def test_what_people_write_is_taken(field: str, text: str, unit: str, taken: str):
    assert take_cell(field, text, unit, PLAIN) == taken


@pytest.mark.parametrize(
    ("order", "text", "day"),
    [
        ("dmy", "3.4.2025", "2025-04-03"),
        ("mdy", "3/4/2025", "2025-03-04"),
        ("dmy", "29.02.24", "2024-02-29"),
        ("dmy", "2025-04-03", "2025-04-03"),
    ],
)
def test_other_orders_of_a_day_are_read_where_they_are_stated(order: str, text: str, day: str):
    assert take_cell("last_day", text, "", Manner(dates=order)) == day


@pytest.mark.parametrize(
    ("field", "text", "manner", "word"),
    [
        ("last_day", "3.4.2025", PLAIN, "--dates"),
        ("last_day", "29.02.2025", GERMAN, "not a day"),
        ("last_day", "45000", PLAIN, "count of days"),
        ("capacity", "1.000", GERMAN, "thousands"),
        ("capacity", "1,000", PLAIN, "thousands"),
        ("capacity", "1.000.000", PLAIN, "thousands"),
        ("capacity", "24.9", PLAIN, "unit"),
        ("lift", "201", PLAIN, "unit"),
        ("drive", "steam", PLAIN, "electric, air, hand"),
        ("trolley", "maybe", PLAIN, "yes"),
    ],
)
def test_what_has_more_than_one_meaning_is_refused_with_what_to_write(
    field: str, text: str, manner: Manner, word: str
):
    with pytest.raises(InputError, match=word):
        take_cell(field, text, "", manner)


def test_a_file_with_decimal_points_may_write_three_decimals():
    assert take_cell("lift", "1.500", "m", PLAIN) == "1.500 m"


def test_the_shop_may_add_its_own_words():
    manner = Manner(words={"drive": {"steam": "air"}})
    assert take_cell("drive", "Steam", "", manner) == "air"
