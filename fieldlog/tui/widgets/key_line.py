"""The keys that work here, in one line that is written anew only when other keys work.

Textual's own footer makes a widget of each key and makes all of them again at every move of the cursor.
"""

from textual.binding import Binding
from textual.content import Content
from textual.screen import Screen
from textual.widgets import Static

from fieldlog.tui.keys import key_words

GAP = "  "


class KeyLine(Static):
    """Shows every binding of the screen in front that asks to be shown."""

    def __init__(self) -> None:
        super().__init__(id="keys", markup=False)
        self.shown: tuple[tuple[str, str], ...] = ()

    def on_mount(self) -> None:
        """Follow the screen's bindings."""
        self.screen.bindings_updated_signal.subscribe(self, self._follow)
        self._follow(self.screen)

    def _follow(self, screen: Screen[object]) -> None:
        if not self.is_attached or screen is not self.screen:
            return
        active = [held.binding for held in screen.active_bindings.values() if held.enabled]
        keys = tuple((key_words(b), b.description) for b in active if _is_shown(b))
        if keys != self.shown:
            self.shown = keys
            parts = (part for key, what in keys for part in ((key, "bold"), f" {what}{GAP}"))
            self.update(Content.assemble(*parts), layout=False)


def _is_shown(binding: Binding) -> bool:
    return binding.show and not binding.system
