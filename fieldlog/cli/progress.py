"""A progress bar on the terminal, for what may take longer than a moment; nothing where there is none."""

import sys
import time
from collections.abc import Callable

WIDTH = 30
AFTER_SECONDS, EVERY_SECONDS = 0.5, 0.1


def bar(what: str) -> Callable[[int, int], None]:
    """Something to tell (done, all) to. The bar appears after half a second and is wiped when all is done."""
    begun = time.monotonic()
    shown = 0.0

    def tell(done: int, total: int) -> None:
        nonlocal shown
        if not sys.stderr.isatty():
            return
        moment = time.monotonic()
        if done >= total:
            if shown:
                print("\r\x1b[K", end="", file=sys.stderr, flush=True)
            shown = 0.0
        elif moment - begun >= AFTER_SECONDS and moment - shown >= EVERY_SECONDS:
            shown = moment
            filled = WIDTH * done // total
            drawn = "#" * filled + "." * (WIDTH - filled)
            print(f"\r{what} [{drawn}] {done} of {total}", end="", file=sys.stderr, flush=True)

    return tell
