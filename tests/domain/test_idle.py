"""Which inspection ends a time out of use: below, at and past a month and six (29 CFR 1910.179(j)(4))."""

from datetime import date

import pytest

from fieldlog.domain.criteria import Certainty, Source
from fieldlog.domain.idle import idle_begins, idle_left, idle_words
from fieldlog.domain.records import InspectionKind, SetIdle
from fieldlog.domain.rules import IdleRule
from tests.domain.build import rulebook

FIRST, FREQUENT, PERIODIC = InspectionKind.FIRST_USE, InspectionKind.FREQUENT, InspectionKind.PERIODIC
EVENT = InspectionKind.AFTER_EVENT
OSHA = Source(id="idle", title="29 CFR 1910.179", clause="(j)(4)", certainty=Certainty.PUBLISHED)
ONE = IdleRule(id="one", months=1, inspection=FREQUENT, source=OSHA)
SIX = IdleRule(id="six", months=6, inspection=PERIODIC, source=OSHA)
BOOK = rulebook(idle=(ONE, SIX))
WAS_FIRST = [(FIRST, date(2026, 1, 10))]
START = date(2026, 2, 1)


def idle(until: date | None = None) -> SetIdle:
    return SetIdle(from_on=START, why="winter", until_on=until)


# From 2026-02-01: a month is over on 2026-03-01, six months on 2026-08-01.
@pytest.mark.parametrize(
    ("kind", "day", "left"),
    [
        (FREQUENT, date(2026, 1, 31), {FREQUENT, PERIODIC}),
        (FREQUENT, date(2026, 2, 1), set()),
        (FREQUENT, date(2026, 3, 1), set()),
        (FREQUENT, date(2026, 7, 31), set()),
        (FREQUENT, date(2026, 8, 1), {PERIODIC}),
        (PERIODIC, date(2026, 8, 1), set()),
        (EVENT, date(2026, 8, 1), set()),
        (InspectionKind.PRE_USE, date(2026, 3, 1), {FREQUENT, PERIODIC}),
    ],
)
def test_which_inspection_ends_a_time_out_of_use(
    kind: InspectionKind, day: date, left: set[InspectionKind]
) -> None:
    found = idle_left((idle(),), [*WAS_FIRST, (kind, day)], BOOK)
    assert {rule.inspection for _, rules in found for rule in rules} == left


@pytest.mark.parametrize(
    ("until", "left"),
    [
        (date(2026, 2, 28), set()),
        (date(2026, 3, 1), {FREQUENT}),
        (date(2026, 7, 31), {FREQUENT}),
        (date(2026, 8, 1), {FREQUENT, PERIODIC}),
    ],
)
def test_a_rest_that_is_over_asks_only_for_what_its_length_asks(
    until: date, left: set[InspectionKind]
) -> None:
    found = idle_left((idle(until),), WAS_FIRST, BOOK)
    assert {rule.inspection for _, rules in found for rule in rules} == left


@pytest.mark.parametrize(
    ("until", "begins"), [(None, True), (date(2026, 2, 28), False), (date(2026, 3, 1), True)]
)
def test_a_rest_that_ends_before_the_rule_s_month_is_over_asks_for_nothing(
    until: date | None, begins: bool
) -> None:
    assert idle_begins(idle(until), ONE) == (date(2026, 3, 1) if begins else None)


def test_in_words_each_inspection_stands_with_the_day_from_which_it_is_asked_for() -> None:
    assert idle_words(idle(), (ONE, SIX)) == (
        "out of use since 2026-02-01 (winter): before use from 2026-03-01 on a frequent inspection,"
        " from 2026-08-01 on a periodic inspection"
    )
