"""Who is at the keys, what the app opens with, and how it ends."""

from datetime import timedelta
from pathlib import Path

import pytest

from fieldlog.domain.records import Person
from fieldlog.operations.setting_up import add_person
from fieldlog.operations.shop import open_shop, people
from tests.tui.builder import (
    ADA,
    BERT,
    MORNING,
    Clock,
    at_the_keys,
    begun_work,
    in_terminal,
    ready_shop,
    with_hoist,
)


@in_terminal
async def test_an_empty_store_begins_with_the_first_start(tmp_path: Path) -> None:
    async with at_the_keys(open_shop(tmp_path), by="", login="ada") as hands:
        assert hands.page == "SetupPage"
        assert hands.field("person").value == "ada"
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize(("by", "login", "who"), [("", "ada", ADA), ("", "bert", BERT), (BERT, "ada", BERT)])
def test_the_person_is_known_by_login_or_by_name(by: str, login: str, who: str, tmp_path: Path) -> None:
    shop = ready_shop(tmp_path)

    @in_terminal
    async def start() -> None:
        async with at_the_keys(shop, by=by, login=login) as hands:
            assert hands.heading() == f"Saltmarsh Hoist Service   due list 2026-11-25   {who}"

    start()


@pytest.mark.parametrize(
    ("by", "login", "shown"), [("", "stranger", "stranger"), ("Cleo Marsh", "ada", "Cleo Marsh")]
)
def test_somebody_unknown_is_asked_who_they_are(by: str, login: str, shown: str, tmp_path: Path) -> None:
    shop = ready_shop(tmp_path)

    @in_terminal
    async def start() -> None:
        async with at_the_keys(shop, by=by, login=login) as hands:
            assert hands.page == "WhoPage"
            assert hands.field("person").value == shown
            await hands.fill(person="Cleo Marsh")
            await hands.press("f10")
            assert hands.heading().endswith("Cleo Marsh")

    start()
    assert people(shop)["Cleo Marsh"].login == login


@in_terminal
async def test_one_login_of_two_people_is_asked_about(tmp_path: Path) -> None:
    shop = ready_shop(tmp_path)
    add_person(shop, Person(name="Cleo Marsh", login="ada"), by=ADA, now=MORNING)
    async with at_the_keys(shop, by="", login="ada") as hands:
        assert hands.page == "WhoPage"


@in_terminal
async def test_drafts_of_an_earlier_day_are_told_at_the_start(tmp_path: Path) -> None:
    shop = ready_shop(tmp_path)
    begun_work(shop, with_hoist(shop))
    async with at_the_keys(shop, clock=Clock(MORNING + timedelta(days=1))) as hands:
        assert hands.message() == "1 left open from earlier work: d shows and takes up."


@pytest.mark.parametrize("keys", ["", "n<f2>"])
def test_ctrl_q_leaves_from_anywhere_with_exit_code_0(keys: str, tmp_path: Path) -> None:
    shop = ready_shop(tmp_path)
    with_hoist(shop)

    @in_terminal
    async def leave() -> None:
        async with at_the_keys(shop) as hands:
            await hands.type(keys + "<ctrl+q>")
            assert not hands.app.is_running or hands.app._exit
        assert (hands.app.return_code or 0) == 0

    leave()


@in_terminal
async def test_a_damaged_logbook_is_told_in_place_and_the_app_goes_on(tmp_path: Path) -> None:
    shop = ready_shop(tmp_path)
    good, broken = with_hoist(shop), with_hoist(shop, serial="4712")
    path = tmp_path / "logbooks" / f"{broken}.jsonl"
    path.write_bytes(path.read_bytes().replace(b"4712", b"4713", 1) + b"{}\n")
    async with at_the_keys(shop) as hands:
        assert broken in hands.message()
        await hands.type(f"<f2>{good}<enter>")
        assert hands.heading().startswith(good)
        await hands.type(f"<escape><f2>{broken}<enter>")
        assert "logbook" in hands.flat().lower()
        assert hands.app.is_running


@in_terminal
async def test_damage_is_told_before_drafts_that_wait(tmp_path: Path) -> None:
    shop = ready_shop(tmp_path)
    broken = with_hoist(shop)
    begun_work(shop, broken)
    path = tmp_path / "logbooks" / f"{broken}.jsonl"
    path.write_bytes(path.read_bytes() + b"spoilt\n")
    shop.register.refresh()  # as before every first screen
    async with at_the_keys(shop) as hands:
        assert hands.message().startswith(f"The record of {broken} can not be trusted")
        assert "X OUT" in hands.flat()


@in_terminal
async def test_before_anybody_is_at_the_keys_no_tag_is_opened(tmp_path: Path) -> None:
    shop = ready_shop(tmp_path)
    tag = with_hoist(shop)
    async with at_the_keys(shop, by="", login="stranger") as hands:
        await hands.type(f"<f2>{tag}<enter>")
        assert (hands.page, hands.message()) == (
            "WhoPage",
            "Nobody is at the keys yet: fill in this form first.",
        )
        await hands.type(f"FL:{tag}<enter>")
        assert hands.page == "WhoPage"


@in_terminal
async def test_a_sealed_line_can_be_read_whole_with_its_hashes(tmp_path: Path) -> None:
    shop = ready_shop(tmp_path)
    tag = with_hoist(shop)
    (entry,) = shop.logbooks.read(tag).entries
    async with at_the_keys(shop) as hands:
        await hands.type("<enter>G<enter>")
        assert hands.heading() == f"{tag}   line 1 of the logbook"
        for words in (
            f"registration, sealed by {ADA}",
            entry.line,
            "0" * 64,
            "maker: Fenwright",
            "serial: 4711",
        ):
            assert words in hands.flat()
