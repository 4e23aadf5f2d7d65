"""Sessions that change who may sign, in processes of their own: killed at each call, or many at once.

Run as `python -m tests.operations.trusting_session WHAT ARGUMENTS`. It forks from a process without threads,
so that a session costs a few milliseconds.
"""

import os
import shutil
import sys
from collections.abc import Callable
from functools import partial
from pathlib import Path

from msgspec.structs import replace

from fieldlog.operations.shop import Shop, open_shop
from fieldlog.operations.trusting import revoke_key, trust_key
from fieldlog.store.logbooks import Logbooks
from tests.operations.builder import ADA, NOW, TODAY
from tests.store.faults import KillingCalls
from tests.store.writing_session import MOMENTS, _fork, _was_killed

MOST_CALLS = 40  # more than either deed makes, which the test checks


def trust(shop: Shop, key: str) -> None:
    trust_key(shop, ADA, Path(key), until=TODAY, by=ADA, now=NOW)


def revoke(shop: Shop, key: str) -> None:
    revoke_key(shop, Path(key), by=ADA, now=NOW)


DEEDS: dict[str, Callable[[Shop, str], None]] = {"trust": trust, "revoke": revoke}


def kill_at_each_call(deed: str, base: str, template: str, key: str) -> None:
    """The deed killed at each call that it makes, each in an own copy of the template's store."""
    for moment in MOMENTS:
        for number in range(1, MOST_CALLS):
            root = Path(base) / f"{moment}-{number}"
            shutil.copytree(template, root)

            def work(root: Path = root, moment: str = moment, number: int = number) -> None:
                logbooks = Logbooks(root, files=KillingCalls(number, moment))
                DEEDS[deed](replace(open_shop(root), logbooks=logbooks), key)

            print(root.name, "killed" if _was_killed(_fork(work)) else "done", flush=True)


def at_once(root: str, *keys: str) -> None:
    """A session for each key; all wait for the same start."""
    ear, mouth = os.pipe()

    def work(key: str) -> None:
        shop = open_shop(Path(root))
        os.close(mouth)
        os.read(ear, 1)  # the end of the pipe comes to all in one moment
        trust(shop, key)

    children = [_fork(partial(work, key)) for key in keys]
    os.close(mouth)
    for child in children:
        _was_killed(child)


if __name__ == "__main__":
    {"kill": kill_at_each_call, "once": at_once}[sys.argv[1]](*sys.argv[2:])
