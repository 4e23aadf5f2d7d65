"""One place of the chain: its name, the reading, growth, used share and verdict beside it."""

from textual.app import ComposeResult
from textual.containers import Horizontal
from textual.message import Message
from textual.widgets import Input, Label

from fieldlog.operations.assessing import ReadingView
from fieldlog.operations.drafting import ReadingDraft
from fieldlog.tui.marks import VERDICT_MARKS, VERDICT_TONES, share, show_tone
from fieldlog.tui.texts import put
from fieldlog.units import format_mm


class ReadingRow(Horizontal):
    """A place and its reading; posts `Edited` at every key."""

    class Edited(Message):
        """Name or figure of a place changed."""

        def __init__(self, row: "ReadingRow") -> None:
            super().__init__()
            self.row = row

    def __init__(self, place: int, reading: ReadingDraft) -> None:
        super().__init__()
        self.place = place
        self.reading = reading

    def compose(self) -> ComposeResult:
        """Name, figure, what it says."""
        yield Input(self.reading.place, classes="place-name")
        yield Input(self.reading.text, classes="place-value", placeholder="mm")
        yield Label("", classes="place-says", markup=False)

    def on_mount(self) -> None:
        """No blinking cursor over a slow line."""
        for field in self.query(Input):
            field.cursor_blink = False

    @property
    def name_field(self) -> Input:
        """The field with the place's name."""
        return self.query_one(".place-name", Input)

    @property
    def value(self) -> Input:
        """The field with the reading."""
        return self.query_one(".place-value", Input)

    def on_input_changed(self, event: Input.Changed) -> None:
        """Tell the page; it judges all places together."""
        event.stop()
        if event.input.has_focus:
            self.post_message(self.Edited(self))

    def show(self, view: ReadingView) -> None:
        """Show growth, used share and verdict, or last time's figure while nothing is typed."""
        says = self.query_one(".place-says", Label)
        verdict = view.verdict
        if verdict is None:
            last = "" if view.last_mm is None else f"last time {format_mm(view.last_mm)}"
            put(says, view.problem or last)
            show_tone(says, "bad" if view.problem else "")
            return
        mark = VERDICT_MARKS[verdict.finding.verdict]
        if view.questions:
            mark = f"? {view.questions[0]}"
        elif verdict.growth_mm is not None and verdict.used_pct is not None:
            mark = f"{mark:<12} {verdict.growth_mm:+.2f} mm  {share(verdict.used_pct)}"
            if view.last_mm is not None:
                mark += f"  last {format_mm(view.last_mm)}"
        put(says, mark)
        show_tone(says, "caution" if view.questions else VERDICT_TONES[verdict.finding.verdict])
