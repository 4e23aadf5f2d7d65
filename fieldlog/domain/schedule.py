"""When the next inspection is due, and why then. Days only; nothing here knows today."""

from dataclasses import dataclass
from datetime import date, timedelta

from dateutil.relativedelta import relativedelta

from fieldlog.domain.criteria import cite
from fieldlog.domain.records import Hoist, InspectionKind
from fieldlog.domain.rules import DateRule, Interval, Rulebook
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


@dataclass(frozen=True, slots=True, kw_only=True)
class Due:
    """An inspection due on or before `due_on` (that day itself is in time), counted from `anchor`."""

    inspection: InspectionKind
    due_on: date
    anchor: date
    rule: str
    source: str


def month_end(day: date) -> date:
    """The last day of the month of `day`."""
    return day + relativedelta(day=31)


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
        earliest_kept = month_end(due) + relativedelta(months=-early_by, day=1)
        if done >= earliest_kept:
            start = due
    ahead = months
    while start.replace(day=1) + relativedelta(months=ahead) <= done:
        ahead += months
    return month_end(start.replace(day=1) + relativedelta(months=ahead))


def last_day_in_time(due: date, rule: DateRule) -> date:
    """The last day on which an inspection due on `due` is still in time."""
    if rule is DateRule.MONTH_PLATE:
        return month_end(due.replace(day=1) + relativedelta(months=MONTH_PLATE_GRACE_MONTHS))
    return due


def next_date(
    done: date, interval: Interval, rule: DateRule, due: date | None = None, *, out_of_service: bool = False
) -> date:
    """The next due date after an inspection done on `done`; `due` is when that one was due, if known."""
    if interval.days is not None:
        return done + timedelta(days=interval.days)
    months = interval.months
    if months is None:
        raise InputError(f"interval {interval.id} has neither months nor days")
    if rule is DateRule.DAYS:
        return days_date(done, months)
    if rule is DateRule.MONTH_PLATE:
        return plate_date(done, due, months, out_of_service=out_of_service)
    return calendar_date(done, months)


def interval_for(hoist: Hoist, inspection: InspectionKind, rulebook: Rulebook) -> Interval | None:
    """The interval that holds for this hoist; one for lifting persons goes before the general one."""
    fitting = [
        interval
        for interval in rulebook.intervals
        if interval.inspection is inspection
        and interval.service is hoist.service
        and (hoist.lifts_persons or not interval.lifts_persons)
    ]
    return max(fitting, key=lambda interval: interval.lifts_persons, default=None)


def interval_words(interval: Interval) -> str:
    """The interval for people: 'every 12 months'."""
    if interval.days is not None:
        return "every day" if interval.days == 1 else f"every {interval.days} days"
    return "every month" if interval.months == 1 else f"every {interval.months} months"


def dues(
    hoist: Hoist, rulebook: Rulebook, done: list[tuple[InspectionKind, date]], *, moved_on: date | None = None
) -> tuple[Due, ...]:
    """Next due date of each scheduled kind, from the inspections done so far in the order of their days.

    A hoist without an inspection that counts as first is due for the one before first use, from its
    registration on. `moved_on` asks for the inspection after a move.
    """
    counted = {kind: [day for what, day in done if what in COUNTS_FOR[kind]] for kind in COUNTS_FOR}
    result = []
    if not counted[InspectionKind.FIRST_USE]:
        return (
            Due(
                inspection=InspectionKind.FIRST_USE,
                due_on=hoist.registered_on,
                anchor=hoist.registered_on,
                rule="before first use, from registration",
                source="common practice, no source",
            ),
        )
    if moved_on is not None and not any(
        what is InspectionKind.AFTER_MOVE and day >= moved_on for what, day in done
    ):
        result.append(
            Due(
                inspection=InspectionKind.AFTER_MOVE,
                due_on=moved_on,
                anchor=moved_on,
                rule="before use at a new place",
                source="SI 1998/2307 (LOLER), reg. 9(2)",
            )
        )
    for kind in SCHEDULED:
        interval = interval_for(hoist, kind, rulebook)
        if interval is not None and counted[kind]:
            result.append(_due(kind, interval, rulebook, counted[kind]))
    return tuple(result)


def _due(kind: InspectionKind, interval: Interval, rulebook: Rulebook, days: list[date]) -> Due:
    due = next_date(days[0], interval, rulebook.date_rule)
    for day in days[1:]:
        due = next_date(day, interval, rulebook.date_rule, due)
    return Due(
        inspection=kind,
        due_on=due,
        anchor=days[-1],
        rule=f"{interval_words(interval)}, {rulebook.date_rule} rule, from {days[-1].isoformat()}",
        source=cite(interval.source),
    )
