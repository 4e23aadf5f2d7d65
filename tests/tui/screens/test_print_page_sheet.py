"""Beside the form stands where each label goes on the sheet, and why one is refused, before it is sent."""

import re
from pathlib import Path

import pytest

from fieldlog.tui.widgets.picture import Picture
from tests.tui.builder import NARROW, WIDE, at_the_keys, in_terminal, ready_shop, shop_as, with_hoist
from tests.tui.hands import Hands
from tests.tui.one_hoist import one_inspected
from tests.tui.printed import in_its_own_folder  # noqa: F401 (the fixture)

SIZES = pytest.mark.parametrize("size", [NARROW, WIDE])


def _sheet(hands: Hands) -> list[str]:
    """The rows of the map, blanks taken out."""
    lines = hands.app.screen.query_one("#sheet", Picture).lines
    return [re.sub(r"^ +[0-9]+ +", "", line).split("   ")[0].replace(" ", "") for line in lines]


@SIZES
def test_the_map_follows_each_key_used_printed_free(size: tuple[int, int], tmp_path: Path) -> None:
    """3 across and 8 down: five used, four copies from place 6, fifteen stay free."""
    shop = shop_as(tmp_path, one_inspected)

    @in_terminal
    async def run() -> None:
        async with at_the_keys(shop, size=size) as hands:
            await hands.type("<enter>p")
            assert _sheet(hands) == ["#oo", *["ooo"] * 7]
            await hands.fill(start="6")
            assert _sheet(hands) == ["...", "..#", *["ooo"] * 6]
            await hands.fill(copies="4")
            assert _sheet(hands) == ["...", "..#", "###", *["ooo"] * 5]
            assert ". used before" in hands.flat()
            assert "asset tag: SW-0001-0" in hands.flat()
            await hands.fill(start="25")
            assert "Position 25 is not on a4-3x8-70x37: its positions are 1 to 24." in hands.flat()
            await hands.fill(start="24", template="roll-62")
            assert "a roll begins at 1" in hands.flat()

    run()


@in_terminal
async def test_labels_that_go_on_to_a_second_sheet_show_both(tmp_path: Path) -> None:
    shop = shop_as(tmp_path, one_inspected)
    async with at_the_keys(shop) as hands:
        await hands.type("<enter>p")
        await hands.fill(start="23", copies="3")
        text = hands.text()
        assert "page 1:" in text
        assert "page 2:" in text
        assert text.count("#") == 4, "two on the first sheet, one on the second, one in the legend"


@in_terminal
async def test_a_refusal_stands_beside_the_map_before_anything_is_sent(tmp_path: Path) -> None:
    shop = ready_shop(tmp_path)
    with_hoist(shop)
    async with at_the_keys(shop) as hands:
        await hands.type("<enter>pd")
        assert "X no due sticker for SW-0001-0: no inspection is sealed yet" in hands.flat()
        await hands.fill(kind="tag")
        assert "X no due sticker" not in hands.flat()
        await hands.fill(kind="withdrawn", template="letter-3x10")
        assert "letter-3x10 has no layout for out-of-service tags, only for" in hands.flat()
