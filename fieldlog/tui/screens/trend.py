"""The wear of a hoist's chain over time: readings, limit, trend and the band around it."""

from textual.app import ComposeResult

from fieldlog.operations.wear_over_time import wear_over_time
from fieldlog.tui.screens.drawn import DrawnPage
from fieldlog.tui.widgets.picture import Picture
from fieldlog.tui.widgets.wear_plot import wear_plot_lines


class TrendPage(DrawnPage):
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

    def on_mount(self) -> None:
        """Read the logbook."""
        super().on_mount()
        self.show_wear()

    def on_screen_resume(self) -> None:
        """Coming back, the picture shows what was sealed meanwhile."""
        if self.is_mounted and self.query(Picture):
            self.show_wear()

    def show_wear(self) -> None:
        """Read the hoist again and draw it; the picture fits itself to the window."""
        wear = wear_over_time(self.shop, self.hoist_id)
        self.show_words(f"{wear.sentence}\n{wear.about}")
        self.query_one(Picture).show(
            lambda columns, lines: wear_plot_lines(wear, columns=columns, lines=lines, plain=self.plain)
        )
