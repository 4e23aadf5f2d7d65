"""What others seal into a hoist's logbook while work on it is in hand."""

from collections.abc import Sequence

from fieldlog.domain.records import Entry, Signature
from fieldlog.operations.shop import OpenHoist, Shop
from fieldlog.store.reading import place_of

NAMED = 2
"""So many lines are named in the sentence; a window of 80 columns has room for no more."""


class Meanwhile:
    """Looks into the logbook of one hoist from time to time. One thread looks at a time.

    `unheard` is what somebody at the keys has not had the time to read yet; the screens of one piece of work
    share it.
    """

    def __init__(self, shop: Shop, opened: OpenHoist, *, head: str = "") -> None:
        """Lines up to `head` are known; without one, or one that is not there, all of `opened` are."""
        self.unheard = ""
        self.lost = False
        self._shop = shop
        self._hoist_id = opened.hoist.id
        self._file = shop.logbooks.root / place_of(opened.hoist.id)
        self._stamp: tuple[int, int, int, int] | None = None
        entries = opened.history.entries
        self._known = next((entry.number for entry in entries if entry.line == head), len(entries))

    def all_known(self, opened: OpenHoist) -> None:
        """Whoever is at the keys has seen the logbook as it was read now."""
        self._known, self.unheard = len(opened.history.entries), ""

    def look(self) -> tuple[Entry, ...]:
        """What was sealed since the last look. A look at the file alone where nothing was.

        `lost` says then whether it is gone or can not be trusted.
        """
        try:
            held = self._file.stat()
        except OSError:
            self.lost = True
            return ()
        stamp = (held.st_ino, held.st_size, held.st_mtime_ns, held.st_ctime_ns)
        if stamp == self._stamp and not self.lost:
            return ()
        self._stamp = stamp
        book = self._shop.logbooks.read(self._hoist_id)
        self.lost = self._shop.logbooks.doubt(book) is not None
        entries = book.entries
        fresh, self._known = entries[self._known :], max(self._known, len(entries))
        return fresh


def meanwhile_words(entries: Sequence[Entry]) -> str:
    """Who sealed what, in a sentence; empty for nothing but signatures, which go with the lines they sign."""
    told = [entry for entry in entries if not isinstance(entry.body, Signature)]
    if not told:
        return ""
    named = [f"{entry.by}: {entry.body.kind}, line {entry.number}" for entry in told[-NAMED:]]
    before = len(told) - len(named)
    return f"Sealed meanwhile by {'; by '.join(named)}{f'; and {before} before' if before else ''}."
