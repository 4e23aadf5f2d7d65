"""Proves that exported rows are the facts that the records hold, and that the JSON follows its schema.

Checked with the jsonschema library (draft 2020-12).
"""

import json
from datetime import date
from pathlib import Path

import jsonschema
import pytest
from icalendar import Calendar

from fieldlog.domain.records import InspectionKind
from fieldlog.exchange.calendar import write_calendar
from fieldlog.exchange.json_out import write_json
from fieldlog.exchange.schemas import schema_text
from fieldlog.operations.drafting import DefectDraft
from fieldlog.operations.due import due_list
from fieldlog.operations.exporting import COLUMNS, due_dates, rows_of, store_mark
from fieldlog.operations.noticing import note_notice
from fieldlog.operations.shop import Shop
from tests.operations.builder import ADA, NOW, TODAY, inspect, ready_shop, register

SCHEMA = json.loads(schema_text())
# the last days of months and a leap day: what is due after them has to be clamped or not
DAYS = (date(2024, 2, 29), date(2025, 8, 31), date(2026, 1, 31), date(2026, 10, 31))


@pytest.fixture
def shop(tmp_path: Path) -> Shop:
    shop = ready_shop(tmp_path)
    for number, day in enumerate(DAYS):
        hoist = register(shop, day=day, serial=f"S{number}", site="workshop" if number else "intake hall")
        inspect(shop, hoist.id, day=day)
    last = shop.logbooks.hoist_names()[-1]
    inspect(shop, last, InspectionKind.PERIODIC, defects={"brake": DefectDraft(what="slips", told="Mor")})
    note_notice(shop, last, {"whom": "Quill", "how": "by letter"}, by=ADA, now=NOW, today=TODAY)
    register(shop, serial="new")
    return shop


def document(shop: Shop, kind: str) -> dict[str, object]:
    found = json.loads(write_json(kind, rows_of(shop, kind, TODAY), shop="S", day=TODAY, now=NOW))
    assert isinstance(found, dict)
    return found


@pytest.mark.parametrize("kind", COLUMNS)
def test_the_json_follows_its_schema(shop: Shop, kind: str):
    told = document(shop, kind)
    jsonschema.Draft202012Validator.check_schema(SCHEMA)
    jsonschema.Draft202012Validator(SCHEMA).validate(told)
    assert told["rows"]


@pytest.mark.parametrize("kind", COLUMNS)
def test_the_schema_refuses_a_row_that_lacks_or_adds_something(shop: Shop, kind: str):
    told = document(shop, kind)
    rows = told["rows"]
    assert isinstance(rows, list)
    validator = jsonschema.Draft202012Validator(SCHEMA)
    assert tuple(SCHEMA["$defs"][kind]["properties"]) == COLUMNS[kind]
    for spoiled in ({**rows[0], "colour": "red"}, {key: rows[0][key] for key in list(rows[0])[1:]}):
        assert list(validator.iter_errors({**told, "rows": [spoiled]}))


def test_calendar_days_are_those_of_the_due_list(shop: Shop):
    data = write_calendar(due_dates(shop, TODAY), shop="S", mark=store_mark(shop), now=NOW)
    told = sorted(
        (str(event["SUMMARY"]), event["DTSTART"].dt) for event in Calendar.from_ical(data).walk("VEVENT")
    )
    wanted = sorted(
        (f"{row.id} {due.inspection} inspection due", due.due_on)
        for row in due_list(shop, TODAY)
        for due in row.dues
    )
    assert told == wanted
    # by hand: a month after 31 January 2026, a year after 29 February 2024 and 31 August 2025
    days = {day for _, day in told}
    assert {date(2026, 2, 28), date(2025, 2, 28), date(2026, 8, 31)} <= days


def test_defects_tell_who_was_told(shop: Shop):
    (row,) = rows_of(shop, "defects", TODAY).rows
    assert row["told"] == "Mor; 2026-11-25 Quill, by letter"


def test_readings_stand_with_their_verdicts(shop: Shop):
    rows = rows_of(shop, "readings", TODAY, tag=shop.logbooks.hoist_names()[0]).rows
    assert [(str(row["value_mm"]), row["verdict"]) for row in rows] == [
        ("165.4", "keep"),
        ("166.1", "keep"),
        ("165.9", "keep"),
    ]
    # 0.4 of 2.475 mm: 1.5 % of 11 x 15 (DOE-STD-1090-96 ch. 8)
    assert (str(rows[0]["growth_mm"]), str(rows[0]["allowed_mm"])) == ("0.4", "2.475")


def test_one_site_or_one_hoist_may_be_asked_for(shop: Shop):
    assert len(rows_of(shop, "hoists", TODAY, site="workshop").rows) == 3
    assert {row["id"] for row in rows_of(shop, "due", TODAY, tag="SW-0001-0").rows} <= {"SW-0001-0"}


def test_a_damaged_logbook_is_named_and_does_not_hide_the_others(shop: Shop):
    name = shop.logbooks.hoist_names()[0]
    path = shop.root / "logbooks" / f"{name}.jsonl"
    path.write_bytes(b"garbage\n")
    found = rows_of(shop, "logbook", TODAY)
    assert found.skipped == (name,)
    assert found.rows
