"""Proves the calendar by reading it back with the icalendar library: days, identities, updates, ends.

Rules: RFC 5545 (whole days, DTEND not included, 3.6.1) and RFC 5546 (SEQUENCE rises with each change, 2.1.4).
"""

from datetime import UTC, date, datetime, timedelta
from typing import Any

import pytest
from icalendar import Calendar
from msgspec.structs import replace

from fieldlog.domain.export_rows import CalendarDue
from fieldlog.errors import InputError
from fieldlog.exchange.calendar import write_calendar

NOW = datetime(2026, 11, 25, 12, tzinfo=UTC)
MARK = "0123456789abcdef"
DUE = CalendarDue(
    id="SW-0007-X",
    name="Fenwright LC 500; serial 1, chain 5 x 15",
    inspection="periodic",
    due_on=date(2027, 2, 28),
    in_time_until=date(2027, 4, 30),
    site="intake hall",
    place="bay 2",
    why="every 12 months (a source)",
    revision=5,
)


def write(*dues: CalendarDue, before: bytes = b"", now: datetime = NOW) -> bytes:
    return write_calendar(dues, shop="Saltmarsh", mark=MARK, now=now, before=before)


def events(data: bytes) -> dict[str, Any]:
    return {str(event["UID"]): event for event in Calendar.from_ical(data).walk("VEVENT")}


@pytest.mark.parametrize(
    "day", [date(2028, 2, 29), date(2027, 2, 28), date(2026, 12, 31), date(2027, 1, 1), date(2027, 4, 30)]
)
def test_month_ends_and_leap_days_come_back_as_whole_days_without_a_rule(day: date):
    (event,) = events(write(replace(DUE, due_on=day))).values()
    assert event["DTSTART"].dt == day
    assert event["DTEND"].dt == day + timedelta(days=1)
    assert "RRULE" not in event
    assert "VALUE=DATE" in write(replace(DUE, due_on=day)).decode()


def test_lines_end_with_cr_lf_and_are_folded_at_75_octets():
    data = write(replace(DUE, why="ä" * 200))
    assert data.count(b"\n") == data.count(b"\r\n")
    assert max(map(len, data.split(b"\r\n"))) <= 75


def test_texts_come_back_as_they_were():
    (event,) = events(write(replace(DUE, site='a;b,c\\d "e"', place=""))).values()
    assert event["LOCATION"] == 'a;b,c\\d "e"'
    assert DUE.name in event["DESCRIPTION"]


def test_the_same_again_keeps_identity_and_sequence():
    first = write(DUE)
    again = write(replace(DUE, revision=9), before=first, now=NOW + timedelta(days=1))
    assert {uid: event["SEQUENCE"] for uid, event in events(again).items()} == {
        "SW-0007-X.periodic@0123456789abcdef.fieldlog": 5
    }


def test_a_day_that_moved_keeps_its_identity_and_gets_a_higher_sequence():
    first = write(DUE)
    moved = replace(DUE, due_on=date(2028, 2, 29), revision=7)
    (event,) = events(write(moved, before=first)).values()
    assert (event["DTSTART"].dt, event["SEQUENCE"]) == (date(2028, 2, 29), 7)
    # also where other rules moved it and no record was added
    (event,) = events(write(replace(moved, revision=5), before=first)).values()
    assert event["SEQUENCE"] == 6


def test_what_is_due_no_more_is_cancelled_and_forgotten_after_a_year():
    gone = write(before=write(DUE))
    (event,) = events(gone).values()
    assert (str(event["STATUS"]), event["SEQUENCE"]) == ("CANCELLED", 6)
    still = write(before=gone, now=NOW + timedelta(days=365))
    assert len(events(still)) == 1
    assert events(write(before=gone, now=NOW + timedelta(days=366))) == {}


def test_what_is_due_again_after_it_was_cancelled_is_confirmed_with_a_higher_sequence():
    (event,) = events(write(DUE, before=write(before=write(DUE)))).values()
    assert (str(event["STATUS"]), event["SEQUENCE"]) == ("CONFIRMED", 7)


@pytest.mark.parametrize(
    "before",
    [
        b"hello",
        b"BEGIN:VCALENDAR\r\nPRODID:-//other//EN\r\nVERSION:2.0\r\nEND:VCALENDAR\r\n",
        b"BEGIN:VCALENDAR\r\nBEGIN:VEVENT\r\n",
        b"\xff\xfe\x00",
    ],
)
def test_a_file_that_is_not_ours_is_never_written_over(before: bytes):
    with pytest.raises(InputError, match="name a new file"):
        write(DUE, before=before)


def test_the_calendar_of_another_store_is_not_written_over():
    other = write_calendar([DUE], shop="Dunmere", mark="fedcba9876543210", now=NOW)
    with pytest.raises(InputError, match="not one of this store"):
        write(DUE, before=other)
