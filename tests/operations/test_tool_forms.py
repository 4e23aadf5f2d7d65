"""Instruments, people and sites as forms: each takes what it needs and refuses what can not be."""

from collections.abc import Callable
from datetime import date
from pathlib import Path
from typing import Any

import pytest

from fieldlog.domain.records import InspectionKind, Instrument, Person, Site
from fieldlog.errors import IncompleteError, RefusedError
from fieldlog.operations.entering import Field, check_field
from fieldlog.operations.instruments import instrument_on, instrument_state, instruments
from fieldlog.operations.setting_up import sites
from fieldlog.operations.shop import Shop, people
from fieldlog.operations.tool_forms import (
    instrument_fields,
    person_fields,
    site_fields,
    take_instrument,
    take_person,
    take_site,
)
from tests.operations.builder import ADA, BEN, CALIPER, NOW, TODAY, ready_shop, with_ben

TOOL = {"name": "C 12", "type": "caliper-0.05", "calibrated_on": "2026-11-20", "interval": "12"}
TAKES: dict[str, tuple[Callable[..., Any], dict[str, str]]] = {
    "instrument": (take_instrument, TOOL),
    "person": (take_person, {"name": BEN}),
    "site": (take_site, {"name": "workshop"}),
}


@pytest.fixture
def shop(tmp_path: Path) -> Shop:
    return ready_shop(tmp_path)


def places(take: Callable[..., Any], shop: Shop, texts: dict[str, str]) -> list[str]:
    with pytest.raises(IncompleteError) as error:
        take(shop, texts, by=ADA, now=NOW, today=TODAY)
    return [problem.place for problem in error.value.problems]


def defaults(fields: tuple[Field, ...]) -> dict[str, str]:
    return {field.name: field.default for field in fields}


@pytest.mark.parametrize("form", TAKES)
def test_only_who_may_seal_changes_the_shops_records(shop: Shop, form: str) -> None:
    take, texts = TAKES[form]
    with_ben(shop, may_seal=False)
    with pytest.raises(RefusedError, match="may look but not seal"):
        take(shop, texts, by=BEN, now=NOW, today=TODAY)


@pytest.mark.parametrize("form", TAKES)
def test_every_default_of_a_form_can_be_taken(shop: Shop, form: str) -> None:
    fields = {
        "instrument": instrument_fields(shop, TODAY, "C 12"),
        "person": person_fields(shop, ADA),
        "site": site_fields(shop, "workshop"),
    }[form]
    for field in fields:
        assert not field.default or check_field(field, field.default) == "", field.name


def test_an_instrument_is_recorded_and_its_next_calibration_is_proposed(shop: Shop) -> None:
    take_instrument(shop, TOOL, by=ADA, now=NOW, today=TODAY)
    assert instruments(shop)["C 12"] == Instrument(
        name="C 12", type=CALIPER, calibrated_on=date(2026, 11, 20), interval_months=12
    )
    held = instrument_on(shop, "C 12", TODAY)
    assert held is not None
    assert instrument_state(held, TODAY) == "in calibration until 2027-11-20"
    proposed = defaults(instrument_fields(shop, TODAY, "C 12"))
    assert (proposed["type"], proposed["interval"], proposed["passed"]) == (CALIPER, "12", "yes")


@pytest.mark.parametrize(
    ("changes", "wrong"),
    [
        ({"type": "yardstick"}, ["Kind"]),
        ({"calibrated_on": "2026-11-26"}, ["Calibrated on"]),
        ({"interval": "0"}, ["Every (months)"]),
        ({"interval": "121"}, ["Every (months)"]),
        ({"name": ""}, ["Instrument"]),
        ({"passed": "no", "calibrated_on": ""}, ["Calibrated on"]),
    ],
)
def test_what_an_instrument_can_not_be(shop: Shop, changes: dict[str, str], wrong: list[str]) -> None:
    assert places(take_instrument, shop, TOOL | changes) == wrong


def test_a_person_is_recorded_with_all_that_reports_need(shop: Shop) -> None:
    texts = {
        "name": BEN,
        "login": "ben",
        "qualification": "fitter",
        "until": "2027-12-31",
        "address": "Mill Lane 2",
        "employer": "Saltmarsh Hoist Service",
        "employer_address": "Quay 1",
    }
    take_person(shop, texts, by=ADA, now=NOW, today=TODAY)
    assert people(shop)[BEN] == Person(
        name=BEN,
        login="ben",
        qualification="fitter",
        may_seal=True,
        until=date(2027, 12, 31),
        address="Mill Lane 2",
        employer="Saltmarsh Hoist Service",
        employer_address="Quay 1",
    )
    assert defaults(person_fields(shop, BEN))["until"] == "2027-12-31"


def test_the_last_one_who_may_seal_can_not_be_locked_out(shop: Shop) -> None:
    assert places(take_person, shop, {"name": ADA, "may_seal": "no"}) == ["May seal"]
    take_person(shop, {"name": BEN}, by=ADA, now=NOW, today=TODAY)
    take_person(shop, {"name": ADA, "may_seal": "no"}, by=ADA, now=NOW, today=TODAY)
    assert not people(shop)[ADA].may_seal


def test_self_employed_and_employed_at_once_is_refused(shop: Shop) -> None:
    assert places(take_person, shop, {"name": BEN, "self_employed": "yes", "employer": "X"}) == ["Employer"]


def test_a_site_is_recorded_with_its_rulebook_and_owner(shop: Shop) -> None:
    texts = {"name": "workshop", "address": "Quay 3", "rulebook": "uk", "owner": "Saltmarsh Water Works"}
    take_site(shop, texts, by=ADA, now=NOW, today=TODAY)
    assert sites(shop)["workshop"] == Site(
        name="workshop", address="Quay 3", rulebook="uk", owner="Saltmarsh Water Works"
    )
    assert defaults(site_fields(shop, "workshop"))["rulebook"] == "uk"
    assert places(take_site, shop, texts | {"rulebook": "moon"}) == ["Rulebook here"]


@pytest.mark.parametrize(
    ("typed", "kinds"),
    [
        ("", ()),
        ("frequent", (InspectionKind.FREQUENT,)),
        ("freq, PRE", (InspectionKind.PRE_USE, InspectionKind.FREQUENT)),
        ("periodic,periodic", (InspectionKind.PERIODIC,)),
    ],
)
def test_the_kinds_that_a_person_may_seal_are_taken_by_their_beginnings(
    shop: Shop, typed: str, kinds: tuple[InspectionKind, ...]
) -> None:
    take_person(shop, {"name": BEN, "seals": typed}, by=ADA, now=NOW, today=TODAY)
    assert people(shop)[BEN].seals == kinds
    assert defaults(person_fields(shop, BEN))["seals"] == ", ".join(kinds)


@pytest.mark.parametrize("typed", ["after", "yearly", "frequent; periodic"])
def test_an_unknown_kind_or_one_of_several_meanings_is_refused(shop: Shop, typed: str) -> None:
    assert places(take_person, shop, {"name": BEN, "seals": typed}) == ["Seals only"]
