"""What every screen has: a title line, the tag field, the keys that work here, and a way back."""

from __future__ import annotations

from datetime import date, datetime
from typing import TYPE_CHECKING, ClassVar, cast

from textual.app import ComposeResult
from textual.binding import BindingType
from textual.message import Message
from textual.screen import Screen
from textual.widget import Widget
from textual.widgets import Label

from fieldlog.errors import FieldlogError
from fieldlog.operations.finding import find_tag
from fieldlog.operations.shop import Shop
from fieldlog.tui.commands import bindings
from fieldlog.tui.texts import put
from fieldlog.tui.widgets.key_line import KeyLine
from fieldlog.tui.widgets.tag_bar import TagBar

if TYPE_CHECKING:
    from fieldlog.tui.app import FieldlogApp


class Page(Screen[None]):
    """A screen of fieldlog. Subclasses give `body()`, `heading()` and their own keys."""

    BINDINGS: ClassVar[list[BindingType]] = [*bindings("page")]
    first_focus = ""
    news = ""  # said once, when the screen comes to the front
    before_tag: Widget | None = None

    @property
    def fieldlog(self) -> FieldlogApp:
        """The app, which knows the shop, the person at the keys and the clock."""
        return cast("FieldlogApp", self.app)

    @property
    def shop(self) -> Shop:
        """The open store."""
        return self.fieldlog.shop

    def now(self) -> datetime:
        """The moment, from the app's clock."""
        return self.fieldlog.clock()

    def today(self) -> date:
        """The day at the keys."""
        return self.now().date()

    def compose(self) -> ComposeResult:
        """Title, body, message line, tag field, keys."""
        yield Label(self.heading(), id="heading", markup=False)
        yield from self.body()
        yield Label("", id="message", markup=False)
        yield TagBar()
        yield KeyLine()

    def body(self) -> ComposeResult:
        """The screen's own widgets."""
        yield from ()

    def heading(self) -> str:
        """The title line."""
        return "fieldlog"

    def on_mount(self) -> None:
        """Put the cursor where the work begins."""
        if self.first_focus:
            self.query_one(self.first_focus).focus()

    def on_screen_resume(self) -> None:
        """Screens show themselves first (their own handlers run before this one), then the news is told."""
        if self.news:
            self.say(self.news)
            self.news = ""

    def say(self, sentence: str, *, bad: bool = False) -> None:
        """One sentence above the tag field."""
        line = self.query_one("#message", Label)
        put(line, sentence)
        line.set_class(bad, "bad")

    def say_also(self, sentence: str) -> None:
        """A sentence after the one that stands there, for what is known a moment later."""
        if self.news:
            self.news = f"{self.news} {sentence}"
            return
        line = self.query_one("#message", Label)
        self.say(f"{line.content} {sentence}".strip(), bad=line.has_class("bad"))

    def say_error(self, error: FieldlogError) -> None:
        """An error in its own words."""
        self.say(str(error), bad=True)

    async def _dispatch_message(self, message: Message) -> None:
        """What the store refuses is said in place, whichever handler asked for it; the app goes on."""
        try:
            await super()._dispatch_message(message)
        except FieldlogError as error:
            if not self.query("#message"):
                raise
            self.say_error(error)

    def set_heading(self, text: str) -> None:
        """Change the title line."""
        self.query_one("#heading", Label).update(text, layout=False)

    def action_tag(self) -> None:
        """Go to the tag field; Escape leads back to where the cursor was."""
        bar = self.query_one(TagBar)
        if self.focused is not None and bar not in self.focused.ancestors:
            self.before_tag = self.focused
        bar.focus_field()

    def action_back(self) -> None:
        """Leave the tag field, or the screen."""
        bar = self.query_one(TagBar)
        if self.focused is not None and bar in self.focused.ancestors:
            bar.clear()
            self.say("")
            self._refocus()
            return
        self.leave()

    def _refocus(self) -> None:
        if self.before_tag is not None and self.before_tag.is_attached:
            self.before_tag.focus()
        elif self.first_focus:
            self.query_one(self.first_focus).focus()
        else:
            self.set_focus(None)

    def leave(self) -> None:
        """Go back to the screen below; the lowest one stays."""
        if len(self.app.screen_stack) > 2:
            self.app.pop_screen()

    def on_tag_bar_asked(self, event: TagBar.Asked) -> None:
        """Open the hoist, or say why there is none and offer near tags."""
        event.stop()
        bar = self.query_one(TagBar)
        if self.fieldlog.nobody_yet:
            self.say("Nobody is at the keys yet: fill in this form first.", bad=True)
            return
        found = find_tag(event.text, self.shop.logbooks.hoist_names())
        if found.id:
            bar.clear()
            self._refocus()
            self.fieldlog.go_to_hoist(found.id)
        else:
            self.say(found.sentence, bad=True)
            bar.show(found)
