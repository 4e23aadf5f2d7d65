"""How a due date is counted from its anchor: by the calendar, by days, or by the month plate.

Also which inspection counts as which, since a fuller one sets the date of a lesser one.
"""

from datetime import date, timedelta
from functools import lru_cache

from dateutil.relativedelta import relativedelta

from fieldlog.domain.records import InspectionKind
from fieldlog.domain.rules import DateRule
from fieldlog.errors import InputError

MONTH_PLATE_GRACE_MONTHS = 2
LONG_INTERVAL_MONTHS = 24
DAYS_OF_MONTHS = {1: 31, 3: 92, 6: 184, 12: 365}

SCHEDULED = (InspectionKind.FREQUENT, InspectionKind.PERIODIC)
COUNTS_FOR = {
    InspectionKind.FREQUENT: (
        InspectionKind.FREQUENT,
        InspectionKind.PERIODIC,
        InspectionKind.FIRST_USE,
        InspectionKind.AFTER_MOVE,
    ),
    InspectionKind.PERIODIC: (InspectionKind.PERIODIC, InspectionKind.FIRST_USE, InspectionKind.AFTER_MOVE),
    InspectionKind.FIRST_USE: (
        InspectionKind.FIRST_USE,
        InspectionKind.PERIODIC,
        InspectionKind.AFTER_MOVE,
    ),
}


# Fleets are inspected on the same days: a rebuild of 20,000 hoists asks a million times for a few thousand.
_remembered = lru_cache(maxsize=10_000)


@_remembered
def month_end(day: date) -> date:
    """The last day of the month of `day`."""
    return day + relativedelta(day=31)


@_remembered
def calendar_date(anchor: date, months: int) -> date:
    """`anchor` plus months, clamped to the month's end, always from the anchor itself.

    Example: monthly from 2025-01-31 is 2025-02-28, then 2025-03-31, not 2025-03-28.
    """
    return anchor + relativedelta(months=months)


def days_date(anchor: date, months: int) -> date:
    """`anchor` plus the published number of days: 31, 92, 184 or 365.

    Source: DOE-STD-1090-96, 8.2.1. Other numbers of months have none there and are refused.
    """
    days = DAYS_OF_MONTHS.get(months)
    if days is None:
        raise InputError(f"the day rule has no interval of {months} months: 1, 3, 6 or 12")
    return anchor + timedelta(days=days)


def plate_date(done: date, due: date | None, months: int, *, out_of_service: bool = False) -> date:
    """The last day of the next due month by the month-plate rule.

    The next period starts with the due month of this inspection, also when it was done late; done in
    an earlier month it starts there, but for intervals over two years only if done more than two
    months early. Out of service when due: it starts with the inspection.
    Where it was done so late that the next due month has come too, whole intervals are added until the
    due month lies after the one it was done in: the rule is silent there (common practice, no source).
    Raises InputError for an interval under one month.
    Source: BetrSichV 14(5), TRBS 1201 6.1(4).
    Example: every 12 months, due 2025-06, done 2025-08-31: 2026-06-30; done 2025-05-10: 2026-05-31.
    """
    if months < 1:
        raise InputError(f"an interval is at least one month, not {months}")
    start = done
    if due is not None and not out_of_service:
        early_by = 0 if months <= LONG_INTERVAL_MONTHS else MONTH_PLATE_GRACE_MONTHS
        earliest_kept = calendar_date(due.replace(day=1), -early_by)
        if done >= earliest_kept:
            start = due
    ahead = months
    first = start.replace(day=1)
    while calendar_date(first, ahead) <= done:
        ahead += months
    return month_end(calendar_date(first, ahead))


def last_day_in_time(due: date, rule: DateRule) -> date:
    """The last day on which an inspection due on `due` is still in time."""
    if rule is DateRule.MONTH_PLATE:
        return month_end(calendar_date(due.replace(day=1), MONTH_PLATE_GRACE_MONTHS))
    return due
