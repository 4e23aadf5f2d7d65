"""Opening the application at a terminal with what its user chose for it."""

import os
from collections.abc import Callable
from datetime import datetime

from fieldlog.cli.place import preferences_file
from fieldlog.cli.progress import working
from fieldlog.operations.shop import Shop, people, settings

ESCAPE_WAIT_MS = "500"  # a slow line brings the bytes of one key apart
PAINTINGS_A_SECOND = "120"  # Textual's usual 60 let a verdict wait for two of them; only changes are sent


def open_terminal(shop: Shop, *, login: str, clock: Callable[[], datetime], by: str) -> int:
    """Run the application; gives back its exit code.

    Logbooks that the register does not know yet are read before the first screen, with a bar. DamagedError
    where the shop's own records can not be trusted: no first start goes over those.
    """
    if settings(shop) is not None:
        people(shop)
    os.environ.setdefault("ESCDELAY", ESCAPE_WAIT_MS)
    os.environ.setdefault("TEXTUAL_FPS", PAINTINGS_A_SECOND)
    with working("reading logbooks, Ctrl-C leaves") as tell:
        shop.register.refresh(tell)
    from fieldlog.store.preferences import read_preferences
    from fieldlog.tui.app import run

    chosen = read_preferences(preferences_file())
    return run(shop, login=login, clock=clock, by=by, preferences=chosen)
