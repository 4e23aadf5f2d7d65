"""Forms: every field checks itself while it is typed, says what is wrong in place, and loses nothing."""

from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from pathlib import Path

import pytest

from fieldlog.operations.shop import open_shop
from tests.tui.builder import PLATE, at_the_keys, in_terminal, ready_shop
from tests.tui.hands import Hands

TOO_LONG = "x" * 81
WRONG = {
    "maker": (TOO_LONG, "the maker is 81 characters long: 80 at most"),
    "model": (TOO_LONG, "80 at most"),
    "serial": (TOO_LONG, "80 at most"),
    "year": ("2030", "write a whole number from 1900 to 2026"),
    "drive": ("steam", "the drive is one of electric, air, hand, not 'steam'"),
    "capacity": ("500 m/s", "is not in a unit of mass"),
    "falls": ("0", "from 1 to 12"),
    "lift": ("-3", "-3"),
    "chain": ("15x5", "diameter first, pitch about three times as long"),
    "grade": (TOO_LONG, "80 at most"),
    "book_links": ("100", "from 1 to 99"),
    "book_basis": ("gauge", "is one of inside, outside"),
    "book_length": ("nan", "nan"),
    "book_discard": ("12 mm + 1 in", "12 mm + 1 in"),
    "book_document": (TOO_LONG, "80 at most"),
    "hook_throat": ("wide", "wide"),
    "limit_switches": ("maybe", "answer yes or no, not 'maybe'"),
    "container": ("maybe", "answer yes or no"),
    "overload_device": ("maybe", "answer yes or no"),
    "trolley": ("maybe", "answer yes or no"),
    "lifts_persons": ("maybe", "answer yes or no"),
    "group": ("M99", "not 'M99'"),
    "site": (TOO_LONG, "80 at most"),
    "place": (TOO_LONG, "80 at most"),
    "service": ("gentle", "is one of normal, heavy, severe"),
    "rulebook": ("fr", "is one of"),
}


@in_terminal
async def test_every_field_checks_its_text_and_says_the_sentence_beside_it(tmp_path: Path) -> None:
    async with at_the_keys(ready_shop(tmp_path)) as hands:
        await hands.press("n")
        assert {field.name for field in hands.screen.fields()} == set(WRONG)
        for name, (wrong, _) in WRONG.items():
            hands.field(name).value = wrong
        await hands.settle()
        for name, (_, sentence) in WRONG.items():
            assert sentence in hands.beside(name), name


@asynccontextmanager
async def _first_start(root: Path) -> AsyncIterator[Hands]:
    """The smallest form: shop, prefix, rulebook, person, qualification, units on paper."""
    async with at_the_keys(open_shop(root), by="", login="ada") as hands:
        yield hands


@in_terminal
async def test_the_field_with_the_cursor_says_its_sentence_in_full_below_while_it_is_typed(
    tmp_path: Path,
) -> None:
    async with _first_start(tmp_path) as hands:
        await hands.press("down")
        seen = []
        for key in ("s", "7", "backspace", "w"):
            await hands.press(key)
            assert hands.message() == hands.beside("prefix")
            seen.append(hands.beside("prefix"))
        wrong = "the tag prefix is two to four letters A to Z, not "
        assert seen == [wrong + "'s'", wrong + "'s7'", wrong + "'s'", "2 to 4 letters, as SW"]
        await hands.type("1")
        assert wrong + "'sw1'" in hands.flat(), "readable whole at 80 columns, wrapped or not"


@in_terminal
async def test_an_empty_field_is_quiet_until_the_form_is_sent(tmp_path: Path) -> None:
    async with _first_start(tmp_path) as hands:
        await hands.type("S<backspace>")
        assert hands.beside("shop") == "as it stands on tags"
        await hands.press("f10")
        assert hands.beside("shop") == "Shop name is missing"


@in_terminal
async def test_f10_with_faults_keeps_every_text_counts_the_faults_and_goes_to_the_first(
    tmp_path: Path,
) -> None:
    async with _first_start(tmp_path) as hands:
        await hands.type("Saltmarsh<down>s7<down>zz<f10>")
        assert hands.message().startswith("Not saved: 2 fields need a look. Tag prefix: the tag prefix is")
        assert hands.app.focused is hands.field("prefix")
        assert "the rulebook is one of" in hands.beside("rulebook")
        texts = hands.screen.current_texts()
        assert (texts["shop"], texts["prefix"], texts["rulebook"]) == ("Saltmarsh", "s7", "zz")
        await hands.type("sw<down>general<f10>")
        assert hands.page == "DueListPage"


@in_terminal
async def test_one_fault_is_told_as_one(tmp_path: Path) -> None:
    async with _first_start(tmp_path) as hands:
        await hands.type("Saltmarsh<f10>")
        assert hands.message() == "Not saved: 1 field needs a look. Tag prefix: Tag prefix is missing"


@pytest.mark.parametrize("way", ["escape", "fault and kill"])
def test_nothing_typed_is_lost(way: str, tmp_path: Path) -> None:
    """Left with Escape, or sent with faults and then killed: the draft has it all."""
    shop = ready_shop(tmp_path)

    @in_terminal
    async def type_and_go() -> None:
        async with at_the_keys(shop) as hands:
            await hands.type("nFenwright<enter>LC 500<enter>47")
            if way == "escape":
                await hands.press("escape")
                assert "kept as a draft" in hands.message()
            if way == "fault and kill":
                await hands.press("f10")

    @in_terminal
    async def come_back() -> None:
        async with at_the_keys(shop) as hands:
            assert "1 left open from earlier work" in hands.message()
            await hands.press("d")
            assert "new hoist Fenwright LC 500 47" in hands.text()
            await hands.press("enter")
            texts = hands.screen.current_texts()
            assert (texts["maker"], texts["model"], texts["serial"]) == ("Fenwright", "LC 500", "47")

    type_and_go()
    come_back()


@in_terminal
async def test_a_choice_is_taken_from_its_first_letters_and_stepped_with_f3(tmp_path: Path) -> None:
    async with _first_start(tmp_path) as hands:
        await hands.fill(rulebook="ge")
        await hands.press("enter")
        assert hands.field("rulebook").value == "general"
        await hands.press("up")
        seen = []
        for _ in range(4):
            await hands.press("f3")
            seen.append(hands.field("rulebook").value)
        assert seen == ["de", "uk", "us", "general"]
        await hands.fill(rulebook="u")
        assert hands.beside("rulebook") == "the rulebook is one of general, de, uk, us, not 'u'"
        await hands.press("up", "f3")
        assert hands.message() == "This field is typed; F3 steps where there is a choice."


@in_terminal
async def test_up_and_down_walk_the_fields_and_enter_in_the_last_one_sends(tmp_path: Path) -> None:
    async with _first_start(tmp_path) as hands:
        await hands.press("down")
        assert hands.app.focused is hands.field("prefix")
        await hands.press("up", "up")
        assert hands.app.focused is hands.field("shop")
        await hands.press("enter", "enter", "enter", "enter", "enter", "enter")
        assert hands.app.focused is hands.field("opens")
        await hands.press("enter")
        assert hands.message().startswith("Not saved: 2 fields")


@in_terminal
async def test_what_is_questioned_is_taken_only_by_a_second_f10(tmp_path: Path) -> None:
    """A book length over 0.5 % longer than 11 new links (165 mm). Common practice, no source."""
    shop = ready_shop(tmp_path)
    async with at_the_keys(shop) as hands:
        await hands.press("n")
        for name, text in {**PLATE, "book_length": "166", "book_document": "book 3, p. 12"}.items():
            hands.field(name).value = text
        await hands.settle()
        await hands.press("f10")
        assert "over 0.5 % longer than 11 new links (165 mm)" in hands.message()
        assert hands.message().endswith("F10 again takes it as it stands.")
        assert hands.page == "RegisterPage"
        await hands.press("f10")
        assert hands.page == "HoistPage"
