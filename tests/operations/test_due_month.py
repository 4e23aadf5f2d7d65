"""The calendar month against dateutil's rules and ISO 8601's own examples; what stands on which day."""

from datetime import date, timedelta
from pathlib import Path

import pytest
from dateutil.rrule import DAILY, MO, WEEKLY, rrule
from hypothesis import given
from hypothesis import strategies as st

from fieldlog.operations.due_month import DueInspection, due_month, shop_dues
from tests.operations.builder import inspect, ready_shop, register


def due(day: date, tag: str = "SW-0001-0", *, overdue: bool = False) -> DueInspection:
    return DueInspection(
        id=tag,
        name="Fenwright LC",
        site="intake hall",
        place="",
        kind="frequent",
        due_on=day,
        overdue=overdue,
    )


@given(year=st.integers(1901, 2998), month=st.integers(1, 12))
def test_weeks_go_from_monday_to_sunday_and_hold_every_day_of_the_month_once(year: int, month: int) -> None:
    """The Mondays and days are those of dateutil.rrule."""
    shown = due_month((), year, month)
    first = date(year, month, 1)
    after = date(year + month // 12, month % 12 + 1, 1)
    monday = rrule(WEEKLY, byweekday=MO, dtstart=first - timedelta(days=6), count=1)[0]
    mondays = [found.date() for found in rrule(WEEKLY, dtstart=monday, until=after - timedelta(days=1))]
    assert [week.days[0].day for week in shown.weeks] == mondays
    days = [day for week in shown.weeks for day in week.days]
    every = rrule(DAILY, dtstart=monday, count=7 * len(mondays))
    assert [day.day for day in days] == [found.date() for found in every]
    inside = rrule(DAILY, dtstart=first, until=after - timedelta(days=1))
    assert [day.day for day in days if day.in_month] == [found.date() for found in inside]


# ISO 8601 weeks: week 1 holds the year's first Thursday, so 2026 has 53 weeks and the last holds 2027-01-01.
@pytest.mark.parametrize(
    ("year", "month", "numbers"),
    [
        (2026, 1, [1, 2, 3, 4, 5]),
        (2026, 12, [49, 50, 51, 52, 53]),
        (2027, 1, [53, 1, 2, 3, 4]),
        (2027, 2, [5, 6, 7, 8]),
    ],
)
def test_week_numbers(year: int, month: int, numbers: list[int]) -> None:
    assert [week.number for week in due_month((), year, month).weeks] == numbers


def test_inspections_stand_on_their_day_also_in_the_week_around_the_month() -> None:
    dues = (due(date(2026, 10, 31)), due(date(2026, 11, 1)), due(date(2026, 11, 1), "SW-0002-Y"))
    month = due_month(dues, 2026, 11)
    saturday, sunday = month.weeks[0].days[5:]
    assert (saturday.in_month, [one.id for one in saturday.due]) == (False, ["SW-0001-0"])
    assert (sunday.in_month, [one.id for one in sunday.due]) == (True, ["SW-0001-0", "SW-0002-Y"])
    assert month.due == dues[1:]


def test_every_kind_of_every_hoist_by_its_day_and_those_past_it_overdue(tmp_path: Path) -> None:
    """Monthly and yearly by the calendar rule: from 2026-01-31 that is 2026-02-28 and 2027-01-31."""
    shop = ready_shop(tmp_path)
    day = date(2026, 1, 31)
    inspect(shop, register(shop, day=day).id, day=day)
    register(shop, day=date(2026, 2, 1), serial="2")
    for today, overdue in ((date(2026, 2, 28), False), (date(2026, 3, 1), True)):
        found = [
            (one.due_on, one.kind, one.overdue) for one in shop_dues(shop, today) if one.id[:7] == "SW-0001"
        ]
        assert found == [(date(2026, 2, 28), "frequent", overdue), (date(2027, 1, 31), "periodic", False)]
    (other,) = [one for one in shop_dues(shop, day) if one.id[:7] == "SW-0002"]
    assert (other.kind, other.site, other.name) == ("before first use", "intake hall", "Fenwright LC 500")
