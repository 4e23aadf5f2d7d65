"""The code on the screen is black on white with four blank modules around it, and read by zxing-cpp."""

from pathlib import Path

import pytest
from rich.color import ColorSystem

from fieldlog.domain.tag_id import scan_text
from fieldlog.tui.screens.tag_code import TagCodePage
from fieldlog.tui.widgets.code_picture import code_rows
from tests.tui.builder import NARROW, WIDE, at_the_keys, in_terminal, ready_shop
from tests.tui.screen_picture import codes_in, picture_of, through_pyte

TAG = "SW-0001-0"
SYSTEMS = (ColorSystem.TRUECOLOR, ColorSystem.EIGHT_BIT, ColorSystem.STANDARD)


def test_the_quiet_zone_is_four_modules_wide() -> None:
    """ISO/IEC 18004, 6.3.8: four modules on all four sides."""
    rows = code_rows(scan_text(TAG))
    assert len(rows) == 21 + 8
    assert {len(row) for row in rows} == {29}
    assert not any(any(row) for row in (*rows[:4], *rows[-4:]))
    assert not any(any(row[:4]) or any(row[-4:]) for row in rows)
    # the corner of the first finder pattern
    assert rows[4][4]


@pytest.mark.parametrize(("size", "plain"), [(NARROW, False), (WIDE, True)])
@in_terminal
async def test_it_is_read_from_the_screen_in_every_theme_and_colour_system(
    tmp_path: Path, size: tuple[int, int], plain: bool
) -> None:
    async with at_the_keys(ready_shop(tmp_path), size=size) as hands:
        hands.app.push_screen(TagCodePage(TAG, plain=plain))
        for theme in ("fieldlog-dark", "fieldlog-light", "fieldlog-contrast"):
            hands.app.theme = theme
            await hands.settle()
            for system in SYSTEMS:
                screen = through_pyte(hands.app, system)
                assert codes_in(picture_of(screen)) == ["FL:SW-0001-0"], (theme, system)
        assert hands.text().isascii() is plain


@in_terminal
async def test_on_a_terminal_without_colours_reverse_video_makes_the_light_modules(tmp_path: Path) -> None:
    """As a dark terminal without colours shows it: signs light on dark, reverse dark on light."""
    async with at_the_keys(ready_shop(tmp_path), size=WIDE) as hands:
        hands.app.push_screen(TagCodePage(TAG, plain=True))
        await hands.settle()
        assert codes_in(picture_of(through_pyte(hands.app, None))) == ["FL:SW-0001-0"]


@pytest.mark.parametrize(
    ("size", "plain", "sentence"),
    [
        (NARROW, True, "in plain signs it needs 58 columns and 29 lines, there are 78 and 19."),
        ((80, 18), False, "it needs 29 columns and 15 lines, there are 78 and 13."),
    ],
)
@in_terminal
async def test_where_it_does_not_fit_a_sentence_says_why(
    tmp_path: Path, size: tuple[int, int], plain: bool, sentence: str
) -> None:
    async with at_the_keys(ready_shop(tmp_path), size=size) as hands:
        hands.app.push_screen(TagCodePage(TAG, plain=plain))
        await hands.settle()
        assert f"The code does not fit here: {sentence}" in hands.flat()
        assert "Make the window larger, or print the tag." in hands.flat()
        await hands.pilot.resize_terminal(*WIDE)
        await hands.settle()
        assert "does not fit" not in hands.text()
        assert codes_in(picture_of(through_pyte(hands.app, ColorSystem.TRUECOLOR))) == ["FL:SW-0001-0"]
