"""The wear of a hoist's chain over time: readings, limit, trend and the band around it."""

from textual.app import ComposeResult

from fieldlog.errors import FieldlogError
from fieldlog.operations.wear_over_time import wear_over_time
from fieldlog.tui.screens.drawn import DrawnPage
from fieldlog.tui.watching import WatchesHoist
from fieldlog.tui.widgets.picture import Picture
from fieldlog.tui.widgets.wear_plot import wear_plot_lines


class TrendPage(DrawnPage, WatchesHoist):
    """The wear plot of one hoist, with the same in words above it."""

    def __init__(self, hoist_id: str, *, plain: bool | None = None) -> None:
        super().__init__(plain=plain)
        self.hoist_id = hoist_id

    def heading(self) -> str:
        """What is drawn, of which hoist, on which day."""
        return f"{self.hoist_id}   wear over time   {self.today().isoformat()}"

    def body(self) -> ComposeResult:
        """Words, then the picture."""
        yield self.words()
        yield Picture(id="wear-picture")

    def show_rows(self) -> None:
        """Read the hoist again and draw it; of one that does not read nothing is drawn."""
        picture = self.query_one(Picture)
        try:
            wear = wear_over_time(self.shop, self.hoist_id)
        except FieldlogError as error:
            picture.display = False
            self.show_words(f"X {error}")
            return
        picture.display = True
        self.show_words(f"{wear.sentence}\n{wear.about}")
        picture.show(
            lambda columns, lines: wear_plot_lines(wear, columns=columns, lines=lines, plain=self.plain)
        )
