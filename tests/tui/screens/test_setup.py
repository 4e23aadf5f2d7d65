"""The first start writes the shop and its first person as records, and before that only a draft."""

import grp
import os
import stat
from pathlib import Path

import pytest

from fieldlog.domain.records import Person, ShopSettings
from fieldlog.errors import StoreError
from fieldlog.operations.shop import open_shop, people
from tests.tui.builder import at_the_keys, in_terminal, ready_shop


@in_terminal
async def test_shop_prefix_rulebook_and_person_are_asked_and_sealed(tmp_path: Path) -> None:
    shop = open_shop(tmp_path)
    async with at_the_keys(shop, by="", login="ada") as hands:
        assert [field.name for field in hands.screen.fields()] == [
            "shop",
            "prefix",
            "rulebook",
            "person",
            "qualification",
            "units",
            "opens",
        ]
        await hands.type("Saltmarsh Hoist Service<enter>sw<enter>uk<enter>Ada Fenn<enter>hoist fitter")
        await hands.press("enter", "enter", "enter")
        assert hands.page == "DueListPage"
        assert hands.message() == "No hoist yet: press n for a new one."
        assert hands.heading() == "Saltmarsh Hoist Service   due list 2026-11-25   Ada Fenn"
    (settings,) = shop.logbooks.read("settings").entries
    (person,) = shop.logbooks.read("people").entries
    assert settings.body == ShopSettings(shop="Saltmarsh Hoist Service", prefix="SW", rulebook="uk")
    assert person.body == Person(name="Ada Fenn", login="ada", qualification="hoist fitter")
    assert (settings.by, person.by) == ("Ada Fenn", "Ada Fenn")


@in_terminal
async def test_a_folder_that_everybody_may_open_is_closed(tmp_path: Path) -> None:
    tmp_path.chmod(0o777)
    async with at_the_keys(open_shop(tmp_path), by="", login="ada") as hands:
        await hands.fill(shop="Saltmarsh Hoist Service", prefix="SW", person="Ada Fenn")
        await hands.press("f10")
        assert hands.page == "DueListPage"
        assert hands.message() == "The folder was open to others; it is yours alone now."
    assert stat.S_IMODE(tmp_path.stat().st_mode) == 0o700


@in_terminal
async def test_a_group_gets_the_store_and_one_that_is_not_known_is_refused_in_place(tmp_path: Path) -> None:
    group = grp.getgrgid(os.getegid()).gr_name
    async with at_the_keys(open_shop(tmp_path / "store"), by="", login="ada") as hands:
        await hands.fill(shop="Saltmarsh Hoist Service", prefix="SW", person="Ada Fenn", opens="nobodies")
        assert hands.beside("opens") == "this host knows no group 'nobodies'"
        await hands.press("f10")
        assert (hands.page, people(hands.app.shop)) == ("SetupPage", {})
        await hands.fill(opens=group)
        await hands.press("f10")
        assert hands.message() == f"The store is open to the group {group} now."
    for path in (tmp_path / "store", *(tmp_path / "store").rglob("*")):
        assert stat.S_IMODE(path.stat().st_mode) == (0o2770 if path.is_dir() else 0o660)


@in_terminal
async def test_rights_that_the_system_refuses_do_not_undo_the_store(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(*_: object) -> None:
        raise StoreError("others may still open it")

    monkeypatch.setattr("fieldlog.tui.screens.setup.open_to", refuse)
    async with at_the_keys(open_shop(tmp_path), by="", login="ada") as hands:
        await hands.fill(shop="Saltmarsh Hoist Service", prefix="SW", person="Ada Fenn")
        await hands.press("f10")
        assert hands.page == "DueListPage"
        assert hands.message() == "The store is set up, but others may still open it."


@in_terminal
async def test_the_four_rulebooks_are_offered_and_general_is_proposed(tmp_path: Path) -> None:
    async with at_the_keys(open_shop(tmp_path), by="", login="ada") as hands:
        assert hands.field("rulebook").value == "general"
        await hands.go_to_field("rulebook")
        seen = set()
        for _ in range(4):
            await hands.press("f3")
            seen.add(hands.field("rulebook").value)
        assert seen == {"general", "us", "de", "uk"}


@in_terminal
async def test_faults_are_told_in_place_and_nothing_is_written(tmp_path: Path) -> None:
    async with at_the_keys(open_shop(tmp_path), by="", login="ada") as hands:
        await hands.fill(prefix="S7")
        assert hands.beside("prefix") == "the tag prefix is two to four letters A to Z, not 'S7'"
        await hands.press("f10")
        assert hands.message().startswith("Not saved: 2 fields need a look. Shop name: Shop name is missing")
        await hands.press("escape")
        assert "what is typed is kept" in hands.message()
        assert hands.field("prefix").value == "S7"
    assert not any((tmp_path / folder).exists() for folder in ("shop", "logbooks"))


@in_terminal
async def test_nobody_without_a_name_gets_to_the_keys(tmp_path: Path) -> None:
    shop = ready_shop(tmp_path)
    async with at_the_keys(shop, by="", login="stranger") as hands:
        await hands.fill(person="")
        await hands.press("f10")
        assert hands.page == "WhoPage"
        assert "At the keys is missing" in hands.message()
        await hands.press("escape")
        assert hands.message() == "Say who you are and press F10, or leave with Ctrl-Q."
    assert "" not in people(shop)


@in_terminal
async def test_a_known_person_is_not_recorded_twice(tmp_path: Path) -> None:
    shop = ready_shop(tmp_path)
    before = shop.logbooks.read("people").entries
    async with at_the_keys(shop, by="", login="stranger") as hands:
        await hands.fill(person="Bert Quill")
        await hands.press("f10")
        assert hands.heading().endswith("Bert Quill")
    assert shop.logbooks.read("people").entries == before


@in_terminal
async def test_a_known_name_in_other_letters_is_asked_about_and_is_no_new_person(tmp_path: Path) -> None:
    shop = ready_shop(tmp_path)
    before = shop.logbooks.read("people").entries
    async with at_the_keys(shop, by="", login="stranger") as hands:
        await hands.fill(person="bert  quill")
        await hands.press("f10")
        assert hands.page == "WhoPage"
        assert hands.message() == "Bert Quill is known here: is that who you are? F10 again takes that one."
        await hands.press("f10")
        assert hands.heading().endswith("Bert Quill")
    assert shop.logbooks.read("people").entries == before
