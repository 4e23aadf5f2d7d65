"""A picture made of signs: whoever draws is told the size and gives back the lines."""

from collections.abc import Callable, Sequence
from typing import ClassVar

from rich.cells import set_cell_size
from rich.segment import Segment
from textual.strip import Strip
from textual.widget import Widget

Draw = Callable[[int, int], Sequence[str]]


class Picture(Widget):
    """Draws itself anew at every size. `draw` takes columns and lines and gives lines of text."""

    DEFAULT_CSS: ClassVar[str] = "Picture { height: 1fr; width: 100%; padding: 0 1; }"

    def __init__(self, *, id: str | None = None) -> None:
        super().__init__(id=id)
        self.lines: tuple[str, ...] = ()
        self._draw: Draw | None = None

    def show(self, draw: Draw | None) -> None:
        """Show another picture, or none."""
        self._draw = draw
        self._redraw()

    def on_resize(self) -> None:
        """Draw for the new size."""
        self._redraw()

    def _redraw(self) -> None:
        self.lines = () if self._draw is None else tuple(self._draw(self.size.width, self.size.height))
        self.refresh()

    def render_line(self, y: int) -> Strip:
        """One line of the picture."""
        style = self.rich_style
        if y >= len(self.lines):
            return Strip.blank(self.size.width, style)
        return Strip([Segment(set_cell_size(self.lines[y], self.size.width), style)])
