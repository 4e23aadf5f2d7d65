"""Pages with a picture take the signs that the terminal shows, unless they are told."""

from pathlib import Path

import pytest

from fieldlog.tui.screens.tag_code import TagCodePage
from tests.tui.builder import at_the_keys, in_terminal, ready_shop


@pytest.mark.parametrize("shown", [False, True])
@in_terminal
async def test_the_terminal_decides_unless_it_is_said(tmp_path: Path, shown: bool) -> None:
    async with at_the_keys(ready_shop(tmp_path)) as hands:
        hands.app.plain = shown
        for given, plain in ((None, shown), (False, False), (True, True)):
            page = TagCodePage("SW-0001-0", plain=given)
            hands.app.push_screen(page)
            await hands.settle()
            assert page.plain is plain
            assert ("does not fit" in hands.flat()) is plain
