"""What is due next for a hoist, counted from what was done, with the reason."""

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fieldlog.domain.due_dates import COUNTS_FOR, SCHEDULED
from fieldlog.domain.records import InspectionKind
from fieldlog.domain.rules import DateRule
from fieldlog.domain.schedule import Due, dues
from tests.domain.build import hoist, interval, rulebook

FIRST = InspectionKind.FIRST_USE
PERIODIC, FREQUENT = InspectionKind.PERIODIC, InspectionKind.FREQUENT
Done = list[tuple[InspectionKind, date]]


def by_kind(done: Done, **changes: object) -> dict[InspectionKind, Due]:
    moved_on = changes.pop("moved_on", None)
    found = dues(hoist(), rulebook(**changes), done, moved_on=moved_on)  # type: ignore[arg-type]
    return {due.inspection: due for due in found}


@pytest.mark.parametrize(
    "done",
    [
        [],
        [(FREQUENT, date(2025, 2, 1))],
        [(InspectionKind.PRE_USE, date(2025, 2, 1)), (InspectionKind.AFTER_REPAIR, date(2025, 2, 2))],
    ],
)
def test_until_it_was_inspected_first_only_that_is_due(done: Done) -> None:
    found = by_kind(done)
    assert list(found) == [FIRST]
    assert found[FIRST].due_on == date(2025, 1, 10)


@pytest.mark.parametrize("kind", [FIRST, PERIODIC, InspectionKind.AFTER_MOVE])
def test_an_inspection_as_full_as_the_first_counts_as_it(kind: InspectionKind) -> None:
    found = by_kind([(kind, date(2025, 1, 31))])
    assert {name: due.due_on for name, due in found.items()} == {
        FREQUENT: date(2025, 2, 28),
        PERIODIC: date(2026, 1, 31),
    }


def test_a_fuller_inspection_counts_for_the_frequent_one_and_not_the_other_way() -> None:
    found = by_kind([(FIRST, date(2025, 1, 31)), (FREQUENT, date(2025, 2, 20))])
    assert (found[FREQUENT].anchor, found[FREQUENT].due_on) == (date(2025, 2, 20), date(2025, 3, 20))
    assert (found[PERIODIC].anchor, found[PERIODIC].due_on) == (date(2025, 1, 31), date(2026, 1, 31))


def test_a_due_date_says_its_rule_and_source() -> None:
    due = by_kind([(FIRST, date(2025, 1, 31))])[PERIODIC]
    assert due.rule == "every 12 months, calendar rule, from 2025-01-31"
    assert due.source == "DOE-STD-1090-96, Rev. 1, ch. 8"


def test_plates_follow_from_visit_to_visit() -> None:
    # Vectors of BetrSichV 14(5) in a row: first 2024-06, late in 2025-08 keeps June, early in 2026-05 moves.
    done = [(FIRST, date(2024, 6, 12)), (PERIODIC, date(2025, 8, 31))]
    rules = {"date_rule": DateRule.MONTH_PLATE, "intervals": (interval(PERIODIC, months=12),)}
    assert by_kind(done, **rules)[PERIODIC].due_on == date(2026, 6, 30)
    done.append((PERIODIC, date(2026, 5, 10)))
    assert by_kind(done, **rules)[PERIODIC].due_on == date(2027, 5, 31)


def test_a_move_asks_for_an_inspection_until_it_was_done() -> None:
    move = InspectionKind.AFTER_MOVE
    done: Done = [(FIRST, date(2025, 1, 31))]
    found = by_kind(done, moved_on=date(2025, 4, 1))
    assert found[move].due_on == date(2025, 4, 1)
    assert set(found) == {move, FREQUENT, PERIODIC}
    before = by_kind([*done, (move, date(2025, 3, 31))], moved_on=date(2025, 4, 1))
    on_the_day = by_kind([*done, (move, date(2025, 4, 1))], moved_on=date(2025, 4, 1))
    assert move in before
    assert move not in on_the_day


def test_a_kind_without_an_interval_is_not_due() -> None:
    assert by_kind([(FIRST, date(2025, 1, 31))], intervals=()) == {}


VISITS = st.lists(
    st.tuples(st.sampled_from(list(InspectionKind)), st.dates(date(2020, 1, 1), date(2030, 12, 31))),
    max_size=6,
)


@given(VISITS, st.sampled_from(list(DateRule)))
def test_what_is_scheduled_is_due_after_its_anchor(visits: Done, rule: DateRule) -> None:
    visits.sort(key=lambda visit: visit[1])
    for due in dues(hoist(), rulebook(date_rule=rule), visits):
        if due.inspection in SCHEDULED:
            counted = [when for what, when in visits if what in COUNTS_FOR[due.inspection]]
            assert due.anchor == counted[-1]
            assert due.due_on > due.anchor
