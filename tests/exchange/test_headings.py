"""Proves that usual headings are recognised, in any case and with their units."""

import pytest

from fieldlog.exchange.cells import CHOICE, DATES, TEXTS, WHOLE, YES_NO
from fieldlog.exchange.headings import field_names, letter, recognise
from fieldlog.operations.exporting_hoists import HOIST_COLUMNS


@pytest.mark.parametrize(
    ("heading", "field", "unit"),
    [
        ("Serial No.", "serial", ""),
        ("FABRIK-NR", "serial", ""),
        ("Tragfähigkeit [t]", "capacity", "t"),
        ("Tragfa\u0308higkeit in kg", "capacity", "kg"),
        ("WLL (lbs)", "capacity", "lb"),
        ("capacity_kg", "capacity", "kg"),
        ("Hubhöhe (m)", "lift", "m"),
        ("last_reading_mm", "last_reading", "mm"),
        ("Standort", "site", ""),
        ("Letzte Prüfung", "last_day", ""),
        ("Telefon", "", ""),
        ("", "", ""),
    ],
)
def test_usual_names_are_known(heading: str, field: str, unit: str):
    found = recognise(0, heading)
    assert (found.field, found.unit) == (field, unit)


def test_every_column_that_is_exported_is_recognised_and_each_as_another_field():
    fields = [recognise(0, name).field for name in HOIST_COLUMNS]
    assert "" not in fields
    assert len(set(fields)) == len(fields)


def test_every_field_is_read_in_one_way():
    quantities = {"capacity", "lift", "hook_throat", "book_length", "book_discard", "last_reading"}
    sizes = {"chain", "chain_dn", "chain_pn"}
    ways = [set(TEXTS), set(YES_NO), set(CHOICE), set(DATES), set(WHOLE), quantities, sizes]
    assert set().union(*ways) == field_names()
    assert sum(map(len, ways)) == len(field_names())


@pytest.mark.parametrize(("index", "name"), [(0, "A"), (25, "Z"), (26, "AA"), (701, "ZZ"), (702, "AAA")])
def test_columns_have_the_letters_of_spreadsheets(index: int, name: str):
    assert letter(index) == name
