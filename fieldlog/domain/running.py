"""Running hours: the periods that logged hours add up to, and when so many of them are run."""

from collections.abc import Sequence
from datetime import date, timedelta
from decimal import Decimal

from msgspec import Struct

from fieldlog.domain.records import HoursLogged
from fieldlog.units import format_mm

# A hundred years: a hoist that hardly runs is due by the calendar long before.
MOST_DAYS = 36_525


class Period(Struct, frozen=True, kw_only=True):
    """Hours run after `start` until the end of `end`; `log` tells their loads and how they are known.

    `placed` is False for what the counter read before its first reading here: nobody knows when it ran.
    """

    start: date
    end: date
    hours: Decimal
    log: HoursLogged
    placed: bool = True


class Reached(Struct, frozen=True, kw_only=True):
    """The day on which so many hours are run, with those run by the last log and their mean a day.

    `expected` says that the day lies after the last log, at that mean.
    """

    day: date
    run_h: Decimal
    per_day: Decimal
    expected: bool


def periods_of(logged: Sequence[HoursLogged], begun_on: date) -> tuple[Period, ...]:
    """The periods in the order of their logs; `begun_on` is the day from which the hoist is known here.

    A counter that reads less than before without having been exchanged adds nothing: see `hours_faults`.
    """
    periods: list[Period] = []
    counter: Decimal | None = None
    last = begun_on
    for log in logged:
        start = min(log.since or last, log.done_on)
        hours, placed = log.hours, True
        if log.total:
            known = Decimal(0) if log.new_counter else counter
            placed = known is not None
            start = min(last, log.done_on)
            hours = max(log.hours - (known or Decimal(0)), Decimal(0))
            counter = log.hours if known is None or log.hours >= known else counter
        elif counter is not None:
            counter += log.hours
        periods.append(Period(start=start, end=log.done_on, hours=hours, log=log, placed=placed))
        last = max(last, log.done_on)
    return tuple(periods)


def hours_faults(logged: Sequence[HoursLogged]) -> tuple[str, ...]:
    """Counters that run backwards, a sentence each."""
    faults = []
    counter: Decimal | None = None
    for log in logged:
        if log.total and not log.new_counter and counter is not None and log.hours < counter:
            reads, before = format_mm(log.hours), format_mm(counter)
            faults.append(
                f"the counter reads {reads} h on {log.done_on.isoformat()} after {before} h:"
                " was it exchanged or misread?"
            )
        counter = log.hours if log.total else counter
    return tuple(faults)


def _within(period: Period, after: date, until: date) -> Decimal:
    """The hours of a period that fall after one day and until another, spread evenly over its days."""
    whole = (period.end - period.start).days
    if whole == 0:
        return period.hours if after < period.end <= until else Decimal(0)
    days = (min(period.end, until) - max(period.start, after)).days
    return period.hours * max(days, 0) / whole


def hours_between(periods: Sequence[Period], after: date, until: date) -> Decimal:
    """Hours run after one day until another, as far as they are logged."""
    return sum((_within(period, after, until) for period in periods if period.placed), Decimal(0))


def counter_on(periods: Sequence[Period], day: date) -> Decimal | None:
    """Hours run by the end of a day since hours are logged; None outside the time that is logged."""
    placed = [period for period in periods if period.placed]
    starts = [period.start for period in placed] + [p.end for p in periods if not p.placed]
    if not starts or not min(starts) <= day <= max(period.end for period in periods):
        return None
    return hours_between(periods, date.min, day)


def reached_on(periods: Sequence[Period], anchor: date, limit_h: Decimal) -> Reached | None:
    """When `limit_h` hours are run since the end of `anchor`; None where nothing is logged after it.

    Inside the logged time the hours of a period are spread evenly over its days; after it, the mean since
    the anchor goes on. Rounded down to the day, and never on the anchor itself.
    """
    later = sorted(
        (period for period in periods if period.placed and period.end > anchor), key=lambda p: p.end
    )
    if not later:
        return None
    last = later[-1].end
    run = hours_between(later, anchor, last)
    per_day = run / (last - anchor).days
    if run <= 0 or (limit_h - run) / per_day > MOST_DAYS:
        return None
    if run < limit_h:
        day, expected = last + timedelta(days=int((limit_h - run) / per_day)), True
    else:
        day, expected = _day_inside(later, anchor, limit_h), False
    return Reached(day=max(day, anchor + timedelta(days=1)), run_h=run, per_day=per_day, expected=expected)


def _day_inside(periods: Sequence[Period], anchor: date, limit_h: Decimal) -> date:
    """The first day by whose end the hours are run; found by halves, as hours only ever rise."""
    low, high = anchor, max(period.end for period in periods)
    while (high - low).days > 1:
        middle = low + (high - low) // 2
        if hours_between(periods, anchor, middle) >= limit_h:
            high = middle
        else:
            low = middle
    return high
