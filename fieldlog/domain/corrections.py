"""Which sealed records count, and in which order they are read."""

from collections.abc import Sequence
from datetime import date

from fieldlog.domain.records import Entry, Hoist, SetIdle, StruckOut
from fieldlog.errors import Problem


def struck_lines(entries: Sequence[Entry]) -> dict[str, str]:
    """The lines that were struck out, with the reason, by their SHA-256.

    Read from the end: a strike names an earlier line, and one that was struck out itself does not count.
    """
    struck: dict[str, str] = {}
    for entry in reversed(entries):
        if isinstance(entry.body, StruckOut) and entry.line not in struck:
            struck[entry.body.line] = entry.body.why
    return struck


def strike_problems(entries: Sequence[Entry]) -> list[Problem]:
    """Strikes that name a line which is not there."""
    lines = {entry.line for entry in entries}
    return [
        Problem(place=f"line {entry.number}", wrong="strikes out a line that this logbook does not hold.")
        for entry in entries
        if isinstance(entry.body, StruckOut) and entry.body.line not in lines
    ]


def day_of_work(entry: Entry) -> date:
    """The day on which a record's work was done; for records that know none the day of sealing."""
    if isinstance(entry.body, Hoist):
        return entry.body.registered_on
    if isinstance(entry.body, SetIdle):
        return entry.body.from_on
    # Kinds of other logbooks know no day of work; the day of sealing stands for it.
    day = getattr(entry.body, "done_on", None)
    return day if isinstance(day, date) else entry.at.date()


def by_day(entries: Sequence[Entry]) -> list[Entry]:
    """Records by the day of the work, those of one day as sealed; the first registration before all.

    A record sealed late, or put in the place of one struck out, must not hide what was found after it.
    """
    first = next((entry for entry in entries if isinstance(entry.body, Hoist)), None)
    return sorted(entries, key=lambda entry: date.min if entry is first else day_of_work(entry))
