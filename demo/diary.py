"""What happens at the works and on which day, before any of it is written."""

from collections.abc import Callable, Sequence
from datetime import date, datetime, time, timedelta

from msgspec import Struct, field

from fieldlog.operations.shop import Shop

from .hands import Visit

SATURDAY = 5
SHIFT_BEGINS = time(7, 10)
SHIFT = timedelta(hours=8)
LAST_DAY_SHIFT = timedelta(hours=3)


class Floor(Struct, frozen=True, kw_only=True):
    """The works while its history is written; `tags` are the IDs of its hoists by key."""

    shop: Shop
    sheet: str
    tags: dict[str, str] = field(default_factory=dict)


class Step(Struct, frozen=True, kw_only=True):
    """Something somebody does, so many days before the last one."""

    days_ago: int
    by: str
    do: Callable[[Floor, Visit], object]


def working_day(last_day: date, days_ago: int) -> date:
    """That day, or the Friday before a weekend; the last day itself is always worked on."""
    day = last_day - timedelta(days=days_ago)
    return day - timedelta(days=max(0, day.weekday() - SATURDAY + 1)) if days_ago else day


def _shift(moment: datetime, day: date) -> tuple[datetime, timedelta]:
    """Begin and length of the shift of that day; that of the last one ends at the moment."""
    if day != moment.date():
        return datetime.combine(day, SHIFT_BEGINS, moment.tzinfo), SHIFT
    midnight = datetime.combine(day, time(), moment.tzinfo)
    begins = max(midnight, moment - LAST_DAY_SHIFT)
    return begins, moment - begins


def in_order(steps: Sequence[Step], moment: datetime) -> list[tuple[datetime, Step]]:
    """Every step with its time, the earliest first; steps of one day are spread over its shift."""
    days: dict[date, list[Step]] = {}
    for step in sorted(steps, key=lambda step: -step.days_ago):
        days.setdefault(working_day(moment.date(), step.days_ago), []).append(step)
    timed = []
    for day, of_day in days.items():
        begins, length = _shift(moment, day)
        for number, step in enumerate(of_day):
            now = begins + length * number / len(of_day)
            timed.append((now.replace(microsecond=0), step))
    return timed
