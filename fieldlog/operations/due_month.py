"""Every inspection that is due in the shop, and a month of them in weeks from Monday on (ISO 8601)."""

from calendar import Calendar
from collections.abc import Iterable
from datetime import date

from msgspec import Struct

from fieldlog.operations.due import in_time_until, is_retired
from fieldlog.operations.shop import Shop, rulebook_named, summaries


class DueInspection(Struct, frozen=True, kw_only=True):
    """One inspection of one hoist; `overdue` where even its days of grace are past."""

    id: str
    name: str
    site: str
    place: str
    kind: str
    due_on: date
    overdue: bool


class DueDay(Struct, frozen=True, kw_only=True):
    """A day of the calendar and what is due on it; the days around the month make whole weeks."""

    day: date
    in_month: bool
    due: tuple[DueInspection, ...]


class DueWeek(Struct, frozen=True, kw_only=True):
    """Monday to Sunday, with the number that ISO 8601 gives to the week."""

    number: int
    days: tuple[DueDay, ...]


class DueMonth(Struct, frozen=True, kw_only=True):
    """A month in whole weeks."""

    year: int
    month: int
    weeks: tuple[DueWeek, ...]

    @property
    def due(self) -> tuple[DueInspection, ...]:
        """What is due in the month itself."""
        days = (day for week in self.weeks for day in week.days if day.in_month)
        return tuple(one for day in days for one in day.due)


def shop_dues(shop: Shop, today: date) -> tuple[DueInspection, ...]:
    """Every next inspection of every hoist in use, by day, then by tag; a hoist may have several kinds."""
    found = (
        DueInspection(
            id=summary.id,
            name=f"{summary.maker} {summary.model}",
            site=summary.site,
            place=summary.place,
            kind=due.inspection.value,
            due_on=due.due_on,
            overdue=today > in_time_until(due, rulebook_named(summary.rulebook, shop)),
        )
        for summary in summaries(shop).values()
        if not is_retired(summary, today)
        for due in summary.dues
    )
    return tuple(sorted(found, key=lambda one: (one.due_on, one.id, one.kind)))


def due_month(dues: Iterable[DueInspection], year: int, month: int) -> DueMonth:
    """The month with what is due on its days, and on the days around it that fill its weeks."""
    by_day: dict[date, list[DueInspection]] = {}
    for due in dues:
        by_day.setdefault(due.due_on, []).append(due)
    weeks = Calendar(firstweekday=0).monthdatescalendar(year, month)
    return DueMonth(
        year=year,
        month=month,
        weeks=tuple(
            DueWeek(
                number=week[0].isocalendar().week,
                days=tuple(
                    DueDay(day=day, in_month=day.month == month, due=tuple(by_day.get(day, ())))
                    for day in week
                ),
            )
            for week in weeks
        ),
    )
