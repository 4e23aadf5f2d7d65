"""When the next inspection is due, and why then. Days only; nothing here knows today.

A scheduled inspection is due by its date, by running hours or by a time out of use, whichever comes first.
"""

from collections.abc import Iterator, Sequence
from datetime import date, timedelta
from decimal import Decimal
from enum import StrEnum

from msgspec import Struct
from msgspec.structs import replace

from fieldlog.domain.criteria import Certainty, Source, cite
from fieldlog.domain.due_dates import COUNTS_FOR, SCHEDULED, calendar_date, days_date, plate_date
from fieldlog.domain.idle import idle_begins, idle_left
from fieldlog.domain.records import Hoist, InspectionKind, SetIdle
from fieldlog.domain.rules import DateRule, IdleRule, Interval, Rulebook
from fieldlog.domain.running import Period, reached_on
from fieldlog.errors import InputError
from fieldlog.units import format_mm


class DueBy(StrEnum):
    """What makes an inspection due on its day."""

    DATE = "date"
    HOURS = "running hours"
    IDLE = "idle time"


class Due(Struct, frozen=True, kw_only=True):
    """An inspection due on or before `due_on` (that day itself is in time), counted from `anchor`.

    `rule` says how it is counted and `source` by which source, `certainty` how well that is known. `why`
    holds what else there is to say: a note on the figure, the date rule, and what would come later.
    """

    inspection: InspectionKind
    due_on: date
    anchor: date
    rule: str
    source: str
    by: DueBy = DueBy.DATE
    certainty: Certainty = Certainty.PRACTICE
    why: tuple[str, ...] = ()


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
    hoist: Hoist,
    rulebook: Rulebook,
    done: list[tuple[InspectionKind, date]],
    *,
    moved_on: date | None = None,
    periods: Sequence[Period] = (),
    idle: Sequence[SetIdle] = (),
) -> tuple[Due, ...]:
    """Next due date of each scheduled kind, from the inspections done so far in the order of their days.

    A hoist without an inspection that counts as first is due for the one before first use, from its
    registration on. `moved_on` asks for the inspection after a move. `periods` are the running hours as
    logged and `idle` the times out of use.
    """
    counted = {kind: [day for what, day in done if what in COUNTS_FOR[kind]] for kind in COUNTS_FOR}
    if not counted[InspectionKind.FIRST_USE]:
        return (_before_first_use(hoist.registered_on),)
    result = []
    if moved_on is not None and not any(
        what is InspectionKind.AFTER_MOVE and day >= moved_on for what, day in done
    ):
        result.append(_after_move(moved_on))
    for kind in SCHEDULED:
        if counted[kind]:
            days = counted[kind]
            found = [
                *_by_date(kind, hoist, rulebook, days),
                *_by_hours(kind, rulebook, days[-1], periods),
                *_by_idle(kind, days[-1], idle_left(idle, done, rulebook)),
            ]
            result += _first_of(found)
    return tuple(result)


def _before_first_use(registered_on: date) -> Due:
    return Due(
        inspection=InspectionKind.FIRST_USE,
        due_on=registered_on,
        anchor=registered_on,
        rule="before first use, from registration",
        source="common practice, no source",
    )


def _after_move(moved_on: date) -> Due:
    return Due(
        inspection=InspectionKind.AFTER_MOVE,
        due_on=moved_on,
        anchor=moved_on,
        rule="before use at a new place",
        source="SI 1998/2307 (LOLER), reg. 9(2)",
        certainty=Certainty.PUBLISHED,
    )


def _first_of(found: Sequence[Due]) -> list[Due]:
    """The one that comes first, a date before what comes on the same day; the others are told with it."""
    if not found:
        return []
    first = min(found, key=lambda due: due.due_on)
    later = tuple(
        f"only on {due.due_on.isoformat()}: {due.rule} ({due.source})" for due in found if due is not first
    )
    return [replace(first, why=first.why + later)]


def _by_date(kind: InspectionKind, hoist: Hoist, rulebook: Rulebook, days: list[date]) -> Iterator[Due]:
    interval = interval_for(hoist, kind, rulebook)
    if interval is None:
        return
    # by the month-plate rule a due date stands on the one before; by the others on the last day alone
    counted = days if rulebook.date_rule is DateRule.MONTH_PLATE else days[-1:]
    due = next_date(counted[0], interval, rulebook.date_rule)
    for day in counted[1:]:
        due = next_date(day, interval, rulebook.date_rule, due)
    yield Due(
        inspection=kind,
        due_on=due,
        anchor=days[-1],
        rule=f"{interval_words(interval)}, {rulebook.date_rule} rule, from {days[-1].isoformat()}",
        source=cite(interval.source),
        certainty=interval.source.certainty,
        why=tuple(_date_words(interval, rulebook)),
    )


def _date_words(interval: Interval, rulebook: Rulebook) -> Iterator[str]:
    if interval.note:
        yield interval.note
    held: tuple[str, Source] = ("", rulebook.date_rule_source)
    held = next(((e.says, e.source) for e in rulebook.date_rules if e.rule is rulebook.date_rule), held)
    says, source = held
    if interval.days is None:
        yield " ".join(filter(None, [f"{rulebook.date_rule} rule:", says, f"({cite(source)})"]))


def _by_hours(
    kind: InspectionKind, rulebook: Rulebook, anchor: date, periods: Sequence[Period]
) -> Iterator[Due]:
    """By running hours, where so many are run or will be at the mean since the last inspection."""
    for rule in rulebook.hours:
        reached = reached_on(periods, anchor, rule.hours) if rule.inspection is kind else None
        if reached is None:
            continue
        mean = format_mm(reached.per_day.quantize(Decimal("0.01")))
        run = format_mm(reached.run_h.quantize(Decimal("0.1")))
        yield Due(
            inspection=kind,
            due_on=reached.day,
            anchor=anchor,
            rule=f"every {format_mm(rule.hours)} running hours, from {anchor.isoformat()}",
            source=cite(rule.source),
            by=DueBy.HOURS,
            certainty=rule.source.certainty,
            why=(
                f"{run} h run since then, {mean} h a day",
                "expected at this pace" if reached.expected else "the hours are run already",
            ),
        )


def _by_idle(
    kind: InspectionKind,
    anchor: date,
    left: Sequence[tuple[SetIdle, tuple[IdleRule, ...]]],
) -> Iterator[Due]:
    for rest, rules in left:
        for rule in rules:
            begins = idle_begins(rest, rule)
            if rule.inspection is kind and begins is not None:
                months = f"{rule.months} month{'s' if rule.months > 1 else ''}"
                yield Due(
                    inspection=kind,
                    due_on=begins,
                    anchor=anchor,
                    rule=f"before use after {months} idle, out of use from {rest.from_on.isoformat()}",
                    source=cite(rule.source),
                    by=DueBy.IDLE,
                    certainty=rule.source.certainty,
                    why=(f"out of use: {rest.why}",),
                )
