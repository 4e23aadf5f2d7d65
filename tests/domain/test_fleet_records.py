"""Proves what records of a fleet do to a history: paper never counts, retirement stops, notices stay."""

from datetime import date
from decimal import Decimal

from fieldlog.domain.logbook import fold
from fieldlog.domain.records import (
    ChainReading,
    InspectionKind,
    Notice,
    Retired,
    ReturnToService,
    TakenOver,
)
from fieldlog.domain.verdict import Fitness, fitness_on, summarise
from tests.domain.build import hoist, rulebook, sealed

DAY = date(2026, 3, 1)


def test_paper_changes_nothing_that_is_worked_out():
    reading = ChainReading(place="hook", links=11, value_mm=Decimal("167.4"))
    paper = TakenOver(source="book 4", done_on=DAY, occasion=InspectionKind.PERIODIC, reading=reading)
    with_it, without = fold(sealed(hoist(), paper)), fold(sealed(hoist()))
    assert (with_it.inspections, with_it.last_readings, with_it.findings) == ((), (), {})
    assert summarise(with_it, rulebook()).dues == summarise(without, rulebook()).dues


def test_a_retired_hoist_is_out_of_service_from_that_day_and_nothing_is_due():
    history = fold(sealed(hoist(), Retired(done_on=DAY, why="scrapped")))
    summary = summarise(history, rulebook())
    assert (summary.retired_on, summary.dues) == (DAY, ())
    assert "retired: scrapped" in fitness_on(summary, DAY).reasons
    assert "retired: scrapped" not in fitness_on(summary, date(2026, 2, 28)).reasons


def test_no_return_to_service_lifts_a_retirement_but_a_new_registration_does():
    back = ReturnToService(done_on=date(2026, 4, 1), guards_on_tools_out=True)
    retired = Retired(done_on=DAY, why="spare")
    history = fold(sealed(hoist(), retired, back))
    assert fitness_on(summarise(history, rulebook()), back.done_on).fitness is Fitness.OUT_OF_SERVICE
    again = fold(sealed(hoist(), retired, hoist(site="workshop", registered_on=date(2026, 5, 1))))
    assert again.retired is None
    assert again.moved_on == date(2026, 5, 1)


def test_a_hoist_is_known_here_since_its_first_registration():
    history = fold(sealed(hoist(), hoist(site="workshop", registered_on=DAY)))
    assert history.hoist == hoist(site="workshop")


def test_notices_stand_in_the_order_of_their_days():
    later = Notice(done_on=date(2026, 3, 2), defects=("D1",), whom="Mor", how="by letter")
    first = Notice(done_on=DAY, defects=("D1",), whom="Quill", how="on the spot")
    assert [body for _, body in fold(sealed(hoist(), later, first)).notices] == [first, later]
