"""The first start: what it asks, what it refuses, and that one that broke off can be done again."""

from datetime import date
from pathlib import Path

import pytest

from fieldlog.domain.records import Person, ShopSettings, Site
from fieldlog.errors import IncompleteError, InputError, NotFoundError
from fieldlog.operations.instruments import instruments
from fieldlog.operations.registering import next_id
from fieldlog.operations.setting_up import (
    add_person,
    add_site,
    read_prefix,
    set_person_particulars,
    set_shop_address,
    set_site_particulars,
    set_up,
    setup_fields,
    sites,
)
from fieldlog.operations.shop import append_to_shop, need_settings, open_shop, people, settings
from fieldlog.operations.shop_settings import set_shop
from fieldlog.store.codec import from_plain
from tests.operations.builder import ADA, BEN, FIRST_START, NOW, TODAY, ready_shop, with_instrument


def test_the_first_start_writes_settings_and_the_person_at_the_keys(tmp_path: Path) -> None:
    shop = ready_shop(tmp_path)
    assert settings(shop) == ShopSettings(shop="Saltmarsh Hoist Service", prefix="SW", rulebook="general")
    assert people(shop) == {ADA: Person(name=ADA, login="ada", qualification="hoist fitter")}
    assert settings(open_shop(tmp_path)) == settings(shop)


def test_it_refuses_a_second_time(tmp_path: Path) -> None:
    shop = ready_shop(tmp_path)
    with pytest.raises(InputError, match="belongs to Saltmarsh Hoist Service already"):
        set_up(shop, FIRST_START | {"shop": "Another"}, login="ben", now=NOW)
    assert len(shop.logbooks.read("settings").entries) == 1


def broken_off(root: Path, **changes: str) -> ShopSettings:
    """A first start killed after its settings were sealed and before its person was."""
    texts = FIRST_START | changes
    body = ShopSettings(shop=texts["shop"], prefix=texts["prefix"].upper(), rulebook=texts["rulebook"])
    append_to_shop(open_shop(root), "settings", body, by=ADA, now=NOW)
    return body


def test_one_that_broke_off_before_the_person_is_taken_up_again(tmp_path: Path) -> None:
    body = broken_off(tmp_path)
    shop = open_shop(tmp_path)
    assert set_up(shop, FIRST_START, login="ada", now=NOW) == body
    assert len(shop.logbooks.read("settings").entries) == 1
    assert set(people(shop)) == {ADA}


def test_what_is_typed_at_the_second_try_is_what_holds(tmp_path: Path) -> None:
    broken_off(tmp_path)
    shop = open_shop(tmp_path)
    given = set_up(shop, FIRST_START | {"prefix": "ABC", "rulebook": "uk"}, login="ada", now=NOW)
    assert given == settings(shop)
    assert (given.prefix, given.rulebook) == ("ABC", "uk")
    assert next_id(shop).startswith("ABC-0001-")


@pytest.mark.parametrize(("text", "prefix"), [("sw", "SW"), ("ABCD", "ABCD"), ("aBc", "ABC")])
def test_a_prefix_is_two_to_four_letters_in_capitals(text: str, prefix: str) -> None:
    assert read_prefix(text) == prefix


@pytest.mark.parametrize("text", ["S", "ABCDE", "S1", "S-W", "ÄB", "ß", "ﬁx", "S W", "SW\n", "x" * 10_000])
def test_any_other_prefix_is_refused_in_one_sentence(text: str) -> None:
    with pytest.raises(InputError, match="two to four letters A to Z, not") as refused:
        read_prefix(text)
    assert len(str(refused.value)) < 100


def test_the_person_is_proposed_from_the_login_and_the_rulebook_is_general() -> None:
    fields = {field.name: field for field in setup_fields("ada")}
    assert fields["person"].default == "ada"
    assert fields["rulebook"].default == "general"
    assert set(fields["rulebook"].choices) == {"general", "us", "de", "uk"}


@pytest.mark.parametrize("name", ["shop", "prefix", "person"])
def test_what_is_missing_is_named_and_nothing_is_written(tmp_path: Path, name: str) -> None:
    shop = open_shop(tmp_path / "new")
    label = next(field.label for field in setup_fields() if field.name == name)
    with pytest.raises(IncompleteError) as refused:
        set_up(shop, FIRST_START | {name: "  "}, login="ada", now=NOW)
    assert [problem.place for problem in refused.value.problems] == [label]
    assert not (tmp_path / "new").exists()


def test_an_unknown_rulebook_is_refused(tmp_path: Path) -> None:
    with pytest.raises(IncompleteError, match="one of general, de, uk, us"):
        set_up(open_shop(tmp_path), FIRST_START | {"rulebook": "mars"}, login="ada", now=NOW)


def test_the_qualification_may_be_left_out(tmp_path: Path) -> None:
    shop = ready_shop(tmp_path, qualification="")
    assert people(shop)[ADA].qualification == ""


def test_people_instruments_and_sites_keep_their_history(tmp_path: Path) -> None:
    shop = ready_shop(tmp_path)
    for login in ("ben", "bsorrel"):
        add_person(shop, Person(name=BEN, login=login), by=ADA, now=NOW)
    for day in (date(2025, 5, 1), date(2026, 5, 1)):
        with_instrument(shop, "C1", calibrated_on=day, interval_months=12)
    add_site(shop, Site(name="intake hall", rulebook="uk"), by=ADA, now=NOW)
    assert people(shop)[BEN].login == "bsorrel"
    assert instruments(shop)["C1"].calibrated_on == date(2026, 5, 1)
    assert [len(shop.logbooks.read(name).entries) for name in ("people", "instruments", "sites")] == [3, 2, 1]


def test_addresses_and_employers_are_added_to_what_is_held(tmp_path: Path) -> None:
    shop = ready_shop(tmp_path)
    set_shop_address(shop, " 1 Sluice Lane ", by=ADA, now=NOW)
    set_site_particulars(
        shop,
        "intake hall",
        address="Weir 2",
        owner="Saltmarsh Water Works",
        owner_address="",
        by=ADA,
        now=NOW,
    )
    set_person_particulars(
        shop,
        ADA,
        qualification="hoist fitter",
        address="",
        employer="Saltmarsh Hoist Service",
        by=ADA,
        now=NOW,
    )
    held = settings(shop)
    assert held is not None
    assert (held.address, held.prefix) == ("1 Sluice Lane", "SW")
    assert (sites(shop)["intake hall"].address, sites(shop)["intake hall"].owner) == (
        "Weir 2",
        "Saltmarsh Water Works",
    )
    assert (people(shop)[ADA].employer, people(shop)[ADA].login) == ("Saltmarsh Hoist Service", "ada")


def test_particulars_of_nobody_nowhere_and_of_both_at_once_are_refused(tmp_path: Path) -> None:
    shop = ready_shop(tmp_path)
    with pytest.raises(NotFoundError, match=f"{BEN} is not among the shop's people"):
        set_person_particulars(shop, BEN, qualification="", address="", by=ADA, now=NOW)
    with pytest.raises(InputError, match="self-employed or has an employer"):
        set_person_particulars(
            shop, ADA, qualification="", address="", employer="x", self_employed=True, by=ADA, now=NOW
        )
    with pytest.raises(InputError, match="name the site"):
        set_site_particulars(shop, " ", address="", owner="", owner_address="", by=ADA, now=NOW)
    with pytest.raises(NotFoundError, match="no shop is set up"):
        set_shop_address(open_shop(tmp_path / "other"), "here", by=ADA, now=NOW)


class TestParticulars:
    """What reports need besides names; the last record holds and the rest of it stays."""

    def test_the_shop_has_an_address(self, tmp_path: Path) -> None:
        shop = ready_shop(tmp_path)
        set_shop_address(shop, " 7 Sluice Lane ", by=ADA, now=NOW)
        assert need_settings(shop) == ShopSettings(
            shop="Saltmarsh Hoist Service", prefix="SW", rulebook="general", address="7 Sluice Lane"
        )

    def test_a_site_keeps_its_rulebook_and_a_new_one_is_added(self, tmp_path: Path) -> None:
        shop = ready_shop(tmp_path)
        add_site(shop, Site(name="intake hall", rulebook="uk"), by=ADA, now=NOW)
        where = {"address": "Old Weir", "owner": "Saltmarsh Water Works", "owner_address": "Station Road"}
        for name in ("intake hall", "filter house"):
            set_site_particulars(shop, name, **where, by=ADA, now=NOW)
        assert sites(shop) == {
            "intake hall": Site(name="intake hall", rulebook="uk", **where),
            "filter house": Site(name="filter house", **where),
        }
        with pytest.raises(InputError, match="name the site"):
            set_site_particulars(shop, " ", **where, by=ADA, now=NOW)

    def test_a_person_keeps_login_and_rights(self, tmp_path: Path) -> None:
        shop = ready_shop(tmp_path)
        add_person(shop, Person(name=BEN, login="ben", may_seal=False), by=ADA, now=NOW)
        told = {"qualification": "fitter", "address": "3 Eel Yard", "employer": "Fen & Sons"}
        set_person_particulars(shop, BEN, **told, by=ADA, now=NOW)
        assert people(shop)[BEN] == Person(name=BEN, login="ben", may_seal=False, **told)

    def test_nobody_is_self_employed_and_employed(self, tmp_path: Path) -> None:
        shop = ready_shop(tmp_path)
        with pytest.raises(InputError, match="give one of the two"):
            set_person_particulars(
                shop, ADA, qualification="", address="", employer="X", self_employed=True, by=ADA, now=NOW
            )
        with pytest.raises(NotFoundError, match="Nobody Here is not among"):
            set_person_particulars(shop, "Nobody Here", qualification="", address="", by=ADA, now=NOW)


class TestUnitsOnPaper:
    """The units that labels and reports speak in; records stay in mm and kg."""

    def test_the_first_start_takes_both_at_once(self, tmp_path: Path) -> None:
        held = need_settings(ready_shop(tmp_path, units="in"))
        assert (held.length_unit, held.mass_unit) == ("in", "lb")

    def test_each_is_changed_alone_and_by_its_usual_names(self, tmp_path: Path) -> None:
        shop = ready_shop(tmp_path)
        set_shop_address(shop, "7 Sluice Lane", by=ADA, now=NOW)
        changed = set_shop(shop, {"length_unit": "Inches"}, by=ADA, now=NOW, today=TODAY)
        assert (changed.length_unit, changed.mass_unit, changed.address) == ("in", "kg", "7 Sluice Lane")
        assert set_shop(shop, {"mass_unit": "lbs"}, by=ADA, now=NOW, today=TODAY) == need_settings(shop)
        assert (need_settings(shop).length_unit, need_settings(shop).mass_unit) == ("in", "lb")

    def test_the_same_once_more_writes_nothing(self, tmp_path: Path) -> None:
        shop = ready_shop(tmp_path)
        set_shop(shop, {"length_unit": "mm", "mass_unit": "kg"}, by=ADA, now=NOW, today=TODAY)
        assert len(shop.logbooks.read("settings").entries) == 1

    @pytest.mark.parametrize(
        ("name", "unit"), [("length_unit", "cm"), ("mass_unit", "t"), ("mass_unit", "in")]
    )
    def test_another_unit_is_refused_and_nothing_changes(self, tmp_path: Path, name: str, unit: str) -> None:
        shop = ready_shop(tmp_path)
        with pytest.raises(IncompleteError, match="stay as they are"):
            set_shop(shop, {name: unit}, by=ADA, now=NOW, today=TODAY)
        assert len(shop.logbooks.read("settings").entries) == 1

    def test_a_line_without_them_opens_as_metric(self) -> None:
        held = from_plain({"shop": "Saltmarsh", "prefix": "SW", "rulebook": "uk"}, ShopSettings)
        assert (held.length_unit, held.mass_unit) == ("mm", "kg")
