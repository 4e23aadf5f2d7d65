"""Whose locks come off with a return to service, by whom, and what proves the load path."""

from datetime import date
from pathlib import Path

import pytest

from fieldlog.domain.records import InspectionKind, ReturnToService
from fieldlog.errors import RefusedError
from fieldlog.operations.returning import Lock, locks_on, proof_since_return
from fieldlog.operations.servicing import fit_chain, record_load_test, return_to_service, withdraw
from fieldlog.operations.shop import Shop, open_hoist
from tests.operations.builder import ADA, BEN, NOW, TODAY, inspect, ready_shop, register, with_ben
from tests.operations.service import CHAIN_SET, LOAD_TEST, RETURN, WITHDRAWAL


@pytest.fixture
def shop(tmp_path: Path) -> Shop:
    held = ready_shop(tmp_path)
    with_ben(held)
    return held


def locked(shop: Shop, *by: str) -> str:
    """A hoist in service that these people locked, each with a lock of their own."""
    hoist = register(shop, day=date(2026, 11, 10))
    inspect(shop, hoist.id, day=date(2026, 11, 10))
    for name in by:
        withdraw(shop, hoist.id, WITHDRAWAL | {"lock": f"lock of {name}"}, by=name, now=NOW, today=TODAY)
    return hoist.id


def back(shop: Shop, hoist_id: str, **texts: str) -> ReturnToService:
    body = return_to_service(shop, hoist_id, RETURN | texts, by=ADA, now=NOW, today=TODAY).body
    assert isinstance(body, ReturnToService)
    return body


def test_a_lock_comes_off_by_who_put_it_on_and_both_are_recorded(shop: Shop) -> None:
    body = back(shop, locked(shop, BEN), locks=" ben  SORREL ")
    assert (body.locks_removed_by, body.locks_put_on_by, body.locks_authorised_by) == (
        "ben  SORREL",
        BEN,
        "",
    )


@pytest.mark.parametrize("authorised", ["", ADA, " ada fenn"])
def test_somebody_else_needs_a_named_authoriser_who_is_not_the_same_person(
    shop: Shop, authorised: str
) -> None:
    hoist_id = locked(shop, BEN)
    with pytest.raises(RefusedError) as error:
        back(shop, hoist_id, locks=ADA, authorised=authorised)
    assert str(error.value).endswith(
        "lock of Ben Sorrel was put on by Ben Sorrel: it comes off by Ben Sorrel, or name who allowed"
        " Ada Fenn to"
    )


def test_with_an_authoriser_it_is_taken_and_recorded(shop: Shop) -> None:
    body = back(shop, locked(shop, BEN), locks=ADA, authorised="Cora Reed")
    assert (body.locks_removed_by, body.locks_put_on_by, body.locks_authorised_by) == (ADA, BEN, "Cora Reed")


def test_each_lock_is_asked_for_by_its_own_name(shop: Shop) -> None:
    hoist_id = locked(shop, ADA, BEN)
    assert locks_on(open_hoist(shop, hoist_id).history) == (
        Lock(name="lock of Ada Fenn", by=ADA),
        Lock(name="lock of Ben Sorrel", by=BEN),
    )
    with pytest.raises(RefusedError) as error:
        back(shop, hoist_id, locks=ADA)
    assert str(error.value).count("was put on by") == 1
    assert back(shop, hoist_id, locks=ADA, authorised="Cora Reed").locks_put_on_by == f"{ADA}, {BEN}"


def test_the_test_that_proved_an_opened_load_path_stands_in_the_record(shop: Shop) -> None:
    hoist_id = locked(shop, ADA)
    fit_chain(shop, hoist_id, CHAIN_SET, by=ADA, now=NOW, today=TODAY)
    record_load_test(shop, hoist_id, LOAD_TEST, by=ADA, now=NOW, today=TODAY)
    inspect(shop, hoist_id, InspectionKind.AFTER_REPAIR, readings=("165.2", "165.3", "165.1"))
    assert back(shop, hoist_id).test == "load test with 625 kg on 2026-11-25"
    assert proof_since_return(open_hoist(shop, hoist_id).history, date(2026, 11, 24)) == ""


def test_without_a_lock_nobody_is_asked(shop: Shop) -> None:
    hoist_id = locked(shop)
    withdraw(shop, hoist_id, WITHDRAWAL | {"lock": ""}, by=BEN, now=NOW, today=TODAY)
    body = back(shop, hoist_id, locks="")
    assert (body.locks_put_on_by, body.test) == ("", "")
