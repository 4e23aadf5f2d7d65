"""The used share of the design life from logged hours, and the stop at its end until conditions are set."""

from datetime import date
from typing import Any

import pytest

from fieldlog.domain.criteria import Certainty, Source
from fieldlog.domain.logbook import History, fold
from fieldlog.domain.records import Body, Drive, ExpertConditions, HoursLogged, InspectionKind
from fieldlog.domain.rules import LifeFactor, MechanismGroup, SpectrumClass
from fieldlog.domain.service_life import life_conditions, life_of, life_stops, share_words, used_up
from fieldlog.domain.verdict import Fitness, fitness_on, missing_for_return, sticker_refusals, summarise
from tests.domain.build import D, hoist, inspection, rulebook, sealed

FEM = Source(id="fem", title="FEM 9.755", clause="table 1", certainty=Certainty.MEMORY)
ISO = Source(id="iso", title="ISO 12482:2014", clause="table 1", certainty=Certainty.PUBLISHED)
# D of M3 (1Bm) 400 h: FEM 9.755 table 1 (from memory); classes by cubic means FEM 9.511; f ISO 12482:2014.
BOOK = rulebook(
    groups=(MechanismGroup(id="M3", fem="1Bm", full_load_hours=D(400), source=FEM),),
    spectra=(
        SpectrumClass(id="L1", title="light", k_up_to=D("0.5"), km_up_to=D("0.125"), source=FEM),
        SpectrumClass(id="L3", title="heavy", k_up_to=D("0.8"), km_up_to=D("0.5"), source=FEM),
    ),
    life_factors=(
        LifeFactor(id="recorded", factor=D("1.0"), says="counted", source=ISO),
        LifeFactor(id="unknown", factor=D("1.5"), says="not known", source=ISO),
    ),
)
DAY = date(2026, 6, 1)


def run(hours: str, day: date = DAY, **changes: Any) -> HoursLogged:
    values = {"spectrum": "L1", "factor": "recorded"} | changes
    return HoursLogged(done_on=day, hours=D(hours), **values)


def history(*bodies: Body, **plate: Any) -> History:
    first = inspection(date(2025, 1, 20), InspectionKind.FIRST_USE)
    return fold(sealed(hoist(**({"group": "1Bm"} | plate)), first, *bodies))


def conditions(**changes: Any) -> ExpertConditions:
    values = {"done_on": date(2026, 6, 10), "by_whom": "Dr. Reedmace", "conditions": "half the rating"}
    return ExpertConditions(**(values | changes))


def test_the_class_table_of_the_groups_holds() -> None:
    # FEM class table: 3200 h (T4) in the light spectrum (L1) is the whole life of 1Bm.
    life = life_of(history(run("3200")), BOOK)
    assert life is not None
    assert (life.share.used_h, life.share.share_pct, life.used_up_on) == (D(400), D(100), DAY)
    assert share_words(life) == "100.0 % of the design life of M3 (1Bm)"


@pytest.mark.parametrize(
    ("changes", "used"),
    [
        ({"km": D("0.25")}, "25"),
        ({"spectrum": "L3"}, "50"),
        ({"spectrum": ""}, "100"),
        ({"factor": "unknown"}, "18.75"),
        ({"factor": ""}, "18.75"),
        ({"factor": "told by an older edition"}, "18.75"),
    ],
)
def test_what_is_not_told_of_loads_and_hours_is_taken_at_its_worst(
    changes: dict[str, Any], used: str
) -> None:
    life = life_of(history(run("100", **changes)), BOOK)
    assert life is not None
    assert life.share.used_h == D(used)


@pytest.mark.parametrize("plate", [{"drive": Drive.HAND}, {"group": ""}, {"group": "M99"}])
def test_without_group_or_on_a_hand_hoist_no_share_is_worked_out(plate: dict[str, Any]) -> None:
    assert life_of(history(run("3200"), **plate), BOOK) is None
    assert life_of(history(), BOOK) is None


@pytest.mark.parametrize(("hours", "stopped"), [("3199", False), ("3200", True), ("3201", True)])
def test_at_a_share_of_one_it_is_out_of_service(hours: str, stopped: bool) -> None:
    held = history(run(hours))
    summary = summarise(held, BOOK)
    before = fitness_on(summary, date(2026, 5, 31)).fitness
    after = fitness_on(summary, DAY)
    assert before is Fitness.IN_SERVICE
    assert (after.fitness is Fitness.OUT_OF_SERVICE) is stopped
    assert bool(used_up(held, BOOK)) is stopped
    assert bool(sticker_refusals(held, BOOK)) is stopped
    assert bool(missing_for_return(held, BOOK, guards_on_tools_out=True)) is stopped
    assert summary.life_pct == {"3199": D("99.9"), "3200": D("100.0"), "3201": D("100.0")}[hours]


def test_the_day_is_that_of_the_log_with_which_all_was_used() -> None:
    life = life_of(history(run("3000", date(2026, 2, 1)), run("300", DAY), run("10", date(2026, 7, 1))), BOOK)
    assert life is not None
    assert life.used_up_on == DAY


def test_an_experts_conditions_let_it_run_on_limited() -> None:
    held = history(run("3300"), conditions())
    standing = fitness_on(summarise(held, BOOK), date(2027, 6, 1))
    assert standing.fitness is Fitness.LIMITED
    assert standing.reasons == (
        "past its design life, runs on by conditions of Dr. Reedmace: half the rating",
    )
    assert (used_up(held, BOOK), life_stops(held, BOOK)) == ((), ())


@pytest.mark.parametrize(
    ("day", "fitness"),
    [
        (date(2026, 12, 31), Fitness.LIMITED),
        (date(2027, 1, 1), Fitness.OUT_OF_SERVICE),
    ],
)
def test_conditions_end_with_their_last_day(day: date, fitness: Fitness) -> None:
    held = history(run("3300"), conditions(until=date(2026, 12, 31)))
    assert fitness_on(summarise(held, BOOK), day).fitness is fitness


def test_conditions_before_the_end_say_nothing_yet() -> None:
    assert life_conditions(history(run("10"), conditions()), BOOK) == ()
