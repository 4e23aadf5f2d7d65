"""How long each record of a hoist is to be kept, by the rules of its rulebook.

fieldlog deletes nothing; this answers when a record may go. Of several rules for it the longest holds.
"""

from collections.abc import Callable, Sequence
from datetime import date

from msgspec import Struct

from fieldlog.domain.corrections import day_of_work
from fieldlog.domain.due_dates import calendar_date
from fieldlog.domain.history import History
from fieldlog.domain.paper_rules import RetentionRule
from fieldlog.domain.records import Hoist, Inspection, InspectionKind
from fieldlog.domain.rules import Rulebook

THOROUGH = (
    InspectionKind.PERIODIC,
    InspectionKind.FIRST_USE,
    InspectionKind.AFTER_MOVE,
    InspectionKind.AFTER_REPAIR,
    InspectionKind.AFTER_EVENT,
)
RECURRENT = (InspectionKind.PERIODIC, InspectionKind.AFTER_REPAIR, InspectionKind.AFTER_EVENT)
BETWEEN = (InspectionKind.PRE_USE, InspectionKind.FREQUENT)


class Kept(Struct, frozen=True, kw_only=True):
    """A record and the day until which it is kept, that day included; None: open ended."""

    number: int
    day: date
    kind: str
    until: date | None
    rule: RetentionRule


class _Line(Struct, frozen=True, kw_only=True):
    """A record that counts, with its day and, for an inspection, its occasion."""

    number: int
    day: date
    kind: str
    occasion: InspectionKind | None


def keep_until(made_on: date, next_on: date | None, least_months: int) -> date | None:
    """Until the next record of its kind or so many months, whichever is later; None while there is no next.

    Source: SI 1998/2307 (LOLER), reg. 11(2)(a)(iv), with two years.
    Example: report 2024-03-10, next 2025-03-01: 2026-03-10; report 2022-03-10: 2025-03-01.
    """
    if next_on is None:
        return None
    return max(next_on, calendar_date(made_on, least_months))


def _next_after(line: _Line, lines: Sequence[_Line], kinds: Sequence[InspectionKind]) -> date | None:
    """The day of the first later inspection of one of these kinds."""
    later = (other.day for other in lines if other.occasion in kinds and _order(other) > _order(line))
    return min(later, default=None)


def _order(line: _Line) -> tuple[date, int]:
    return line.day, line.number


def _until_next(
    mine: Sequence[InspectionKind], following: Sequence[InspectionKind]
) -> Callable[[_Line, Sequence[_Line], History, RetentionRule], tuple[bool, date | None]]:
    """Inspections of these kinds, kept until the next one that follows them."""

    def apply(
        line: _Line, lines: Sequence[_Line], _: History, rule: RetentionRule
    ) -> tuple[bool, date | None]:
        following_on = _next_after(line, lines, following)
        return line.occasion in mine, keep_until(line.day, following_on, rule.least_months)

    return apply


def _while_used(
    *mine: InspectionKind,
) -> Callable[[_Line, Sequence[_Line], History, RetentionRule], tuple[bool, date | None]]:
    """Inspections of these kinds, or every record, until the hoist is retired and the rule's months after."""

    def apply(
        line: _Line, _: Sequence[_Line], history: History, rule: RetentionRule
    ) -> tuple[bool, date | None]:
        gone = history.retired
        until = None if gone is None else calendar_date(gone.done_on, rule.least_months)
        return not mine or line.occasion in mine, until

    return apply


def _for_ever(*_: object) -> tuple[bool, date | None]:
    """Every record, without an end that the rule would name."""
    return True, None


def _at_this_place(
    line: _Line, _: Sequence[_Line], history: History, __: RetentionRule
) -> tuple[bool, date | None]:
    """Reports after installation, until the hoist has moved away or is retired."""
    moves = [
        entry.body.registered_on
        for entry in history.entries
        if isinstance(entry.body, Hoist) and entry.line not in history.struck
    ]
    moved = [day for day in moves[1:] if day > line.day]
    if history.retired is not None:
        moved.append(history.retired.done_on)
    return line.occasion is InspectionKind.AFTER_MOVE, min(moved, default=None)


ALL_KINDS = tuple(InspectionKind)
BY_RULE: dict[str, Callable[[_Line, Sequence[_Line], History, RetentionRule], tuple[bool, date | None]]] = {
    "uk-periodic": _until_next(RECURRENT, THOROUGH),
    "life-and-two-years": _while_used(),
    "with-the-hoist": _while_used(),
    "de-cranes": _while_used(),
    "uk-first-use": _while_used(InspectionKind.FIRST_USE),
    "uk-installation": _at_this_place,
    "uk-interim": _until_next(BETWEEN, BETWEEN),
    "de-general": _until_next(ALL_KINDS, ALL_KINDS),
    "us-certification": _until_next((InspectionKind.FREQUENT,), (InspectionKind.FREQUENT,)),
}
"""How the rules that end with an event are worked out; every other rule keeps all records open ended."""


def _lines(history: History) -> tuple[_Line, ...]:
    return tuple(
        _Line(
            number=entry.number,
            day=day_of_work(entry),
            kind=entry.body.kind,
            occasion=entry.body.occasion if isinstance(entry.body, Inspection) else None,
        )
        for entry in history.entries
        if entry.line not in history.struck
    )


def retention_of(history: History, rulebook: Rulebook) -> tuple[Kept, ...]:
    """Every record that a rule asks to keep, until when; those of no rule are left out."""
    lines = _lines(history)
    found = []
    for line in lines:
        held = [
            Kept(number=line.number, day=line.day, kind=line.kind, until=until, rule=rule)
            for rule in rulebook.retention
            for fits, until in [BY_RULE.get(rule.id, _for_ever)(line, lines, history, rule)]
            if fits
        ]
        if held:
            found.append(max(held, key=lambda kept: kept.until or date.max))
    return tuple(found)
