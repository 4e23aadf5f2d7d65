"""Three date rules against published intervals and vectors, and dateutil."""

import calendar
from datetime import date

import pytest
from dateutil.relativedelta import relativedelta
from hypothesis import given
from hypothesis import strategies as st

from fieldlog.domain.due_dates import calendar_date, days_date, last_day_in_time, month_end, plate_date
from fieldlog.domain.rules import DateRule
from fieldlog.errors import InputError
from tests.domain.published import Case, cases

DAYS = cases("schedule", "days", 17)
CALENDAR = cases("schedule", "calendar", 18)
ANCHORED = cases("schedule", "anchored", 4)
PLATES = cases("schedule", "month_plate", 4)
FIRST_PLATES = cases("schedule", "first_plate", 3)
DATES = st.dates(date(1990, 1, 1), date(2090, 12, 31))
MONTHS = st.sampled_from([1, 2, 3, 6, 12, 24, 36, 48])


def day(text: str) -> date:
    return date.fromisoformat(text)


def plate(text: str) -> date:
    """The last day of a month given as on a plate."""
    year, month = map(int, text.split("-"))
    return date(year, month, calendar.monthrange(year, month)[1])


def by_start(case: Case) -> str:
    return f"{case.get('done') or case['anchor']}+{case['months']}"


@pytest.mark.parametrize("case", DAYS, ids=by_start)
def test_the_day_rule(case: Case) -> None:
    assert days_date(day(case["done"]), case["months"]) == day(case["next"])


@pytest.mark.parametrize("months", [0, 2, 24])
def test_the_day_rule_has_four_intervals_and_no_other(months: int) -> None:
    with pytest.raises(InputError, match=f"no interval of {months} months"):
        days_date(date(2025, 1, 31), months)


@pytest.mark.parametrize("case", CALENDAR, ids=by_start)
def test_the_calendar_rule(case: Case) -> None:
    assert calendar_date(day(case["anchor"]), case["months"]) == day(case["next"])


@pytest.mark.parametrize("case", ANCHORED, ids=lambda case: case["count"])
def test_dates_are_counted_from_the_anchor_and_never_chained(case: Case) -> None:
    anchor = date(2025, 1, 31)
    assert calendar_date(anchor, case["count"]) == day(case["anchored"])
    chained = anchor
    for _ in range(case["count"]):
        chained = calendar_date(chained, 1)
    assert chained == day(case["chained"])


@given(DATES, st.integers(1, 120))
def test_the_calendar_rule_is_dateutils_and_keeps_the_day_or_the_months_end(start: date, months: int) -> None:
    found = calendar_date(start, months)
    assert found == start + relativedelta(months=months)
    # The same law by counting months alone, without dateutil.
    year, month = divmod(start.year * 12 + start.month - 1 + months, 12)
    assert (found.year, found.month) == (year, month + 1)
    assert found.day == min(start.day, calendar.monthrange(year, month + 1)[1])


@pytest.mark.parametrize("case", PLATES, ids=lambda case: case["done"])
def test_the_month_plate_rule(case: Case) -> None:
    due, done = plate(case["due"]), day(case["done"])
    assert (done <= last_day_in_time(due, DateRule.MONTH_PLATE)) is case["in_time"]
    assert plate_date(done, due, case["months"]) == plate(case["next"])


@pytest.mark.parametrize("case", FIRST_PLATES, ids=lambda case: case["done"])
def test_the_first_plate_runs_to_the_end_of_its_month(case: Case) -> None:
    assert plate_date(day(case["done"]), None, case["months"]) == day(case["next_day"])


@pytest.mark.parametrize(
    ("done", "following"),
    [
        ("2025-05-31", "2026-05"),  # a day before the due month: it starts there
        ("2025-06-01", "2026-06"),
        ("2025-06-30", "2026-06"),
        ("2025-07-01", "2026-06"),
        ("2026-05-31", "2026-06"),
        # A whole interval late and more: the old month is kept, and the next one lies ahead.
        ("2026-06-01", "2027-06"),
        ("2026-09-30", "2027-06"),
        ("2029-01-15", "2029-06"),
    ],
)
def test_the_due_month_is_kept_unless_done_in_an_earlier_one(done: str, following: str) -> None:
    assert plate_date(day(done), plate("2025-06"), 12) == plate(following)


@pytest.mark.parametrize(
    ("months", "done", "following"),
    [
        (24, "2025-05-31", "2027-05"),  # two years exactly: not over two years
        (48, "2025-06-15", "2029-06"),
        (48, "2025-04-01", "2029-06"),  # two months before June
        (48, "2025-03-31", "2029-03"),  # more than two months early
    ],
)
def test_intervals_over_two_years_move_only_if_done_over_two_months_early(
    months: int, done: str, following: str
) -> None:
    # BetrSichV 14(5), predecessor 15(18): published for the rule, 'two months' counted in whole months as
    # the grace is.
    assert plate_date(day(done), plate("2025-06"), months) == plate(following)


def test_out_of_service_when_due_the_period_starts_with_the_inspection() -> None:
    # TRBS 1201, 6.1(4): published.
    assert plate_date(date(2025, 11, 3), plate("2025-06"), 12, out_of_service=True) == plate("2026-11")


@pytest.mark.parametrize("months", [0, -12])
def test_an_interval_without_length_is_refused(months: int) -> None:
    with pytest.raises(InputError, match="at least one month"):
        plate_date(date(2025, 6, 1), None, months)


@pytest.mark.parametrize("rule", [DateRule.CALENDAR, DateRule.DAYS])
def test_the_anniversary_day_itself_is_the_last_in_time(rule: DateRule) -> None:
    assert last_day_in_time(date(2025, 5, 10), rule) == date(2025, 5, 10)


def test_two_months_grace_end_with_the_month() -> None:
    assert last_day_in_time(date(2025, 12, 31), DateRule.MONTH_PLATE) == date(2026, 2, 28)
    assert month_end(date(2024, 2, 1)) == date(2024, 2, 29)


@given(DATES, MONTHS)
def test_a_plates_month_is_never_later_than_that_of_the_strict_date(done: date, months: int) -> None:
    strict, plated = calendar_date(done, months), plate_date(done, None, months)
    assert (plated.year, plated.month) == (strict.year, strict.month)
