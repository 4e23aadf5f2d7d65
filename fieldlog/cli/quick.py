"""A short cut for the command that scripts ask for most, `due --json`, where little or nothing has changed.

It loads no commands, and rules and records only where a few logbooks have changed. Wherever more is not as it
was, None is given and the command goes its usual way, which leaves the list ready for the next time.
"""

import gc
import os
import sys
from collections.abc import Callable, Iterator, Sequence


def quick_answer(arguments: Sequence[str]) -> int | None:
    """Print today's due list as it was kept and give 0, or None where the usual way must be gone."""
    asked = list(arguments)
    if "due" not in asked or "--json" not in asked:
        return None
    named = _store_of(asked)
    if named is None or not _takes_bytes():
        return None
    gc.disable()  # one answer is made of very many small values, and then the process ends
    try:
        pieces = _kept_list(_root(named))
        if pieces is None:
            return None
        sys.stdout.flush()
        for piece in pieces:
            sys.stdout.buffer.write(piece)
    finally:
        gc.enable()
    return 0


def _store_of(asked: list[str]) -> str | None:
    """What --store names, empty where it is not given; None where anything else is asked for."""
    for word in ("due", "--json"):
        asked.remove(word)
    if not asked:
        return ""
    return asked[1] if len(asked) == 2 and asked[0] == "--store" else None


def _takes_bytes() -> bool:
    out = sys.stdout
    return out is not None and hasattr(out, "buffer") and (out.encoding or "").lower().startswith("utf")


def _root(named: str) -> str:
    named = named or os.environ.get("FIELDLOG_STORE", "")
    if named and not named.startswith("~"):
        return named
    from fieldlog.cli.place import store_at

    return str(store_at(named))


def _kept_list(root: str) -> Iterator[bytes] | None:
    looked = _looking(f"{root}/logbooks")
    from datetime import datetime

    from fieldlog.store.ready import changes, due_text, listed, quick_stamp, read_ready

    day = datetime.now().date()  # noqa: TID251 (the clock is read in the command line)
    stamp = quick_stamp(root)
    kept = read_ready(root, stamp)
    rows = listed(day, kept)  # most often all of them still count, which the look will tell
    lines = looked()
    if not lines or not kept[1].lines:
        return None
    stale, changed = changes(kept, lines)
    if not stale and not changed:
        return due_text(day, [text for *_, text in rows])
    from pathlib import Path

    from fieldlog.operations.ready_due import FEW, bring_up, list_text
    from fieldlog.operations.shop import open_shop

    if len(changed) > FEW:
        return None
    fresh = bring_up(open_shop(Path(root)), stamp, kept, stale, changed) if changed else []
    return list_text(day, rows, stale, fresh)


def _looking(folder: str) -> Callable[[], bytes]:
    """Begin a look at the logbooks in a copy of this process; what is given waits for it.

    A look that failed is empty. It takes longer than all else, and another core is mostly free. Beside
    threads all is done here: a copy could wait for ever for a lock that another thread held.
    """
    if "threading" in sys.modules:
        return lambda: _look(folder)
    reading, writing = os.pipe()
    copy = os.fork()
    if not copy:
        _end_with(folder, writing)
    os.close(writing)

    def looked() -> bytes:
        with os.fdopen(reading, "rb") as pipe:
            lines = pipe.read()
        _, status = os.waitpid(copy, 0)
        return lines if status == 0 else b""

    return looked


def _look(folder: str) -> bytes:
    from fieldlog.store.scan import state_lines

    try:
        return state_lines(folder)
    except OSError:
        return b""


def _end_with(folder: str, writing: int) -> None:
    """End this process with the look in the pipe; without a clean end nobody trusts it."""
    code = 1
    try:
        left = memoryview(_look(folder))
        while left:
            left = left[os.write(writing, left) :]
        code = 0
    finally:
        os._exit(code)
