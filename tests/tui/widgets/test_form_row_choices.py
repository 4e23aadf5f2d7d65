"""What is typed of a choice is written out as the one that was meant."""

from textual.app import App, ComposeResult

from fieldlog.operations.entering import Field, read_choice
from fieldlog.tui.widgets.form_row import FormRow
from tests.tui.builder import in_terminal


class _Row(App[None]):
    def compose(self) -> ComposeResult:
        sites = ("Hall annex", "hall")
        yield FormRow(Field(name="site", label="Site", read=read_choice("it", sites), choices=sites), "hall")


@in_terminal
async def test_a_choice_that_is_typed_whole_is_not_written_out_as_a_longer_one() -> None:
    app = _Row()
    async with app.run_test():
        row = app.query_one(FormRow)
        assert not row.complete()
        assert row.text == "hall"
