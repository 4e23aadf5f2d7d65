"""Struck records do not count, and records are read by the day of the work."""

from datetime import date

from hypothesis import given
from hypothesis import strategies as st

from fieldlog.domain.corrections import by_day, strike_problems, struck_lines
from fieldlog.domain.records import Body, ShopSettings, StruckOut, Withdrawal
from tests.domain.build import hoist, inspection, line_of, sealed, strike


def test_a_strike_names_its_line_and_why() -> None:
    entries = sealed(hoist(), inspection(date(2025, 2, 1)), strike(2))
    assert struck_lines(entries) == {line_of(2): "typed for the wrong hoist"}


def test_a_strike_that_was_struck_out_itself_does_not_count() -> None:
    entries = sealed(hoist(), inspection(date(2025, 2, 1)), strike(2), strike(3))
    assert struck_lines(entries) == {line_of(3): "typed for the wrong hoist"}
    again = sealed(hoist(), inspection(date(2025, 2, 1)), strike(2), strike(3), strike(4))
    assert set(struck_lines(again)) == {line_of(2), line_of(4)}


def test_a_strike_of_a_line_that_is_not_there_is_a_problem_with_its_place() -> None:
    entries = sealed(hoist(), strike(1), StruckOut(line="f" * 64, why="?"))
    (problem,) = strike_problems(entries)
    assert problem.place == "line 3"
    assert "does not hold" in problem.wrong


def test_records_are_read_by_the_day_of_the_work() -> None:
    entries = sealed(hoist(), inspection(date(2025, 6, 1)), inspection(date(2025, 2, 1)))
    assert [entry.number for entry in by_day(entries)] == [1, 3, 2]


def test_those_of_one_day_are_read_as_sealed() -> None:
    day = date(2025, 6, 1)
    entries = sealed(hoist(), inspection(day), Withdrawal(done_on=day, reason="a"), inspection(day))
    assert [entry.number for entry in by_day(entries)] == [1, 2, 3, 4]


def test_the_first_registration_comes_before_all_and_a_later_one_on_its_day() -> None:
    # Earlier history may be brought in after the hoist was registered here.
    entries = sealed(
        hoist(registered_on=date(2026, 1, 5)),
        inspection(date(2025, 2, 1)),
        inspection(date(2026, 6, 1)),
        hoist(registered_on=date(2026, 3, 1), site="workshop"),
    )
    assert [entry.number for entry in by_day(entries)] == [1, 2, 4, 3]


def test_a_record_without_a_day_of_work_stands_by_the_day_it_was_sealed() -> None:
    settings = ShopSettings(shop="Saltmarsh", prefix="SW", rulebook="general")
    entries = sealed(settings, inspection(date(2025, 12, 31)), inspection(date(2026, 1, 2)))
    assert [entry.number for entry in by_day(entries)] == [2, 1, 3]


BODIES: st.SearchStrategy[Body] = st.builds(inspection, st.dates(date(2025, 1, 1), date(2025, 12, 31)))


@given(st.lists(BODIES, max_size=8))
def test_reading_by_day_loses_and_adds_nothing_and_is_stable(bodies: list[Body]) -> None:
    entries = sealed(hoist(), *bodies)
    ordered = by_day(entries)
    assert sorted(ordered, key=lambda entry: entry.number) == list(entries)
    assert by_day(ordered) == ordered
