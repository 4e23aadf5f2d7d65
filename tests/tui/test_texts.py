"""Another text lays the screen out anew only where it takes more or less room."""

from pathlib import Path
from typing import Any

import pytest
from textual.widgets import Label

from fieldlog.tui.texts import put
from tests.tui.builder import at_the_keys, in_terminal, ready_shop


@pytest.mark.parametrize(
    ("before", "now", "laid_out"),
    [
        ("short", "other", False),
        ("short", "long " * 30, True),
        ("long " * 30, "as long" * 20, False),
        ("a\nb", "c", True),
        ("", "something", True),
        ("[no markup]", "[none]", False),
    ],
)
def test_a_new_layout_follows_the_number_of_lines(
    before: str, now: str, laid_out: bool, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    @in_terminal
    async def change() -> None:
        async with at_the_keys(ready_shop(tmp_path)) as hands:
            line = hands.screen.query_one("#message", Label)
            put(line, before)
            await hands.settle()
            asked: list[bool] = []
            update = line.update

            def noted(content: Any, *, layout: bool = True) -> None:
                asked.append(layout)
                update(content, layout=layout)

            monkeypatch.setattr(line, "update", noted)
            put(line, now)
            put(line, now)
            await hands.settle()
            assert (asked, str(line.content)) == ([laid_out], now), "the same text again asks for nothing"

    change()
