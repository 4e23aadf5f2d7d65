"""Times out of use: what they ask for before the next use, and which inspection ends them."""

from collections.abc import Iterator, Sequence
from datetime import date

from fieldlog.domain.due_dates import COUNTS_FOR, calendar_date
from fieldlog.domain.records import InspectionKind, SetIdle
from fieldlog.domain.rules import IdleRule, Rulebook

# After an event the whole hoist is looked at as in a periodic inspection, and a long idle time is one.
ENDS_IDLE = {
    kind: (*COUNTS_FOR[kind], InspectionKind.AFTER_EVENT)
    for kind in (InspectionKind.FREQUENT, InspectionKind.PERIODIC)
}


def idle_begins(rest: SetIdle, rule: IdleRule) -> date | None:
    """The day from which a time out of use asks for the rule's inspection; None where it ends before."""
    begins = calendar_date(rest.from_on, rule.months)
    return begins if rest.until_on is None or begins <= rest.until_on else None


def idle_left(
    idle: Sequence[SetIdle], done: Sequence[tuple[InspectionKind, date]], rulebook: Rulebook
) -> tuple[tuple[SetIdle, tuple[IdleRule, ...]], ...]:
    """Times out of use that no inspection has ended, each with the rules that still ask for one.

    It ends with the first inspection since it began that the rules ask for on that day: after a month the
    frequent one, later the periodic one. One that falls short of that satisfies its own rule alone. A rest
    shorter than every rule ends by itself with the day of its next use.
    """
    found = []
    for rest in idle:
        rules = tuple(_idle_rules(rest, done, rulebook))
        if rules:
            found.append((rest, rules))
    return tuple(found)


def _idle_rules(
    rest: SetIdle, done: Sequence[tuple[InspectionKind, date]], rulebook: Rulebook
) -> Iterator[IdleRule]:
    since = [(kind, day) for kind, day in done if day >= rest.from_on]
    ended = min((day for kind, day in since if kind in ENDS_IDLE[_asked(rest, rulebook, day)]), default=None)
    for rule in rulebook.idle:
        begins = idle_begins(rest, rule)
        met = any(kind in ENDS_IDLE.get(rule.inspection, (rule.inspection,)) for kind, _ in since)
        if begins is not None and ended is None and not met:
            yield rule


def _asked(rest: SetIdle, rulebook: Rulebook, day: date) -> InspectionKind:
    """The inspection that ends this time out of use on a day: of the rules reached the longest decides."""
    reached = [rule for rule in rulebook.idle if (begins := idle_begins(rest, rule)) and begins <= day]
    longest = max(reached, key=lambda rule: rule.months, default=None)
    return InspectionKind.FREQUENT if longest is None else longest.inspection


def idle_words(rest: SetIdle, rules: Sequence[IdleRule]) -> str:
    """A time out of use that is not ended, with what it asks for and from when on."""
    asked = [
        f"from {begins.isoformat()} on a {rule.inspection} inspection"
        for rule in rules
        if (begins := idle_begins(rest, rule)) is not None
    ]
    return f"out of use since {rest.from_on.isoformat()} ({rest.why}): before use {', '.join(asked)}"
