"""Working pages hear of what others seal into the same hoist, before they seal themselves."""

import asyncio

from textual.timer import Timer
from textual.widgets import Label

from fieldlog.errors import FieldlogError
from fieldlog.operations.meanwhile import Meanwhile, meanwhile_words
from fieldlog.tui.page import Page

HEAR_EVERY_S = 1.0
LOST = "The logbook of this hoist is gone or can not be trusted."
FOUND = "The logbook of this hoist reads again."
KEPT, LOOK = "Your draft is kept; look before you seal.", "Look before you seal."


class HearsOthers(Page):
    """Subclasses give `meanwhile` and `kept_so_far`. Cursor and typing stay; only the message line speaks."""

    meanwhile: Meanwhile
    _ears: Timer | None = None

    @property
    def kept_so_far(self) -> bool:
        """Whether a draft holds what was typed here."""
        return True

    def on_mount(self) -> None:
        """Begin to look; a subclass may call this by `super` besides."""
        super().on_mount()
        if self._ears is None:
            self._ears = self.set_interval(HEAR_EVERY_S, self._hear)

    def heard(self) -> None:
        """Others sealed something; a page that shows such things shows them now."""

    @property
    def _in_front(self) -> bool:
        """Textual calls a page right below the one in front current too."""
        return self.app.screen is self

    async def _hear(self) -> None:
        """Say what others sealed; again, where a key wrote over it, until it stood for a whole look."""
        if not self._in_front:
            return
        stood = self.meanwhile.unheard
        if stood and str(self.query_one("#message", Label).content) == stood:
            self.meanwhile.unheard = stood = ""
        was_lost = self.meanwhile.lost
        words = meanwhile_words(await asyncio.to_thread(self.meanwhile.look))
        if self.meanwhile.lost != was_lost:
            words = LOST if self.meanwhile.lost else FOUND
        if words:
            advice = KEPT if self.kept_so_far else LOOK
            self.meanwhile.unheard = f"{words} {advice}"
        if not self._in_front:
            return
        try:
            if words:
                self.heard()
            if self.meanwhile.unheard:
                self.say(self.meanwhile.unheard, bad=True)
        except FieldlogError as error:  # a timer would end the app for it
            self.say_error(error)
