"""Pages that show by themselves what other sessions change in the files that they come from."""

from collections.abc import Sequence
from pathlib import Path

from textual.timer import Timer
from textual.widgets import Label

from fieldlog.errors import FieldlogError
from fieldlog.store.reading import place_of
from fieldlog.tui.page import Page

LOOK_EVERY_S = 1.0
State = tuple[int, int, int, int]


class WatchesFiles(Page):
    """Subclasses give `watched`, and `show_rows` that leaves the cursor on its row. A look is cheap."""

    _states: tuple[State | None, ...] = ()
    _eyes: Timer | None = None

    def watched(self) -> Sequence[Path]:
        """The files, or folders in which a file is replaced, that the rows come from."""
        return ()

    def show_rows(self) -> None:
        """Read the files and show what they hold."""

    def is_of_another_day(self) -> bool:
        """Whether the rows say something of a day that is over."""
        return False

    def show_changes(self) -> None:
        """Others changed something."""
        self.show_rows()

    def say_whether_empty(self, sentence: str, *, empty: bool) -> None:
        """Say it of an empty list, and take it back once there is something in it."""
        if empty:
            self.say(sentence)
        elif str(self.query_one("#message", Label).content) == sentence:
            self.say("")

    def on_mount(self) -> None:
        """Show the rows and begin to look; a subclass may call this by `super` besides."""
        super().on_mount()
        if self._eyes is None:
            self._states = self._look()
            self._eyes = self.set_interval(LOOK_EVERY_S, self._show_what_changed)
            self.show_rows()

    def on_screen_resume(self) -> None:
        """Coming back, the page shows what was done meanwhile."""
        if self._eyes is not None:
            self.show_rows()

    def _look(self) -> tuple[State | None, ...]:
        return tuple(_state(path) for path in self.watched())

    def _show_what_changed(self) -> None:
        states = self._look()
        if self.app.screen is self and (states != self._states or self.is_of_another_day()):
            self._states = states
            try:
                self.show_changes()
            except FieldlogError as error:  # a timer would end the app for it
                self.say_error(error)


class WatchesHoist(WatchesFiles):
    """A page of one hoist, which subclasses name; another session may seal into its logbook."""

    hoist_id: str

    def watched(self) -> Sequence[Path]:
        """The logbook."""
        return (self.shop.root / place_of(self.hoist_id),)


def _state(path: Path) -> State | None:
    try:
        held = path.stat()
    except OSError:
        return None
    return held.st_ino, held.st_size, held.st_mtime_ns, held.st_ctime_ns
