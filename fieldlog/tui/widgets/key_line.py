"""The keys that work here, in one line that is written anew only when other keys work.

Textual's own footer makes a widget of each key and makes all of them again at every move of the cursor.
"""

from textual.binding import Binding
from textual.content import Content
from textual.screen import Screen
from textual.widgets import Static

from fieldlog.tui.keys import key_words

GAPS = ("  ", " ")  # the second one where the first leaves no room
LAST = ("page.keys", "page.commands")


class KeyLine(Static):
    """Shows every binding of the screen in front that asks to be shown, its own ones first."""

    def __init__(self) -> None:
        super().__init__(id="keys", markup=False)
        self.shown: tuple[tuple[str, str], ...] = ()

    def on_mount(self) -> None:
        """Follow the screen's bindings."""
        self.screen.bindings_updated_signal.subscribe(self, self._follow)
        self._follow(self.screen)

    def on_resize(self) -> None:
        """The gaps follow the width."""
        self._draw()

    def _follow(self, screen: Screen[object]) -> None:
        if not self.is_attached or screen is not self.screen:
            return
        held = [held.binding for held in screen.active_bindings.values() if held.enabled]
        active = sorted((b for b in held if _is_shown(b)), key=lambda b: b.id in LAST)
        keys = tuple((key_words(b), b.description) for b in active)
        if keys != self.shown:
            self.shown = keys
            self._draw()

    def _draw(self) -> None:
        words = [f"{key} {what}" for key, what in self.shown]
        room = self.content_size.width
        gap = next((gap for gap in GAPS if len(gap.join(words)) <= room), GAPS[-1])
        parts = (part for key, what in self.shown for part in ((key, "bold"), f" {what}{gap}"))
        self.update(Content.assemble(*parts), layout=False)


def _is_shown(binding: Binding) -> bool:
    return binding.show and not binding.system
