"""A progress bar on the terminal, for what may take longer than a moment; nothing where there is none."""

import signal
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress

WIDTH, WANDERING = 30, 3
AFTER_SECONDS, EVERY_SECONDS = 0.5, 0.1
WIPED = "\r\x1b[K"
STOPPED = "fieldlog: stopped by Ctrl-C; what was sealed or written until then stands"


@contextmanager
def working(what: str) -> Iterator[Callable[[int, int], None]]:
    """A bar for work that does not always tell how far it is: a mark wanders in it meanwhile.

    Given is something to tell (done, all) to. The bar appears after half a second, whether anything was told
    or not, and is wiped at the end of the work, however that comes; Ctrl-C leaves a sentence in its place.
    For the main thread only.
    """
    state, times = (0, 0), 0

    def tell(done: int, total: int) -> None:
        nonlocal state
        state = (done, total)

    def draw(*_: object) -> None:
        nonlocal times
        done, total = state
        drawn = _counted(what, done, total) if done < total else _wandering(what, times)
        times += 1
        # The alarm may come while the work itself writes there; then the next one draws.
        with suppress(RuntimeError):
            print(f"{WIPED}{drawn}", end="", file=sys.stderr, flush=True)

    if not (_has_screen() and hasattr(signal, "setitimer")):
        yield tell
        return
    before = signal.signal(signal.SIGALRM, draw)
    signal.setitimer(signal.ITIMER_REAL, AFTER_SECONDS, EVERY_SECONDS)
    left = ""
    try:
        yield tell
    except KeyboardInterrupt:
        left = f"{STOPPED}\n"
        raise
    finally:
        signal.setitimer(signal.ITIMER_REAL, 0)
        signal.signal(signal.SIGALRM, before)
        if times or left:
            print(f"{WIPED}{left}", end="", file=sys.stderr, flush=True)


def _has_screen() -> bool:
    # there is no stream at all where the shell has closed it
    return sys.stderr is not None and sys.stderr.isatty()


def _counted(what: str, done: int, total: int) -> str:
    filled = WIDTH * done // total
    return f"{what} [{'#' * filled + '.' * (WIDTH - filled)}] {done} of {total}"


def _wandering(what: str, times: int) -> str:
    """The mark goes to the right, a place each time that it is drawn, and begins again at the left."""
    before = times % (WIDTH - WANDERING + 1)
    return f"{what} [{('.' * before + '#' * WANDERING).ljust(WIDTH, '.')}]"
