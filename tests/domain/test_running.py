"""Logged hours add up to periods, and the day on which so many are run; all figures worked out by hand."""

from datetime import date, timedelta
from decimal import Decimal
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fieldlog.domain.records import HoursLogged
from fieldlog.domain.running import counter_on, hours_between, hours_faults, periods_of, reached_on
from tests.domain.build import D

BEGUN = date(2026, 1, 1)


def log(day: date, hours: str, **changes: Any) -> HoursLogged:
    return HoursLogged(done_on=day, hours=D(hours), **changes)


def counter(day: date, reads: str, **changes: Any) -> HoursLogged:
    return log(day, reads, total=True, **changes)


def test_a_counter_adds_what_lies_between_its_readings() -> None:
    logs = (counter(date(2026, 1, 11), "500"), counter(date(2026, 1, 21), "540"))
    first, second = periods_of(logs, BEGUN)
    assert (first.hours, first.placed) == (D(500), False)
    assert (second.start, second.end, second.hours, second.placed) == (
        date(2026, 1, 11),
        date(2026, 1, 21),
        D(40),
        True,
    )


def test_hours_of_a_period_begin_where_the_last_ones_ended_unless_they_say() -> None:
    logs = (log(date(2026, 1, 11), "20"), log(date(2026, 1, 21), "30"), log(date(2026, 2, 1), "5"))
    assert [period.start for period in periods_of(logs, BEGUN)] == [
        BEGUN,
        date(2026, 1, 11),
        date(2026, 1, 21),
    ]
    (only,) = periods_of((log(date(2026, 2, 1), "5", since=date(2026, 1, 30)),), BEGUN)
    assert only.start == date(2026, 1, 30)


def test_hours_between_readings_raise_the_counter_too() -> None:
    logs = (
        counter(date(2026, 1, 11), "500"),
        log(date(2026, 1, 15), "10"),
        counter(date(2026, 1, 21), "540"),
    )
    assert [period.hours for period in periods_of(logs, BEGUN)] == [D(500), D(10), D(30)]


def test_a_new_counter_begins_at_zero() -> None:
    logs = (
        counter(date(2026, 1, 11), "500"),
        counter(date(2026, 1, 21), "40", new_counter=True),
        counter(date(2026, 1, 31), "60"),
    )
    assert [period.hours for period in periods_of(logs, BEGUN)] == [D(500), D(40), D(20)]
    assert hours_faults(logs) == ()


def test_a_counter_that_runs_backwards_adds_nothing_and_is_told() -> None:
    logs = (counter(date(2026, 1, 11), "500"), counter(date(2026, 1, 21), "499"))
    assert [period.hours for period in periods_of(logs, BEGUN)] == [D(500), D(0)]
    (fault,) = hours_faults(logs)
    assert fault == ("the counter reads 499 h on 2026-01-21 after 500 h: was it exchanged or misread?")


def test_hours_are_spread_evenly_over_the_days_of_their_period() -> None:
    periods = periods_of((log(date(2026, 1, 11), "100"),), BEGUN)  # ten days of ten hours
    assert hours_between(periods, date(2026, 1, 3), date(2026, 1, 6)) == D(30)
    assert hours_between(periods, date(2026, 1, 9), date(2026, 2, 1)) == D(20)
    assert hours_between(periods, date(2026, 1, 11), date(2026, 2, 1)) == D(0)


def test_the_counter_on_a_day_is_known_only_while_hours_are_logged() -> None:
    periods = periods_of((log(date(2026, 1, 11), "100"),), BEGUN)
    assert counter_on(periods, date(2026, 1, 6)) == D(50)
    assert counter_on(periods, date(2026, 1, 12)) is None
    assert counter_on(periods, date(2025, 12, 31)) is None
    assert counter_on((), BEGUN) is None


@pytest.mark.parametrize(
    ("limit", "day", "expected"),
    [("99", date(2026, 1, 11), False), ("100", date(2026, 1, 11), False), ("90", date(2026, 1, 10), False)],
)
def test_hours_that_are_run_already(limit: str, day: date, expected: bool) -> None:
    reached = reached_on(periods_of((log(date(2026, 1, 11), "100"),), BEGUN), BEGUN, D(limit))
    assert reached is not None
    assert (reached.day, reached.expected) == (day, expected)


def test_hours_that_will_be_run_at_the_mean_so_far() -> None:
    # 100 h in ten days; 155 h more take 15.5 days, rounded down, after 2026-01-11
    reached = reached_on(periods_of((log(date(2026, 1, 11), "100"),), BEGUN), BEGUN, D(255))
    assert reached is not None
    assert (reached.day, reached.per_day, reached.expected) == (date(2026, 1, 26), D(10), True)


def test_without_hours_since_the_anchor_no_day_is_told() -> None:
    periods = periods_of((log(date(2026, 1, 11), "100"),), BEGUN)
    assert reached_on(periods, date(2026, 1, 11), D(10)) is None
    assert reached_on(periods_of((log(date(2026, 1, 11), "0"),), BEGUN), BEGUN, D(10)) is None
    tiny = periods_of((log(date(2026, 1, 11), "0.0001"),), BEGUN)
    assert reached_on(tiny, BEGUN, D(500)) is None


@given(
    st.lists(st.tuples(st.integers(1, 60), st.integers(0, 300)), min_size=1, max_size=6),
    st.integers(0, 100),
    st.integers(1, 1000),
)
def test_the_day_is_never_on_or_before_the_anchor_and_later_for_more_hours(
    logged: list[tuple[int, int]], anchor_after: int, limit: int
) -> None:
    day, logs = BEGUN, []
    for days, hours in logged:
        day += timedelta(days=days)
        logs.append(log(day, str(hours)))
    anchor = BEGUN + timedelta(days=anchor_after)
    periods = periods_of(logs, BEGUN)
    sooner, later = (reached_on(periods, anchor, Decimal(h)) for h in (limit, limit + 50))
    if sooner is not None:
        assert sooner.day > anchor
        assert later is None or later.day >= sooner.day
