"""Going through many things while telling how far it is."""

from collections.abc import Callable, Iterator, Sequence
from typing import TypeVar

_Item = TypeVar("_Item")


def telling(items: Sequence[_Item], progress: Callable[[int, int], None] | None) -> Iterator[_Item]:
    """Each item in turn; `progress` is told (done, all) when one is dealt with, and may raise to stop."""
    for done, item in enumerate(items, start=1):
        yield item
        if progress is not None:
            progress(done, len(items))
