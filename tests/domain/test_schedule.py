"""The next date by interval and rule, and the interval that a hoist has."""

from datetime import date, timedelta
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fieldlog.domain.due_dates import month_end
from fieldlog.domain.records import InspectionKind, ServiceClass
from fieldlog.domain.rules import DateRule
from fieldlog.domain.schedule import interval_for, interval_words, next_date
from fieldlog.errors import InputError
from tests.domain.build import hoist, interval, rulebook

PERIODIC, FREQUENT = InspectionKind.PERIODIC, InspectionKind.FREQUENT
DATES = st.dates(date(1990, 1, 1), date(2090, 12, 31))
MONTHS = st.sampled_from([1, 2, 3, 6, 12, 24, 36, 48])


@pytest.mark.parametrize("rule", list(DateRule))
def test_an_interval_of_neither_months_nor_days_is_refused(rule: DateRule) -> None:
    with pytest.raises(InputError, match="neither months nor days"):
        next_date(date(2025, 6, 1), interval(PERIODIC), rule)


@given(DATES, MONTHS, st.one_of(st.none(), DATES), st.booleans())
def test_the_next_due_day_is_after_the_anchor(
    done: date, months: int, due: date | None, stopped: bool
) -> None:
    every = interval(PERIODIC, months=months)
    plated = next_date(done, every, DateRule.MONTH_PLATE, due, out_of_service=stopped)
    assert plated > done
    assert plated == month_end(plated)
    assert next_date(done, every, DateRule.CALENDAR, due) > done
    if months in (1, 3, 6, 12):
        assert next_date(done, every, DateRule.DAYS, due) > done


@given(DATES, st.integers(1, 400), st.sampled_from(list(DateRule)))
def test_an_interval_in_days_is_days_under_every_rule(done: date, days: int, rule: DateRule) -> None:
    assert next_date(done, interval(FREQUENT, days=days), rule) == done + timedelta(days=days)


@pytest.mark.parametrize(
    ("service", "months"), [(ServiceClass.NORMAL, 12), (ServiceClass.HEAVY, 6), (ServiceClass.SEVERE, 3)]
)
def test_the_interval_goes_by_service_class(service: ServiceClass, months: int) -> None:
    # DOE-STD-1090-96, 8.2: normal yearly, heavy semi-annually, severe quarterly (published).
    rules = rulebook(
        intervals=(
            interval(PERIODIC, ServiceClass.NORMAL, months=12),
            interval(PERIODIC, ServiceClass.HEAVY, months=6),
            interval(PERIODIC, ServiceClass.SEVERE, months=3),
        )
    )
    found = interval_for(hoist(service=service), PERIODIC, rules)
    assert found is not None
    assert found.months == months
    assert interval_for(hoist(service=service), FREQUENT, rules) is None


def test_lifting_persons_has_an_interval_of_its_own() -> None:
    # LOLER reg. 9: 6 months for lifting persons, else 12 (published).
    rules = rulebook(
        intervals=(interval(PERIODIC, months=12), interval(PERIODIC, months=6, lifts_persons=True))
    )
    found = [interval_for(hoist(lifts_persons=persons), PERIODIC, rules) for persons in (False, True)]
    assert [each and each.months for each in found] == [12, 6]


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"months": 1}, "every month"),
        ({"months": 12}, "every 12 months"),
        ({"days": 1}, "every day"),
        ({"days": 7}, "every 7 days"),
    ],
)
def test_an_interval_in_words(changes: dict[str, Any], words: str) -> None:
    assert interval_words(interval(FREQUENT, **changes)) == words
