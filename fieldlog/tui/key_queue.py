"""One key handled to its end before the next, and scans told from typing.

Keys that arrive in one packet would otherwise be routed before the handlers of earlier ones have finished:
a value typed with Enter in it would land in one field, a scan in whatever had the cursor.
"""

import asyncio
from collections.abc import Awaitable, Callable, Iterator

from textual.events import Key
from textual.keys import _character_to_key
from textual.message_pump import MessagePump

SCAN_PREFIX = "FL:"
LONGEST_SCAN = 40
HOLD_S = 0.06
ROUNDS = 5
PATIENCE_S = 2.0


def as_pressed(key: Key) -> tuple[Key, ...]:
    """Escape and the key pressed soon after it, which a terminal can not tell from that key with Alt.

    Nothing is bound to Alt here. Of two Escapes Textual makes the first a circumflex, which no record needs.
    A sign that came as `escape_keys` reads it gets its name.
    """
    escape = Key("escape", "\x1b")
    if key.key == "circumflex_accent":
        return (escape,)
    if key.key.startswith("alt+"):
        name = key.key.removeprefix("alt+")
        return escape, Key(key.character if "shift+" in name and key.character else name, key.character)
    return (Key(_character_to_key(key.key), key.key),) if len(key.key) == 1 else (key,)


class KeyQueue:
    """Takes keys as they come; gives each to `handle` and waits until what it set off has settled.

    A burst that begins with the scan prefix and ends with Enter goes to `scanned` instead, whatever has
    the cursor. `pumps` names who may still be busy with a key, from the field with the cursor to the app.
    """

    def __init__(
        self,
        handle: Callable[[Key], Awaitable[None]],
        scanned: Callable[[str], None],
        pumps: Callable[[], Iterator[MessagePump]],
    ) -> None:
        self._handle = handle
        self._scanned = scanned
        self._pumps = pumps
        self._waiting: asyncio.Queue[Key] = asyncio.Queue()
        self._held: list[Key] = []
        self._task: asyncio.Task[None] | None = None

    def take(self, key: Key) -> None:
        """Put a key at the end of the queue."""
        for pressed in as_pressed(key):
            self._waiting.put_nowait(pressed)
        if self._task is None or self._task.done():
            self._task = asyncio.create_task(self._work())

    def stop(self) -> None:
        """Forget what waits; the app is leaving."""
        if self._task is not None:
            self._task.cancel()

    async def _work(self) -> None:
        while self._held or not self._waiting.empty():
            key = self._held.pop(0) if self._held else self._waiting.get_nowait()
            if key.character == SCAN_PREFIX[0] and await self._take_scan(key):
                continue
            await self._handle(key)
            await self.settle()

    async def _next(self) -> Key | None:
        """The next key, if it comes fast enough to belong to a scan."""
        try:
            return await asyncio.wait_for(self._waiting.get(), HOLD_S)
        except TimeoutError:
            return None

    async def _take_scan(self, first: Key) -> bool:
        """Collect a scan that begins with `first`; keys of what is none wait to be handled as typed."""
        if self._held:
            return False
        burst = [first]
        while True:
            key = await self._next()
            text = "".join(held.character or "" for held in burst)
            if key is not None and key.key == "enter" and len(text) > len(SCAN_PREFIX):
                self._scanned(text)
                await self.settle()
                return True
            if key is not None:
                burst.append(key)
            if key is None or not self._may_be_scan(burst):
                self._held = burst[1:]
                await self._handle(first)
                await self.settle()
                return True

    @staticmethod
    def _may_be_scan(burst: list[Key]) -> bool:
        text = "".join(key.character or "\0" for key in burst)
        begins = text.startswith(SCAN_PREFIX) or SCAN_PREFIX.startswith(text)
        return begins and text.isprintable() and len(text) <= LONGEST_SCAN

    async def settle(self) -> None:
        """Wait until everybody who may have work from the last key has done it, messages of messages too."""
        for _ in range(ROUNDS):
            for pump in self._pumps():
                done = asyncio.Event()
                if pump.is_running and pump.call_later(done.set):
                    await _patiently(done)


async def _patiently(done: asyncio.Event) -> None:
    """A pump that is being taken down never answers; keys must not wait for it for ever."""
    try:
        await asyncio.wait_for(done.wait(), PATIENCE_S)
    except TimeoutError:
        return
