"""A return to service names all that is missing, and is complete when all is there."""

from datetime import date
from pathlib import Path

import pytest

from fieldlog.domain.records import (
    AnswerKind,
    InspectionKind,
    ReturnToService,
    StruckOut,
)
from fieldlog.domain.verdict import Fitness
from fieldlog.errors import RefusedError
from fieldlog.operations.drafting import DefectDraft
from fieldlog.operations.hoist_page import hoist_page
from fieldlog.operations.servicing import fit_chain, mend, record_load_test, return_to_service, withdraw
from fieldlog.operations.shop import Shop, append, open_hoist
from tests.operations.builder import (
    ADA,
    NOW,
    RULE,
    TODAY,
    at,
    inspect,
    ready_shop,
    register,
)
from tests.operations.service import CHAIN_SET, LOAD_TEST, MENDING, RETURN, WITHDRAWAL

WORN = ("165.4", "167.6", "165.9")  # over 167.475 mm: 1.5 % of 165 mm (DOE-STD-1090-96 ch. 8)
LATCH = DefectDraft(what="latch bent")
SOON = DefectDraft(what="guide worn")
DAYS = {"by": ADA, "now": NOW, "today": TODAY}


@pytest.fixture
def shop(tmp_path: Path) -> Shop:
    return ready_shop(tmp_path)


def in_service(shop: Shop, *, day: date = date(2026, 11, 10)) -> str:
    """A hoist inspected before first use with all well."""
    hoist = register(shop, day=day)
    inspect(shop, hoist.id, day=day)
    return hoist.id


def fitness(shop: Shop, hoist_id: str) -> Fitness:
    return hoist_page(shop, hoist_id, TODAY).standing.fitness


def missing(shop: Shop, hoist_id: str, **changes: str) -> list[str]:
    """What a return to service says is missing; nothing is sealed."""
    before = shop.logbooks.read(hoist_id).head
    with pytest.raises(RefusedError) as error:
        return_to_service(shop, hoist_id, RETURN | changes, by=ADA, now=NOW, today=TODAY)
    assert shop.logbooks.read(hoist_id).head == before
    return str(error.value).removeprefix("it can not return to service yet: ").split("; ")


def test_a_return_is_refused_with_every_missing_thing(shop: Shop) -> None:
    hoist = register(shop)
    unseen = {"labels": AnswerKind.NOT_SEEN}
    inspect(shop, hoist.id, readings=WORN, answers=unseen, defects={"hook-latch": LATCH})
    mend(shop, hoist.id, MENDING | {"defects": "D1", "load_path": "yes"}, by=ADA, now=NOW, today=TODAY)
    withdraw(shop, hoist.id, WITHDRAWAL, by=ADA, now=NOW, today=TODAY)
    found = missing(shop, hoist.id, guards="no", locks="")
    expected = (
        "D2 is not mended",
        "load chain elongation is discard, measure it again after the repair",
        "not seen: Warnings and function labels",
        "a load test is missing",
        "guards are on and tools are out",
        "say who removed the lock lock 14",
    )
    assert len(found) == len(expected)
    assert all(any(part in text for text in found) for part in expected)


def test_an_undecided_reading_is_missing_too(shop: Shop) -> None:
    hoist = register(shop)
    inspect(shop, hoist.id, readings=("165.4", "167.2", "165.9"), instrument=RULE)
    said = "; ".join(missing(shop, hoist.id))
    assert said.startswith("undecided: load chain elongation, at hook end: grown 2.2 of 2.475 mm allowed")
    assert said.endswith("not seen: Elongation over n links")


def test_a_hoist_that_was_never_inspected_can_not_return(shop: Shop) -> None:
    assert missing(shop, register(shop).id) == ["the inspection before first use is missing"]


@pytest.mark.parametrize(("day", "taken"), [("2026-11-21", False), ("2026-11-22", True)])
def test_a_return_before_the_stop_would_not_lift_it_and_is_refused(shop: Shop, day: str, taken: bool) -> None:
    hoist_id, stopped = in_service(shop), date(2026, 11, 22)
    withdraw(shop, hoist_id, WITHDRAWAL, by=ADA, now=at(stopped), today=stopped)
    if not taken:
        (text,) = missing(shop, hoist_id, done_on=day)
        assert text == "it was stopped on 2026-11-22, after the day of the return: withdrawn: dropped load"
        return
    return_to_service(shop, hoist_id, RETURN | {"done_on": day}, by=ADA, now=NOW, today=TODAY)
    assert fitness(shop, hoist_id) is Fitness.IN_SERVICE


def test_only_locks_put_on_since_the_last_return_are_asked_for(shop: Shop) -> None:
    hoist_id = in_service(shop)
    withdraw(shop, hoist_id, WITHDRAWAL, by=ADA, now=NOW, today=TODAY)
    entry = return_to_service(shop, hoist_id, RETURN, by=ADA, now=NOW, today=TODAY)
    assert entry.body == ReturnToService(
        done_on=TODAY, guards_on_tools_out=True, locks_removed_by=ADA, locks_put_on_by=ADA
    )
    withdraw(shop, hoist_id, WITHDRAWAL | {"lock": ""}, by=ADA, now=NOW, today=TODAY)
    return_to_service(shop, hoist_id, RETURN | {"locks": ""}, by=ADA, now=NOW, today=TODAY)
    mistaken = withdraw(shop, hoist_id, WITHDRAWAL, by=ADA, now=NOW, today=TODAY)
    strike = StruckOut(line=mistaken.line, why="the other hoist")
    append(shop, hoist_id, strike, by=ADA, now=NOW, head=mistaken.line)
    return_to_service(shop, hoist_id, RETURN | {"locks": ""}, by=ADA, now=NOW, today=TODAY)
    assert fitness(shop, hoist_id) is Fitness.IN_SERVICE


def test_a_dated_defect_bars_the_return_until_it_is_mended(shop: Shop) -> None:
    hoist = register(shop)
    dated = DefectDraft(what="guide worn", grade=SOON.grade.STOPS_FROM, stops_on="2026-12-01")
    inspect(shop, hoist.id, defects={"lower-guide": dated})
    assert fitness(shop, hoist.id) is Fitness.LIMITED
    assert missing(shop, hoist.id) == ["D1 is not mended: guide worn"]
    mend(shop, hoist.id, MENDING, by=ADA, now=NOW, today=TODAY)
    assert fitness(shop, hoist.id) is Fitness.IN_SERVICE


def test_from_discard_to_service_again(shop: Shop) -> None:
    """The whole way: worn chain, new set, load test, inspection after repair, return."""
    hoist = register(shop)
    inspect(shop, hoist.id, readings=WORN)
    assert fitness(shop, hoist.id) is Fitness.OUT_OF_SERVICE
    fit_chain(shop, hoist.id, CHAIN_SET, by=ADA, now=NOW, today=TODAY)
    assert missing(shop, hoist.id) == ["parts of the load path were changed: a load test is missing"]
    record_load_test(shop, hoist.id, LOAD_TEST, by=ADA, now=NOW, today=TODAY)
    inspect(shop, hoist.id, InspectionKind.AFTER_REPAIR, readings=("165.2", "165.3", "165.1"))
    return_to_service(shop, hoist.id, RETURN, by=ADA, now=NOW, today=TODAY)
    assert fitness(shop, hoist.id) is Fitness.IN_SERVICE
    assert open_hoist(shop, hoist.id).history.problems == ()
