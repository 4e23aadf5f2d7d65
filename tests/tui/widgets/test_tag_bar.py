"""The tag field: Enter asks, near tags stand beside it, and it empties for the next one."""

from textual.app import App, ComposeResult
from textual.widgets import Input, Label

from fieldlog.operations.finding import Search
from fieldlog.tui.widgets.tag_bar import TagBar
from tests.tui.builder import in_terminal


class _OneBar(App[None]):
    def __init__(self) -> None:
        super().__init__()
        self.bar = TagBar()
        self.asked: list[str] = []

    def compose(self) -> ComposeResult:
        yield self.bar

    def on_tag_bar_asked(self, event: TagBar.Asked) -> None:
        self.asked.append(event.text)


@in_terminal
async def test_enter_asks_and_a_failed_search_offers_near_tags_and_is_typed_over() -> None:
    app = _OneBar()
    async with app.run_test(size=(80, 3)) as pilot:
        app.bar.focus_field()
        await pilot.pause()
        await pilot.press(*"SW-1", "enter")
        assert app.asked == ["SW-1"]
        app.bar.show(Search(sentence="no such tag", near=("SW-0001-0", "SW-0010-7")))
        line = app.bar.query_one("#tag-line", Label)
        assert str(line.content) == "Near: SW-0001-0, SW-0010-7"
        await pilot.press("7", "enter")
        assert app.asked == ["SW-1", "7"]
        app.bar.show(Search(sentence="no such tag"))
        assert str(line.content) == "nothing near it"
        app.bar.clear()
        assert (app.bar.query_one(Input).value, str(line.content)) == ("", "")


@in_terminal
async def test_the_cursor_does_not_blink_over_a_slow_line() -> None:
    app = _OneBar()
    async with app.run_test(size=(80, 3)) as pilot:
        await pilot.pause()
        assert app.bar.query_one(Input).cursor_blink is False
