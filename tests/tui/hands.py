"""A technician's hands on the keyboard, and what stands on the screen.

Keys are posted all at once, as a packet from a terminal brings them, so every test types ahead.
"""

import asyncio
import time
from collections.abc import Callable
from math import inf
from typing import Any

from textual.binding import Binding
from textual.events import Key
from textual.keys import _character_to_key
from textual.pilot import Pilot
from textual.widgets import Input

from fieldlog.tui.app import FieldlogApp
from fieldlog.tui.screens.inspection import InspectionPage
from fieldlog.tui.widgets.line_table import LineTable

PATIENCE_S = 30
BLINK_S = 0.002
"""Pilot.pause alone takes 20 ms, which was a third of all the time that tests of screens took."""


def as_key(name: str) -> Key:
    """A key as a terminal brings it: a character, or a name such as enter, f10, ctrl+q."""
    if len(name) == 1:
        return Key(_character_to_key(name), name)
    return Key(name, {"enter": "\r", "escape": "\x1b", "space": " "}.get(name))


class Hands:
    """Presses keys and reads the screen of a running app."""

    def __init__(self, app: FieldlogApp, pilot: Pilot[int]) -> None:
        self.app = app
        self.waits_for_signatures = True
        self.pilot = pilot

    async def press(self, *names: str) -> None:
        """Keys by name, all in one packet."""
        for name in names:
            self.app.post_message(as_key(name))
        await self.settle()

    async def type(self, *texts: str) -> None:
        """Characters, all in one packet; a name in angles is a key: '<f10>'."""
        await self.press(*(name for text in texts for name in keys_of(text)))

    async def settle(self) -> None:
        """Until every key is handled and the screen is drawn."""
        for _ in range(2):
            reached = asyncio.Event()
            if self.app.call_later(reached.set):
                await self._until(reached.is_set)
            await self._until(lambda: self.app.typed._task is None or self.app.typed._task.done())
            if self.waits_for_signatures:
                await self._until(lambda: not any(w.group == "signing" for w in self.app.workers))
        await self._until(self._is_seen)
        await self.pilot.pause(BLINK_S)

    def _is_seen(self) -> bool:
        """A page that seals nothing before it could be read is read by now."""
        return getattr(self.app.screen, "seen_at", 0.0) != inf

    async def until(self, done: Callable[[], bool]) -> None:
        """Wait for what happens beside the keys: others' work, a signature, a rest of the cursor."""
        await self._until(done)
        await self.settle()

    async def app_resized(self, columns: int, lines: int) -> None:
        """The window gets another size."""
        await self.pilot.resize_terminal(columns, lines)
        await self.settle()

    async def _until(self, done: Callable[[], bool]) -> None:
        deadline = time.monotonic() + PATIENCE_S
        while not done() and self.app._exception is None and self.app.is_running:
            assert time.monotonic() < deadline, "the keys are still not handled"
            await asyncio.sleep(0.002)

    def lines(self) -> list[str]:
        """The screen as plain text, a line each, without blanks at the end."""
        strips = self.app.screen._compositor.render_strips()
        return ["".join(segment.text for segment in strip).rstrip() for strip in strips]

    def text(self) -> str:
        """The whole screen as plain text."""
        return "\n".join(self.lines())

    def flat(self) -> str:
        """The screen with wrapped lines joined and blanks run together, for sentences that wrap."""
        return " ".join(self.text().split())

    def message(self) -> str:
        """The line above the tag field."""
        return str(self.app.screen.query_one("#message").content)  # type: ignore[attr-defined]

    def heading(self) -> str:
        """The title line."""
        return str(self.app.screen.query_one("#heading").content)  # type: ignore[attr-defined]

    def tag_line(self) -> str:
        """What stands beside the tag field."""
        return str(self.app.screen.query_one("#tag-line").content)  # type: ignore[attr-defined]

    def field(self, name: str) -> Input:
        """A field of the form in front."""
        return self.app.screen.query_one(f"#field-{name}", Input)

    def beside(self, name: str) -> str:
        """The hint or problem beside a field of the form."""
        return self.app.screen.query_one(f"#row-{name}").sentence  # type: ignore[attr-defined,no-any-return]

    async def go_to_field(self, name: str) -> None:
        """Put the cursor into a field of the form in front."""
        self.field(name).focus()
        await self.settle()

    async def fill(self, **texts: str) -> None:
        """Replace what stands in fields of the form in front, key by key."""
        for name, text in texts.items():
            await self.go_to_field(name)
            await self.type("<end><ctrl+u>" + text)

    @property
    def screen(self) -> Any:
        """The screen in front."""
        return self.app.screen

    @property
    def page(self) -> str:
        """The class name of the screen in front."""
        return type(self.app.screen).__name__

    def table(self) -> LineTable:
        """The table of the screen in front."""
        return self.app.screen.query(LineTable).first()

    def bindings(self) -> list[Binding]:
        """The keys that the help of the screen in front lists."""
        held = self.app.screen.active_bindings.values()
        return [h.binding for h in held if h.enabled and h.binding.id is not None]

    def row(self, key: str) -> str:
        """A row of the table in front with the rows its text goes on in, in one line."""
        parts = [
            " ".join(cell for cell in row.cells if cell)
            for row in self.table().rows
            if row.key == key or row.key.startswith(f"{key}~")
        ]
        return " ".join(parts)

    async def go_to_item(self, item: str) -> None:
        """Put the cursor of the checklist in front on an item."""
        assert isinstance(self.app.screen, InspectionPage)
        self.table().move_to(item)
        await self.settle()


def keys_of(text: str) -> list[str]:
    """'ab<f10>' as a, b, f10."""
    names: list[str] = []
    while text:
        if text.startswith("<") and ">" in text:
            name, text = text[1:].split(">", 1)
            names.append(name)
        else:
            names.append(text[0])
            text = text[1:]
    return names
