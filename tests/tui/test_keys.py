"""How keys are named, and that the help of a screen lists what works there."""

from pathlib import Path

import pytest
from textual.binding import Binding

from fieldlog.tui.keys import ALWAYS, help_lines, key_words
from tests.tui.builder import at_the_keys, in_terminal
from tests.tui.journeys import shop_with_work


@pytest.mark.parametrize(
    ("key", "words"),
    [
        ("f10", "F10"),
        ("f1", "F1"),
        ("f", "f"),
        ("G", "G"),
        ("slash", "/"),
        ("escape", "Esc"),
        ("enter", "Enter"),
        ("pagedown", "PgDn"),
        ("ctrl+q", "Ctrl-Q"),
        ("ctrl+z", "Ctrl-Z"),
    ],
)
def test_a_key_is_named_as_it_stands_on_the_keyboard(key: str, words: str) -> None:
    assert key_words(Binding(key, "do", "Do")) == words


@in_terminal
async def test_f1_shows_the_keys_of_the_screen_one_is_on_and_what_holds_everywhere(tmp_path: Path) -> None:
    shop, tag = shop_with_work(tmp_path)
    async with at_the_keys(shop) as hands:
        hands.table().move_to(tag)
        await hands.type("<enter>i<enter><f1>")
        assert hands.heading() == "Keys of this screen"
        lines = [" ".join(row.cells[0].split()) for row in hands.table().rows]
        for line in (
            "o ok: looked at and in order",
            "s Not seen: could not be looked at; say why",
            "Ctrl-Q Leave: everything typed is kept",
            "Ctrl-Z To the shell, fg comes back",
        ):
            assert line in lines
        await hands.press("end")
        assert ALWAYS[-1] in hands.text()
        await hands.press("escape")
        assert hands.page == "InspectionPage"
        assert help_lines(hands.app.screen)[-len(ALWAYS) :] == list(ALWAYS)
