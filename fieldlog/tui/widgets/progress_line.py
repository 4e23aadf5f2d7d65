"""How far something long is, in one line of plain signs; only the cells that changed are drawn again."""

from itertools import zip_longest
from typing import ClassVar

from rich.segment import Segment
from textual.geometry import Region
from textual.strip import Strip
from textual.widget import Widget

BAR = 20


def progress_words(done: int, total: int, things: str) -> str:
    """'[####......] 412 of 1,000 hoists'; without a total only what is being looked at."""
    filled = BAR * min(done, total) // total if total else 0
    drawn = "#" * filled + "." * (BAR - filled)
    count = f"{done:,} of {total:,} " if total else ""
    return f"[{drawn}] {count}{things}"


class ProgressLine(Widget):
    """One line that is empty while nothing runs, so that nothing moves when it begins."""

    DEFAULT_CSS: ClassVar[str] = "ProgressLine { height: 1; width: 100%; color: $text-accent; }"

    def __init__(self) -> None:
        super().__init__(id="progress")
        self.text = ""

    def show(self, text: str) -> None:
        """Show another text, a cell a sign; over a slow line only what differs is sent."""
        before, self.text = self.text, f" {text}" if text else ""
        pairs = enumerate(zip_longest(before, self.text, fillvalue=" "))
        changed = [place for place, (old, new) in pairs if old != new]
        if changed:
            self.refresh(Region(changed[0], 0, changed[-1] - changed[0] + 1, 1))

    def render_line(self, y: int) -> Strip:
        """The line."""
        width = self.size.width
        return Strip([Segment(self.text[:width].ljust(width) if y == 0 else " " * width, self.rich_style)])
