"""Folding keeps hours, idle times, conditions, unused links and findings in words, and what ends them."""

from datetime import date

from fieldlog.domain.criteria import Verdict
from fieldlog.domain.functions import CRITERION
from fieldlog.domain.history import measured, undecided
from fieldlog.domain.load_test import LOAD_TEST
from fieldlog.domain.logbook import fold
from fieldlog.domain.records import (
    DefectGrade,
    ExpertConditions,
    HoursLogged,
    LoadTest,
    Mending,
    SetIdle,
    UnusedLinks,
)
from fieldlog.domain.verdict import Fitness, fitness_on, missing_for_return, summarise
from tests.domain.build import D, defect, finding, hoist, inspection, rulebook, sealed

DAY = date(2026, 3, 1)
BRAKE = "Brake holds, no drift"


def in_words(verdict: Verdict) -> object:
    return finding(verdict, BRAKE, criterion=f"{CRITERION}brake")


def test_what_tells_of_use_is_kept_in_the_order_of_its_days() -> None:
    later = HoursLogged(done_on=date(2026, 2, 1), hours=D(20), total=True)
    earlier = HoursLogged(done_on=date(2026, 1, 1), hours=D(10), total=True)
    idle = SetIdle(from_on=DAY, why="winter")
    expert = ExpertConditions(done_on=DAY, by_whom="Dr. Reedmace", conditions="half the rating")
    history = fold(sealed(hoist(), later, earlier, idle, expert))
    assert history.hours == (earlier, later)
    assert (history.idle, history.conditions) == ((idle,), (expert,))
    assert history.problems == ()


def test_a_counter_that_runs_backwards_is_a_problem_of_the_logbook() -> None:
    bodies = (
        HoursLogged(done_on=date(2026, 1, 1), hours=D(10), total=True),
        HoursLogged(done_on=date(2026, 2, 1), hours=D(9), total=True),
    )
    (problem,) = fold(sealed(hoist(), *bodies)).problems
    assert problem.place == "hours"


def test_unused_links_measured_once_serve_until_the_chain_is_changed() -> None:
    measured_now = inspection(DAY, unused=UnusedLinks(links=11, length_mm=D("165.2")))
    chain = fold(sealed(hoist(), measured_now, inspection(date(2026, 4, 1)))).chain
    assert chain is not None
    assert chain.unused is not None
    assert chain.unused.length_mm == D("165.2")


def test_a_failed_function_is_stopped_by_its_defect_and_forgotten_once_mended() -> None:
    found = inspection(DAY, findings=(in_words(Verdict.DISCARD),), defects=(defect(),))
    history = fold(sealed(hoist(), found))
    assert [stop.reason for stop in history.stops] == ["D1: brake slips"]
    assert list(history.findings) == [BRAKE]
    mended = Mending(done_on=DAY, defects=("D1",), work="new lining", checked_by="Ada Fenn")
    assert fold(sealed(hoist(), found, mended)).findings == {}


def test_it_is_remembered_while_another_defect_of_the_item_is_open() -> None:
    both = (defect(), defect(DefectGrade.WATCH, "D2"))
    found = inspection(DAY, findings=(in_words(Verdict.DISCARD),), defects=both)
    mended = Mending(done_on=DAY, defects=("D1",), work="new lining", checked_by="Ada Fenn")
    assert list(fold(sealed(hoist(), found, mended)).findings) == [BRAKE]


def test_findings_in_words_are_no_figures_and_are_not_told_twice() -> None:
    found = inspection(DAY, findings=(in_words(Verdict.UNDECIDED),))
    history = fold(sealed(hoist(), found))
    assert (measured(history), undecided(history)) == ((), ())


def test_a_load_test_leaves_its_finding_and_the_next_one_takes_its_place() -> None:
    failed = LoadTest(
        done_on=DAY,
        required_kg=D(625),
        reached_kg=D(625),
        passed=False,
        findings=(finding(Verdict.DISCARD, LOAD_TEST),),
    )
    history = fold(sealed(hoist(), failed))
    assert history.findings[LOAD_TEST].verdict is Verdict.DISCARD
    missing = missing_for_return(history, rulebook(), guards_on_tools_out=True)
    assert missing == ("parts of the load path were changed: a load test is missing",)
    passed = LoadTest(
        done_on=DAY,
        required_kg=D(625),
        reached_kg=D(625),
        passed=True,
        findings=(finding(Verdict.KEEP, LOAD_TEST),),
    )
    again = fold(sealed(hoist(), failed, passed))
    assert again.findings[LOAD_TEST].verdict is Verdict.KEEP
    assert len(again.load_tests) == 2
    assert fitness_on(summarise(again, rulebook()), DAY).fitness is Fitness.OUT_OF_SERVICE
