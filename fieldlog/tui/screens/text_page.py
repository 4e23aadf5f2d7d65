"""A page of plain lines that can be walked through: keys, a sealed line, what a long row says."""

from collections.abc import Sequence

from msgspec.structs import replace
from textual.app import ComposeResult

from fieldlog.tui.page import Page
from fieldlog.tui.widgets.line_table import Column, LineTable, Row, wrap_rows


class TextPage(Page):
    """Lines of text under a title; long ones are wrapped."""

    first_focus = "#text"

    def __init__(self, title: str, lines: Sequence[str]) -> None:
        super().__init__()
        self.title_words = title
        self.lines = tuple(lines)

    def heading(self) -> str:
        """The title."""
        return self.title_words

    def body(self) -> ComposeResult:
        """The lines."""
        yield LineTable((Column(title=""),), id="text", title=False, opens=False)

    def on_mount(self) -> None:
        """Wrap to the window."""
        super().on_mount()
        self.show_lines()

    def on_resize(self) -> None:
        """Wrap again."""
        if self.query(LineTable):
            self.show_lines()

    def show_lines(self) -> None:
        """Show the lines, wrapped to the width of the window; the cursor goes through every one of them."""
        rows = [Row(key=str(place), cells=(line,)) for place, line in enumerate(self.lines)]
        wrapped = wrap_rows(rows, self.app.size.width)
        self.query_one(LineTable).set_rows([replace(row, selectable=True) for row in wrapped])
