"""Due dates as an iCalendar file (RFC 5545, RFC 5546): whole days, one event a due date, no recurrence rules.

A rule such as FREQ=MONTHLY;INTERVAL=6 from the 31st skips the months without a 31st, so every day is written
out. Each kind of inspection of a hoist keeps one UID: when it is done, the next export moves the event there.
"""

from collections.abc import Iterable, Mapping
from datetime import date, datetime, timedelta
from typing import Any

from icalendar import Calendar, Event

from fieldlog.domain.export_rows import CalendarDue
from fieldlog.errors import InputError

PRODUCT = "-//fieldlog//due dates//EN"
CANCELLED_KEPT = timedelta(days=365)
_TOLD = ("DTSTART", "SUMMARY", "DESCRIPTION", "LOCATION", "STATUS")


def write_calendar(
    dates: Iterable[CalendarDue],
    *,
    shop: str,
    mark: str,
    now: datetime,
    before: bytes = b"",
    scope: str = "all",
) -> bytes:
    """The calendar of these due dates, in UTF-8 with lines ended by CR LF.

    `mark` tells this store's events from all others, `scope` which of them are wanted. `before` is the
    calendar written last: an event that differs from there gets a higher SEQUENCE, one that is due no more is
    cancelled. InputError where that is no calendar of this store, or one of another scope.
    """
    known = _known(before, mark, scope)
    calendar = Calendar()
    calendar.add("prodid", PRODUCT)
    calendar.add("version", "2.0")
    calendar.add("calscale", "GREGORIAN")
    calendar.add("method", "PUBLISH")
    calendar.add("x-wr-calname", f"{shop}: inspections due")
    calendar.add("x-fieldlog-store", mark)
    calendar.add("x-fieldlog-scope", scope)
    current = {uid_of(due, mark): due for due in dates}
    for uid, due in sorted(current.items()):
        calendar.add_component(_event(uid, due, now, known.get(uid)))
    for uid, event in sorted(known.items()):
        if uid not in current and _still_told(event, now):
            calendar.add_component(_cancelled(event, now))
    return calendar.to_ical()  # type: ignore[no-any-return]


def uid_of(due: CalendarDue, mark: str) -> str:
    """The event's UID, the same in every export. Example: SW-0008-M.periodic@0123456789abcdef.fieldlog."""
    return f"{due.id}.{due.inspection.replace(' ', '-')}@{mark}.fieldlog"


def _known(before: bytes, mark: str, scope: str) -> Mapping[str, Event]:
    if not before.strip():
        return {}
    try:
        calendar: Any = Calendar.from_ical(before)
        ours = str(calendar.get("prodid", "")) == PRODUCT
        same = str(calendar.get("x-fieldlog-store", "")) == mark
        told = str(calendar.get("x-fieldlog-scope", ""))
        events = {str(event["UID"]): event for event in calendar.walk("VEVENT")}
    except (ValueError, KeyError, IndexError, AttributeError, TypeError) as fault:
        raise InputError(f"the file there is no calendar ({str(fault)[:60]}): name a new file") from None
    if not (ours and same):
        raise InputError("the calendar there is not one of this store: name a new file")
    if told != scope:
        raise InputError(f"the calendar there holds {told!r} and not {scope!r}: name a new file")
    return events


def _event(uid: str, due: CalendarDue, now: datetime, before: Event | None) -> Event:
    event = Event()
    event.add("uid", uid)
    event.add("dtstamp", now)
    event.add("dtstart", due.due_on)
    event.add("dtend", due.due_on + timedelta(days=1))
    event.add("summary", f"{due.id} {due.inspection} inspection due")
    event.add("location", f"{due.site}, {due.place}" if due.place else due.site)
    until = "" if due.in_time_until == due.due_on else f"\nIn time until {due.in_time_until.isoformat()}."
    event.add("description", f"{due.name}\n{due.why}{until}")
    event.add("categories", ["inspection", due.inspection])
    event.add("transp", "TRANSPARENT")
    event.add("status", "CONFIRMED")
    event.add("sequence", _sequence(event, due.revision, before))
    return event


def _sequence(event: Event, revision: int, before: Event | None) -> int:
    """Never lower than in the last export, and higher where anything told differs (RFC 5546, 2.1.4)."""
    if before is None:
        return revision
    last = int(before.get("SEQUENCE", 0))
    same = all(_text(event, name) == _text(before, name) for name in _TOLD)
    return last if same else max(revision, last + 1)


def _text(event: Event, name: str) -> str:
    value = event.get(name)
    return str(value.dt) if hasattr(value, "dt") else str(value)


def _still_told(event: Event, now: datetime) -> bool:
    """A cancelled event is told for a year, so that a calendar that was away hears of it."""
    if str(event.get("STATUS", "")) != "CANCELLED":
        return True
    stamp = event.get("DTSTAMP")
    day = stamp.dt.date() if stamp is not None and isinstance(stamp.dt, datetime) else date.min
    return bool(now.date() - day <= CANCELLED_KEPT)


def _cancelled(event: Event, now: datetime) -> Event:
    if str(event.get("STATUS", "")) == "CANCELLED":
        return event
    sequence = int(event.get("SEQUENCE", 0)) + 1
    for name in ("STATUS", "SEQUENCE", "DTSTAMP"):
        event.pop(name, None)
    event.add("status", "CANCELLED")
    event.add("sequence", sequence)
    event.add("dtstamp", now)
    return event
