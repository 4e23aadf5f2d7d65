"""What every screen has: the tag field, one sentence for what went wrong, and a way back."""

from pathlib import Path

from textual.binding import Binding

from fieldlog.tui.keys import help_lines, key_words
from fieldlog.tui.widgets.line_table import LineTable
from tests.tui.builder import at_the_keys, in_terminal, ready_shop, with_hoist
from tests.tui.hands import Hands
from tests.tui.journeys import come_back, each_screen, prepare, shop_with_work

WIDTH = 80
WITH_AN_ENTER_OF_THEIR_OWN = ("DueListPage", "RegisterPage", "InspectionPage", "ReadingsPage")


@in_terminal
async def test_every_screen_tells_its_keys_they_all_do_something_and_a_typed_tag_is_found(
    tmp_path: Path,
) -> None:
    """On each screen: footer whole at 80 columns, help complete, tag field there and back, no dead key.

    Keys that all screens share are pressed on the due list, each screen's own keys on that screen.
    """
    shop, tag = shop_with_work(tmp_path)
    dead: list[str] = []
    async with at_the_keys(shop) as hands:
        async for page in each_screen(hands, tag):
            _check_footer_and_help(hands)
            await _check_the_tag_field(hands, page, tag)
            for binding in hands.bindings():
                if _is_pressed_here(page, binding) and not await _does_something(hands, page, tag, binding):
                    dead.append(f"{binding.key} ({binding.description}) on {page}")
    assert dead == []


async def _check_the_tag_field(hands: Hands, page: str, tag: str) -> None:
    await hands.type("<f2>9")
    assert hands.app.focused is hands.screen.query_one("#tag-field")
    if page in WITH_AN_ENTER_OF_THEIR_OWN:
        await hands.type("<backspace>1<enter>")
        assert (hands.page, hands.heading()[: len(tag)]) == ("HoistPage", tag), page
        assert len(hands.app.screen_stack) == 3, "nothing is left open below"
        await come_back(hands, page, tag)
    else:
        await hands.press("enter")
        assert hands.message() == "no hoist has the number 9", page
        await hands.press("escape")


def _check_footer_and_help(hands: Hands) -> None:
    lines, footer = help_lines(hands.app.screen), hands.lines()[-1]
    assert len(footer) <= WIDTH
    for binding in hands.bindings():
        named = [line for line in lines if binding.description in line]
        assert any(key_words(binding) in line.split() for line in named), (hands.page, binding)
        if binding.show:
            assert f"{key_words(binding)} {binding.description}" in footer, (hands.page, footer)


def _is_pressed_here(page: str, binding: Binding) -> bool:
    """Leaving and going to the shell are pressed in test_app, Ctrl-L in test_thrift."""
    shared = (binding.id or "").split(".")[0] in ("table", "page", "app")
    return binding.key not in ("ctrl+q", "ctrl+z", "ctrl+l") and (not shared or page == "DueListPage")


async def _does_something(hands: Hands, page: str, tag: str, binding: Binding) -> bool:
    await come_back(hands, page, tag)
    await prepare(hands, page, binding)
    before = _state(hands)
    await hands.press(binding.key)
    return _state(hands) != before


def _state(hands: Hands) -> tuple[object, ...]:
    """All that a person could see change: screens, cursor, text."""
    cursors = [table.cursor for table in hands.screen.query(LineTable)]
    return [id(screen) for screen in hands.app.screen_stack], hands.app.focused, cursors, hands.text()


@in_terminal
async def test_case_blanks_dashes_letter_o_for_zero_and_a_bare_number_do_not_matter(tmp_path: Path) -> None:
    shop = ready_shop(tmp_path)
    tag = with_hoist(shop)
    async with at_the_keys(shop) as hands:
        for typed in ("SW-0001-0", "sw 0001 0", "SWOOO1O", "sw00010", "1", "0001"):
            await hands.type(f"<f2>{typed}<enter>")
            assert (hands.page, hands.heading()[: len(tag)]) == ("HoistPage", tag), typed
            await hands.press("escape")


@in_terminal
async def test_a_mistyped_tag_says_which_character_and_offers_near_ones(tmp_path: Path) -> None:
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
async def test_a_right_tag_of_no_hoist_here_and_a_word_are_told_apart(tmp_path: Path) -> None:
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
async def test_escape_empties_the_tag_field_and_goes_back_to_the_work(tmp_path: Path) -> None:
    shop = ready_shop(tmp_path)
    with_hoist(shop)
    async with at_the_keys(shop) as hands:
        await hands.type("<f2>SW-9<enter><escape>")
        assert hands.app.focused is hands.table()
        assert (hands.message(), hands.tag_line()) == ("", "")
        await hands.press("enter")
        assert hands.page == "HoistPage"


@in_terminal
async def test_escape_from_the_tag_field_leads_back_to_the_field_one_was_in(tmp_path: Path) -> None:
    async with at_the_keys(ready_shop(tmp_path)) as hands:
        await hands.type("nFen<enter>LC<f2>12<escape>")
        assert hands.app.focused is hands.field("model")
        await hands.type("<end> 500")
        assert hands.screen.current_texts()["model"] == "LC 500"


@in_terminal
async def test_escape_goes_back_screen_by_screen_and_stops_at_home(tmp_path: Path) -> None:
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
async def test_text_from_people_is_shown_as_it_is_typed_never_as_markup(tmp_path: Path) -> None:
    shop = ready_shop(tmp_path)
    tag = with_hoist(shop, maker="[bold]Fen[/x]", site="[red]hall")
    async with at_the_keys(shop) as hands:
        assert "[red]hall" in hands.text()
        await hands.type(f"<f2>{tag}<enter>")
        assert "[bold]Fen[/x]" in hands.text()
        assert "[red]hall" in hands.text()
