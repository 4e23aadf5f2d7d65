"""Running hours, idle times and an expert's conditions: what is asked, what is refused, and what follows."""

from datetime import date
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest

from fieldlog.domain.records import Entry, ExpertConditions, HoursLogged, InspectionKind, SetIdle
from fieldlog.domain.schedule import DueBy
from fieldlog.domain.verdict import Fitness
from fieldlog.errors import IncompleteError, RefusedError
from fieldlog.operations.due import in_time_until
from fieldlog.operations.hoist_page import hoist_page, says
from fieldlog.operations.shop import Shop, open_hoist
from fieldlog.operations.use_forms import (
    expert_fields,
    hours_fields,
    idle_fields,
    log_hours,
    record_conditions,
    set_idle,
)
from tests.operations.builder import ADA, BEN, NOW, TODAY, inspect, ready_shop, register, with_ben

HOURS = {"hours": "100", "as": "counter", "spectrum": "L1", "factor": "recorded"}
IDLE = {"from_on": "2026-11-20", "why": "winter stop"}
EXPERT = {"by_whom": "Dr. Reedmace", "conditions": "half the rating", "until": "2027-06-30"}
VERBS: dict[str, tuple[Any, dict[str, str]]] = {
    "hours": (log_hours, HOURS),
    "idle": (set_idle, IDLE),
    "expert": (record_conditions, EXPERT),
}


@pytest.fixture
def shop(tmp_path: Path) -> Shop:
    return ready_shop(tmp_path)


@pytest.fixture
def tag(shop: Shop) -> str:
    """A hoist of group M3 (400 full-load hours: FEM 9.755, from memory) in service since 2026-11-01."""
    hoist = register(shop, day=date(2026, 11, 1), group="M3")
    inspect(shop, hoist.id, day=date(2026, 11, 1))
    return hoist.id


def do(verb: str, shop: Shop, tag: str, **changes: str) -> Entry:
    act, texts = VERBS[verb]
    entry: Entry = act(shop, tag, texts | changes, by=ADA, now=NOW, today=TODAY)
    return entry


def places(verb: str, shop: Shop, tag: str, **changes: str) -> list[str]:
    before = shop.logbooks.read(tag).head
    with pytest.raises(IncompleteError) as error:
        do(verb, shop, tag, **changes)
    assert shop.logbooks.read(tag).head == before
    return [problem.place for problem in error.value.problems]


@pytest.mark.parametrize("verb", VERBS)
def test_only_who_may_seal_may_do_it(shop: Shop, tag: str, verb: str) -> None:
    with_ben(shop, may_seal=False)
    act, texts = VERBS[verb]
    with pytest.raises(RefusedError):
        act(shop, tag, texts, by=BEN, now=NOW, today=TODAY)


def test_hours_are_recorded_as_typed(shop: Shop, tag: str) -> None:
    entry = do("hours", shop, tag, hours="1234,5", km="0.2", remark="read at the panel")
    assert entry.body == HoursLogged(
        done_on=TODAY,
        hours=Decimal("1234.5"),
        total=True,
        km=Decimal("0.2"),
        spectrum="L1",
        factor="recorded",
        remark="read at the panel",
    )
    assert says(entry.body) == "counter reads 1234.5 h"


@pytest.mark.parametrize(
    ("changes", "wrong"),
    [
        ({"hours": "-1"}, ["Running hours"]),
        ({"hours": "many"}, ["Running hours"]),
        ({"spectrum": ""}, ["Load spectrum"]),
        ({"factor": ""}, ["How known"]),
        ({"factor": "guessed"}, ["How known"]),
        ({"spectrum": "", "km": "0"}, ["or km worked out"]),
        ({"spectrum": "", "km": "1.01"}, ["or km worked out"]),
        ({"as": "period", "since": "2026-11-25"}, ["Period since"]),
        ({"as": "period", "since": "2026-11-24", "hours": "24.1"}, ["Running hours"]),
        ({"done_on": "2026-11-26"}, ["Day"]),
    ],
)
def test_hours_that_can_not_be(shop: Shop, tag: str, changes: dict[str, str], wrong: list[str]) -> None:
    assert places("hours", shop, tag, **changes) == wrong


def test_a_counter_that_runs_backwards_is_refused_unless_it_is_new(shop: Shop, tag: str) -> None:
    do("hours", shop, tag, done_on="2026-11-20")
    assert places("hours", shop, tag, hours="99.9") == ["Running hours"]
    do("hours", shop, tag, hours="3", new_counter="yes")
    assert hoist_page(shop, tag, TODAY).problem == ""


def test_the_last_answers_are_proposed(shop: Shop, tag: str) -> None:
    do("hours", shop, tag, **{"as": "period", "spectrum": "L2", "factor": "estimated"})
    proposed = {field.name: field.default for field in hours_fields(open_hoist(shop, tag), TODAY)}
    assert (proposed["as"], proposed["spectrum"], proposed["factor"]) == ("period", "L2", "estimated")


def test_hours_bring_the_due_date_forward_without_grace(shop: Shop, tag: str) -> None:
    # 96 h in 24 days are 4 h a day; the 100 h of the frequent one (Michigan R 408.11872) are run a day later
    do("hours", shop, tag, hours="96", **{"as": "period"})
    page = hoist_page(shop, tag, TODAY)
    due = next(due for due in page.summary.dues if due.inspection is InspectionKind.FREQUENT)
    assert (due.due_on, due.by) == (date(2026, 11, 26), DueBy.HOURS)
    assert in_time_until(due, open_hoist(shop, tag).rulebook) == due.due_on


@pytest.mark.parametrize(
    ("hours", "percent", "fitness"),
    [
        ("3199", "99.9", Fitness.IN_SERVICE),
        ("3200", "100.0", Fitness.OUT_OF_SERVICE),
        ("1600", "50.0", Fitness.IN_SERVICE),
    ],
)
def test_at_the_end_of_the_design_life_it_stops(
    shop: Shop, tag: str, hours: str, percent: str, fitness: Fitness
) -> None:
    # 3200 h in the light spectrum are the 400 full-load hours of M3 (FEM class table, published)
    do("hours", shop, tag, hours=hours)
    page = hoist_page(shop, tag, TODAY)
    assert str(page.summary.life_pct) == percent
    assert page.standing.fitness is fitness
    assert page.life_words == f"{percent} % of the design life of M3 (1Bm)"


def test_conditions_let_it_run_on_until_their_last_day(shop: Shop, tag: str) -> None:
    do("hours", shop, tag, hours="4000")
    entry = do("expert", shop, tag)
    assert entry.body == ExpertConditions(
        done_on=TODAY,
        by_whom="Dr. Reedmace",
        conditions="half the rating",
        until=date(2027, 6, 30),
    )
    assert hoist_page(shop, tag, TODAY).standing.fitness is Fitness.LIMITED
    assert hoist_page(shop, tag, date(2027, 7, 1)).standing.fitness is Fitness.OUT_OF_SERVICE
    assert says(entry.body) == "runs on by conditions of Dr. Reedmace until 2027-06-30: half the rating"


def test_conditions_that_end_before_they_begin_are_refused(shop: Shop, tag: str) -> None:
    assert places("expert", shop, tag, until="2026-11-24") == ["Until"]
    assert places("expert", shop, tag, by_whom="", conditions="") == ["Expert", "Conditions"]


def test_a_hoist_set_idle_is_limited_and_says_what_is_needed_before_use(shop: Shop, tag: str) -> None:
    # 29 CFR 1910.179(j)(4): one month; B30.16, one year (from memory)
    entry = do("idle", shop, tag)
    assert entry.body == SetIdle(from_on=date(2026, 11, 20), why="winter stop")
    standing = hoist_page(shop, tag, TODAY).standing
    assert standing.fitness is Fitness.LIMITED
    assert standing.reasons == (
        "out of use since 2026-11-20 (winter stop): before use from 2026-12-20 on a frequent inspection,"
        " from 2027-11-20 on a periodic inspection",
    )
    inspect(shop, tag, InspectionKind.FREQUENT)
    assert hoist_page(shop, tag, TODAY).standing.fitness is Fitness.IN_SERVICE


@pytest.mark.parametrize(
    ("changes", "wrong"),
    [
        ({"from_on": "2026-10-31"}, ["Idle from"]),
        ({"from_on": "2026-11-26"}, ["Idle from"]),
        ({"until_on": "2026-11-19"}, ["Until"]),
        ({"why": ""}, ["Why"]),
    ],
)
def test_idle_times_that_can_not_be(shop: Shop, tag: str, changes: dict[str, str], wrong: list[str]) -> None:
    assert places("idle", shop, tag, **changes) == wrong


def test_the_day_of_every_form_is_the_day_handed_in(shop: Shop, tag: str) -> None:
    forms = (hours_fields(open_hoist(shop, tag), TODAY), idle_fields(TODAY), expert_fields(TODAY))
    assert [fields[0].default for fields in forms] == ["2026-11-25"] * 3
