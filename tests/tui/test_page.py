"""What every screen has: the tag field, one sentence for what went wrong, and a way back."""

import pytest

from tests.tui.builder import at_the_keys, in_terminal, ready_shop, with_hoist
from tests.tui.journeys import each_screen, shop_with_work


@in_terminal
async def test_a_typed_tag_opens_its_hoist_from_every_screen(tmp_path):
    shop, tag = shop_with_work(tmp_path)
    async with at_the_keys(shop) as hands:
        async for page in each_screen(hands, tag):
            await hands.type("<f2>1<enter>")
            assert (hands.page, hands.heading()[: len(tag)]) == ("HoistPage", tag), page
            await hands.press("escape")


@pytest.mark.parametrize("typed", ["SW-0001-0", "sw 0001 0", "SWOOO1O", "sw00010", "1", "0001"])
def test_case_blanks_and_dashes_letter_o_for_zero_and_a_bare_number_do_not_matter(typed, tmp_path):
    shop = ready_shop(tmp_path)
    tag = with_hoist(shop)

    @in_terminal
    async def find() -> None:
        async with at_the_keys(shop) as hands:
            await hands.type(f"<f2>{typed}<enter>")
            assert hands.heading().startswith(tag)

    find()


@in_terminal
async def test_a_mistyped_tag_says_which_character_and_offers_near_ones(tmp_path):
    shop = ready_shop(tmp_path)
    tag, other = with_hoist(shop), with_hoist(shop, serial="4712")
    async with at_the_keys(shop) as hands:
        await hands.type("<f2>SW-0001-7<enter>")
        assert "no such tag: check the last character" in hands.message()
        assert tag in hands.tag_line()
        assert tag in hands.lines()[-2], "the near tag must be readable at 80 columns"
        assert hands.page == "DueListPage"
        await hands.type(f"{other}<enter>")
        assert hands.heading().startswith(other), "what was typed wrong is replaced by typing anew"


@in_terminal
async def test_a_right_tag_of_no_hoist_here_and_a_word_are_told_apart(tmp_path):
    shop = ready_shop(tmp_path)
    with_hoist(shop)
    async with at_the_keys(shop) as hands:
        await hands.type("<f2>SW-0002-Y<enter>")
        assert hands.message() == "SW-0002-Y is a right tag, but no hoist of this store"
        await hands.type("pump house<enter>")
        assert "'pump house' is not a tag ID" in hands.message()
        await hands.type("77<enter>")
        assert hands.message() == "no hoist has the number 77"
        await hands.type("<ctrl+u><enter>")
        assert "type or scan a tag" in hands.message()


@in_terminal
async def test_escape_empties_the_tag_field_and_goes_back_to_the_work(tmp_path):
    shop = ready_shop(tmp_path)
    with_hoist(shop)
    async with at_the_keys(shop) as hands:
        await hands.type("<f2>SW-9<enter><escape>")
        assert hands.app.focused is hands.table()
        assert (hands.message(), hands.tag_line()) == ("", "")
        await hands.press("enter")
        assert hands.page == "HoistPage"


@in_terminal
async def test_escape_goes_back_screen_by_screen_and_stops_at_home(tmp_path):
    shop, tag = shop_with_work(tmp_path)
    async with at_the_keys(shop) as hands:
        hands.table().move_to(tag)
        await hands.type("<enter>i<enter><f10>")
        seen = []
        for _ in range(5):
            await hands.press("escape")
            seen.append(hands.page)
    assert seen == ["InspectionPage", "HoistPage", "DueListPage", "DueListPage", "DueListPage"]


@in_terminal
async def test_text_from_people_is_shown_as_it_is_typed_never_as_markup(tmp_path):
    shop = ready_shop(tmp_path)
    tag = with_hoist(shop, maker="[bold]Fen[/x]", site="[red]hall")
    async with at_the_keys(shop) as hands:
        assert "[red]hall" in hands.text()
        await hands.type(f"<f2>{tag}<enter>")
        assert "[bold]Fen[/x]" in hands.text()
        assert "[red]hall" in hands.text()
