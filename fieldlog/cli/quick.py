"""A short cut for the command that scripts ask for most, `due --json`, where little or nothing has changed.

It loads no commands, and rules and records only where a few logbooks have changed. Wherever more is not as it
was, None is given and the command goes its usual way, which leaves the list ready for the next time.
"""

import gc
import sys
from collections.abc import Sequence
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from fieldlog.store.ready import Ready
    from fieldlog.store.scan import State


def quick_answer(arguments: Sequence[str]) -> int | None:
    """Print today's due list as it was kept and give 0, or None where the usual way must be gone."""
    asked = list(arguments)
    if "due" not in asked or "--json" not in asked:
        return None
    store = _store_of(asked)
    if store is None or not _takes_bytes():
        return None
    gc.disable()  # one answer is made of very many small values, and then the process ends
    try:
        text = _kept_text(store)
    finally:
        gc.enable()
    if text is None:
        return None
    sys.stdout.flush()
    sys.stdout.buffer.write(text)
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


def _kept_text(store: str) -> bytes | None:
    from fieldlog.cli.place import store_at
    from fieldlog.store.ready import list_text, outdated, quick_stamp, read_ready
    from fieldlog.store.scan import hoist_states

    root = store_at(store)
    day = datetime.now().date().isoformat()  # noqa: TID251 (the clock is read in the command line)
    ready = read_ready(root, day, quick_stamp(root))
    try:
        states = hoist_states(root / "logbooks")
    except OSError:
        return None
    changed = outdated(ready, states)
    if not changed and len(ready.rows) == len(states):
        return list_text(ready) if states else None
    return _brought_up(root, ready, states, changed) if ready.rows else None


def _brought_up(root: Path, ready: "Ready", states: "dict[str, State]", changed: list[str]) -> bytes | None:
    """The list with the hoists that changed worked out anew, where they are few."""
    from fieldlog.operations.ready_due import FEW, brought_up
    from fieldlog.operations.shop import open_shop

    return brought_up(open_shop(root), ready, states, changed) if len(changed) <= FEW else None
