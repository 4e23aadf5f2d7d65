"""Work on many logbooks, spread over the processor's cores."""

import gc
import os
import signal
import threading
from collections.abc import Callable, Generator, Iterator, Sequence
from contextlib import closing, contextmanager
from typing import Any, TypeVar

FEW = 256
"""Below this many items further processes cost more than they save."""
AT_ONCE = 64
_Item = TypeVar("_Item")
_Found = TypeVar("_Found")
# Copied processes find their work here: it may be a closure, which can not be sent to them.
_work: list[Callable[[Sequence[Any]], list[Any]]] = []


def spread(
    work: Callable[[Sequence[_Item]], list[_Found]],
    items: Sequence[_Item],
    progress: Callable[[int, int], None] | None = None,
) -> Iterator[list[_Found]]:
    """What `work` gives for each batch of the items, in their order; `progress` is told (done, all).

    Items and what is found must be picklable. What `work` or `progress` raises is raised here, and ends the
    work: no process is left behind. In a process with several threads all is done here, because a copy could
    wait for ever for a lock that another thread held.
    """
    alone = len(items) < FEW or _cores() == 1 or threading.active_count() > 1
    step = 1 if alone else AT_ONCE
    batches = [items[begin : begin + step] for begin in range(0, len(items), step)]
    done = 0
    with closing(_here(work, batches) if alone else _in_copies(work, batches)) as results:
        for batch, found in zip(batches, results, strict=True):
            yield found
            done += len(batch)
            if progress is not None:
                progress(done, len(items))


def _cores() -> int:
    return len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1


@contextmanager
def uncollected() -> Iterator[None]:
    """Pause the garbage collector while very many values are made: it would go through them over and over."""
    was_on = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was_on:
            gc.enable()


def _here(
    work: Callable[[Sequence[_Item]], list[_Found]], batches: Sequence[Sequence[_Item]]
) -> Generator[list[_Found], None, None]:
    for batch in batches:
        with uncollected():
            found = work(batch)
        yield found


def _in_copies(
    work: Callable[[Sequence[_Item]], list[_Found]], batches: Sequence[Sequence[_Item]]
) -> Generator[list[_Found], None, None]:
    from concurrent.futures import ProcessPoolExecutor  # noqa: PLC0415 (few commands need it)
    from multiprocessing import get_context  # noqa: PLC0415

    _work[:] = [work]
    try:
        with ProcessPoolExecutor(
            max_workers=_cores(), mp_context=get_context("fork"), initializer=_leave_keys_to_the_first
        ) as pool:
            yield from pool.map(_do, batches)
    finally:
        _work.clear()


def _do(batch: Sequence[Any]) -> list[Any]:
    with uncollected():
        return _work[0](batch)


def _leave_keys_to_the_first() -> None:
    """Ctrl-C reaches every process of the terminal; only the first one is to answer it."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
