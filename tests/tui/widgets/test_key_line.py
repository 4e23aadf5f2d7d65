"""The line of keys: those that are shown and work, in order, and written anew only when they change."""

from typing import ClassVar

import pytest
from textual.app import App, ComposeResult
from textual.binding import Binding, BindingType
from textual.widgets import Input

from fieldlog.tui.widgets.key_line import KeyLine
from tests.tui.builder import in_terminal


class _Keys(App[None]):
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("f10", "save", "Save"),
        Binding("slash", "find", "Find"),
        Binding("r", "look", "Look again", show=False),
        Binding("f8", "discard", "Discard"),
    ]
    may_discard = False

    def compose(self) -> ComposeResult:
        yield Input(id="one")
        yield Input(id="two")
        yield KeyLine()

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        return self.may_discard if action == "discard" else True


@in_terminal
async def test_keys_that_are_shown_and_work_stand_as_on_the_keyboard() -> None:
    app = _Keys()
    async with app.run_test(size=(80, 5)) as pilot:
        await pilot.pause()
        line = app.query_one(KeyLine)
        assert str(line.content).rstrip() == "F10 Save  / Find"
        app.may_discard = True
        app.refresh_bindings()
        await pilot.pause()
        assert str(line.content).rstrip() == "F10 Save  / Find  F8 Discard"


@in_terminal
async def test_moving_the_cursor_between_fields_with_the_same_keys_writes_nothing(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    app = _Keys()
    async with app.run_test(size=(80, 5)) as pilot:
        await pilot.pause()
        written = []
        monkeypatch.setattr(app.query_one(KeyLine), "update", lambda *text, **options: written.append(text))
        app.query_one("#two").focus()
        await pilot.pause()
        app.query_one("#one").focus()
        await pilot.pause()
        assert written == []
