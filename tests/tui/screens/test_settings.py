"""Settings: the shop's are sealed by who may, this terminal's are written to its file and shown at once."""

from decimal import Decimal
from pathlib import Path

import pytest
from msgspec.structs import replace

from fieldlog.domain.records import Person
from fieldlog.operations.label_log import keep_offset, offset_of
from fieldlog.operations.setting_up import add_person
from fieldlog.operations.shop import need_settings
from fieldlog.store.preferences import Preferences
from fieldlog.tui.screens.settings import key_lines, offset_words
from tests.tui.builder import ADA, MORNING, NARROW, WIDE, at_the_keys, in_terminal, ready_shop
from tests.tui.hands import Hands


async def _open(hands: Hands, row: str) -> None:
    if hands.page != "SettingsPage":
        await hands.press("e")
    hands.table().move_to(row)
    await hands.settle()
    await hands.press("enter")


@pytest.mark.parametrize("size", [NARROW, WIDE])
def test_every_setting_stands_in_a_row_of_its_own(
    size: tuple[int, int], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("fieldlog.printing.printers.queues", lambda: ["attic", "bench"])
    shop = ready_shop(tmp_path / "store")
    keep_offset(shop, "bench", (Decimal("-1.5"), Decimal("0.5")), by=ADA, now=MORNING)
    keep_offset(shop, "old", (Decimal(0), Decimal(2)), by=ADA, now=MORNING)

    @in_terminal
    async def look() -> None:
        async with at_the_keys(shop, size=size) as hands:
            await hands.press("e")
            while hands.screen.queues is None:
                await hands.settle()
            await hands.settle()
            for key, said in {
                "name": "Name Saltmarsh Hoist Service, tags begin with SW",
                "address": "Address not recorded",
                "stricter": "Stricter the maker's book decides where both give a limit",
                "units": "Paper speaks mm and kg; records stay in mm and kg",
                "people": f"People 2: {ADA}, Bert Quill",
                "sites": "Sites none yet",
                "queue-attic": "attic no offset",
                "queue-bench": "bench moved 1.5 mm left, 0.5 mm down",
                "queue-old": "old moved 2 mm down, not found on this host",
                "keys": "Keys as they are Enter tells how to give others",
            }.items():
                assert " ".join(hands.row(key).split()) == said
            assert hands.row("rulebook").startswith("Rulebook general, for new hoists; ")
            assert "So many calendar months after the day it was done" in hands.row("dates")
            assert all(len(line) <= size[0] for line in hands.lines())

    look()


@in_terminal
async def test_a_setting_of_the_shop_is_sealed_and_shown(tmp_path: Path) -> None:
    shop = ready_shop(tmp_path)
    async with at_the_keys(shop) as hands:
        await _open(hands, "address")
        await hands.type("7 Sluice Lane<f10>")
        assert (hands.page, hands.message()) == ("SettingsPage", "Sealed as a record of the shop.")
        assert hands.row("address") == "Address 7 Sluice Lane"
        await _open(hands, "stricter")
        await hands.fill(stricter="y")
        await hands.press("f10")
        assert "the stricter of book and rulebook decides" in hands.row("stricter")
        await _open(hands, "units")
        await hands.fill(length_unit="in", mass_unit="lb")
        await hands.press("f10")
        assert "in and lb" in hands.row("units")
    held = need_settings(shop)
    assert (held.address, held.stricter_rule_governs, held.length_unit) == ("7 Sluice Lane", True, "in")
    assert shop.logbooks.read("settings").entries[-1].by == ADA


@in_terminal
async def test_nothing_changed_and_what_can_not_be_taken_seal_nothing(tmp_path: Path) -> None:
    shop = ready_shop(tmp_path)
    before = shop.logbooks.read("settings").head
    async with at_the_keys(shop) as hands:
        await _open(hands, "rulebook")
        await hands.press("f10")
        assert hands.message() == "Nothing was changed."
        await _open(hands, "rulebook")
        await hands.fill(rulebook="fr")
        await hands.press("f10")
        assert hands.message().startswith("Not saved: 1 field needs a look. Rulebook: the rulebook is one of")
        await hands.press("escape")
        assert hands.page == "SettingsPage"
    assert shop.logbooks.read("settings").head == before


@in_terminal
async def test_who_may_not_seal_is_refused_with_the_reason(tmp_path: Path) -> None:
    shop = ready_shop(tmp_path)
    add_person(shop, Person(name="Cleo Marsh", may_seal=False), by=ADA, now=MORNING)
    async with at_the_keys(shop, by="Cleo Marsh") as hands:
        await _open(hands, "address")
        await hands.type("7 Sluice Lane<f10>")
        assert hands.message() == "Cleo Marsh may look but not seal: ask somebody who may"
    assert need_settings(shop).address == ""


@in_terminal
async def test_a_printers_offset_is_sealed(tmp_path: Path) -> None:
    shop = ready_shop(tmp_path)
    keep_offset(shop, "bench", (Decimal(1), Decimal(0)), by=ADA, now=MORNING)
    async with at_the_keys(shop) as hands:
        await _open(hands, "queue-bench")
        await hands.fill(x="wide")
        assert hands.beside("x") == "'wide' is no length in mm, as -1.5 or 0.25"
        await hands.fill(x="-1,5")
        await hands.press("f10")
        assert hands.row("queue-bench").startswith("bench moved 1.5 mm left")
    assert offset_of(shop, "bench") == (Decimal("-1.5"), Decimal(0))


@in_terminal
async def test_lists_and_the_date_rule_are_opened(tmp_path: Path) -> None:
    async with at_the_keys(ready_shop(tmp_path)) as hands:
        for row, heading in (("sites", "Sites"), ("people", "People"), ("instruments", "Instruments")):
            await _open(hands, row)
            assert hands.heading().startswith(heading)
            await hands.press("escape")
        await _open(hands, "dates")
        assert hands.heading() == "How due dates are counted"
        assert "Source: " in hands.text()


@pytest.mark.parametrize(
    ("offset", "words"),
    [
        (("0", "0"), "no offset"),
        (("1.5", "0"), "moved 1.5 mm right"),
        (("0", "-0.25"), "moved 0.25 mm up"),
        (("-1", "2"), "moved 1 mm left, 2 mm down"),
    ],
)
def test_an_offset_is_told_by_its_directions(offset: tuple[str, str], words: str) -> None:
    assert offset_words((Decimal(offset[0]), Decimal(offset[1]))) == words


def test_the_keys_tell_the_file_how_to_write_one_what_was_not_taken_and_every_id() -> None:
    chosen = Preferences(keys={"hoist.inspect": "f6"}, file=Path("/home/ada/settings.toml"))
    lines = key_lines(chosen)
    assert lines[0] == "Other keys stand in /home/ada/settings.toml, by hand:"
    assert lines[2:4] == ["[keys]", 'hoist.inspect = "f6"']
    assert any(line.split() == ["hoist.inspect", "f6", "Inspect"] for line in lines)
    told = key_lines(replace(chosen, keys={"hoist.fly": "f6"}))
    assert "Not taken: keys: there is no command 'hoist.fly'; F1 and F9 show them" in told
