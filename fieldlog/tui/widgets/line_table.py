"""A table drawn line by line: only the rows in sight are rendered, so its length does not matter."""

import textwrap
from collections.abc import Sequence
from typing import ClassVar

from msgspec import Struct
from msgspec.structs import replace
from rich.cells import set_cell_size
from rich.segment import Segment
from rich.style import Style
from textual.binding import BindingType
from textual.geometry import Region, Size
from textual.message import Message
from textual.reactive import reactive
from textual.scroll_view import ScrollView
from textual.strip import Strip

from fieldlog.tui.commands import bindings


class Column(Struct, frozen=True, kw_only=True):
    """A column: its title and width in cells; width 0 takes what is left."""

    title: str
    width: int = 0


class Row(Struct, frozen=True, kw_only=True):
    """A row: its key, the text of each cell, and a tone (plain, good, caution, bad, heading)."""

    key: str
    cells: tuple[str, ...]
    tone: str = "plain"
    selectable: bool = True


CONTINUED = "~"


def wrap_rows(rows: Sequence[Row], width: int, label: int = 0) -> list[Row]:
    """Rows whose last cell is longer than what `width` leaves of it go on in rows below.

    Those can not be chosen.
    `label` is the width of the cells before the last one.
    """
    result: list[Row] = []
    room = max(width - label - (1 if label else 0) - 1, 20)
    for row in rows:
        parts = textwrap.wrap(row.cells[-1], room, break_on_hyphens=False) or [""]
        if row.tone == "heading":
            parts = [row.cells[-1]]
        result.append(replace(row, cells=(*row.cells[:-1], parts[0])))
        blank = ("",) * (len(row.cells) - 1)
        result.extend(
            replace(row, key=f"{row.key}{CONTINUED}{place}", cells=(*blank, part), selectable=False)
            for place, part in enumerate(parts[1:])
        )
    return result


TONES = ("plain", "good", "caution", "bad", "heading")


class LineTable(ScrollView, can_focus=True):
    """Rows with a cursor. Posts `Moved` when the cursor lands on a row and `Chosen` on Enter."""

    COMPONENT_CLASSES: ClassVar[set[str]] = {
        "table--title",
        "table--cursor",
        *(f"table--{tone}" for tone in TONES),
    }
    BINDINGS: ClassVar[list[BindingType]] = [*bindings("table")]
    cursor = reactive(0)

    class Moved(Message):
        """The cursor stands on another row."""

        def __init__(self, table: "LineTable", key: str) -> None:
            super().__init__()
            self.table = table
            self.key = key

        @property
        def control(self) -> "LineTable":
            """The table it came from."""
            return self.table

    class Chosen(Moved):
        """Enter was pressed on a row."""

    def __init__(
        self, columns: Sequence[Column], *, id: str | None = None, title: bool = True, opens: bool = True
    ) -> None:
        super().__init__(id=id)
        self.opens = opens
        self.columns = tuple(columns)
        self.rows: list[Row] = []
        self.with_title = title
        self.held_off = False  # whoever shows the rows may have Enter passed over once

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """Enter is no key of a table whose rows open nothing."""
        return self.opens if action == "choose" else super().check_action(action, parameters)

    def set_rows(self, rows: Sequence[Row]) -> None:
        """Show other rows; the cursor stays on the row with the same key where there is one."""
        key = self.current_key
        self.rows = list(rows)
        places = {row.key: place for place, row in enumerate(self.rows)}
        kept = places.get(key, min(self.cursor, max(len(self.rows) - 1, 0)))
        self.set_reactive(LineTable.cursor, self._nearest(kept, 1))
        self.virtual_size = Size(0, len(self.rows) + self._top)
        self._show_cursor()
        self.refresh()

    @property
    def _top(self) -> int:
        return 1 if self.with_title else 0

    @property
    def current_key(self) -> str:
        """The key of the row under the cursor, or an empty text where there are no rows."""
        return self.rows[self.cursor].key if 0 <= self.cursor < len(self.rows) else ""

    def move_to(self, key: str) -> None:
        """Put the cursor on the row with this key."""
        for place, row in enumerate(self.rows):
            if row.key == key:
                self.cursor = place
                return

    def _nearest(self, place: int, step: int) -> int:
        """The nearest selectable row from `place` on in the direction of `step`, else where we are."""
        wanted = place
        while 0 <= wanted < len(self.rows) and not self.rows[wanted].selectable:
            wanted += step
        if 0 <= wanted < len(self.rows):
            return wanted
        if step > 0 and place < len(self.rows) and self.rows:
            return self._nearest(place, -1)
        return min(max(self.cursor, 0), max(len(self.rows) - 1, 0))

    def watch_cursor(self, before: int, now: int) -> None:
        """Draw the two rows that changed and tell who listens."""
        self.held_off = False
        if before == now or not self.rows:
            return
        for place in (before, now):
            self.refresh(Region(0, place + self._top - self.scroll_offset.y, self.size.width, 1))
        self._show_cursor()
        self.post_message(self.Moved(self, self.current_key))

    def _show_cursor(self) -> None:
        """Bring the cursor's row into sight with the rows that it goes on in, as far as there is room."""
        if not self.size.height:
            return  # not laid out yet: its resize shows the cursor
        line = self.cursor + self._top
        last = min(self._end_of_row() + self._top, line + self.size.height - self._top - 1)
        top = self.scroll_offset.y + self._top
        bottom = self.scroll_offset.y + self.size.height - 1
        if line < top:
            self.scroll_to(y=max(line - self._top - 1, 0), animate=False, force=True)
        elif last > bottom:
            self.scroll_to(y=last - self.size.height + 1, animate=False, force=True)

    def _end_of_row(self) -> int:
        """The last of the rows that the cursor's goes on in: they can not be chosen, only be seen with it."""
        place = self.cursor
        while place + 1 < len(self.rows):
            below = self.rows[place + 1]
            if below.selectable or below.tone == "heading":
                break
            place += 1
        return place

    def on_resize(self) -> None:
        """Keep the cursor in sight when the window changes."""
        self._show_cursor()

    def action_move(self, step: int) -> None:
        """One row up or down."""
        self.cursor = self._nearest(self.cursor + step, step)

    def action_page(self, step: int) -> None:
        """One window up or down."""
        wanted = self.cursor + step * max(self.size.height - 2, 1)
        self.cursor = self._nearest(min(max(wanted, 0), max(len(self.rows) - 1, 0)), step)

    def action_edge(self, step: int) -> None:
        """First or last row."""
        last = max(len(self.rows) - 1, 0)
        self.cursor = self._nearest(0 if step < 0 else last, -step)

    def action_choose(self) -> None:
        """Tell that the row under the cursor was chosen."""
        if self.held_off:
            self.held_off = False
        elif self.current_key:
            self.post_message(self.Chosen(self, self.current_key))

    def _widths(self) -> list[int]:
        spare = (
            self.scrollable_content_region.width
            - sum(column.width for column in self.columns)
            - len(self.columns)
            + 1
        )
        flexible = sum(column.width == 0 for column in self.columns) or 1
        return [column.width or max(spare // flexible, 4) for column in self.columns]

    def _line(self, cells: Sequence[str], style: Style) -> Strip:
        pairs = zip(cells, self._widths(), strict=False)
        text = " ".join(set_cell_size(cell.replace("\n", " "), width) for cell, width in pairs)
        return Strip([Segment(set_cell_size(text, self.size.width), style)])

    def render_line(self, y: int) -> Strip:
        """One line of the window: the title stays on top."""
        if self.with_title and y == 0:
            style = self.get_component_rich_style("table--title")
            return self._line([column.title for column in self.columns], style)
        place = y + self.scroll_offset.y - self._top
        if not 0 <= place < len(self.rows):
            return Strip.blank(self.size.width, self.rich_style)
        row = self.rows[place]
        style = self.get_component_rich_style(f"table--{row.tone}")
        if place == self.cursor and self.has_focus:
            style = self.get_component_rich_style("table--cursor")
        if row.tone == "heading":
            return Strip([Segment(set_cell_size(" ".join(row.cells), self.size.width), style)])
        return self._line(row.cells, style)

    def watch_has_focus(self, value: bool) -> None:
        """The cursor shows only where keys go."""
        super().watch_has_focus(value)
        self.refresh()
