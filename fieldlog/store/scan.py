"""A look at which logbooks there are and how they stand, without opening any: light, for quick answers."""

import os
import re
from pathlib import Path

HOIST_NAME = re.compile(r"[A-Z]{2,4}-[0-9]{4,6}-[0-9A-Z]")
SUFFIX = ".jsonl"
RACY_NS = 2 * 10**9
"""A file touched within two seconds of the cache's own writing is not taken on trust.

Where a file system counts time coarsely, it may have changed once more within the same tick. Comparing the
times of two files needs no clock.
"""
State = tuple[int, int]
"""Size [bytes] and mtime [ns]."""


def hoist_states(folder: Path) -> dict[str, State]:
    """The state of every hoist's logbook in the folder, by ID. An empty file is no logbook yet.

    No folder is no logbooks; OSError where it can not be listed.
    """
    found: dict[str, State] = {}
    is_name, end = HOIST_NAME.fullmatch, -len(SUFFIX)
    try:
        # by a descriptor, so that the way to the folder is not looked up anew for each file
        fd = os.open(folder, os.O_RDONLY | os.O_DIRECTORY | os.O_CLOEXEC)
    except FileNotFoundError:
        return {}
    try:
        with os.scandir(fd) as items:
            for item in items:
                file = item.name
                if file[end:] != SUFFIX or not is_name(file[:end]):
                    continue
                try:
                    held = item.stat(follow_symlinks=False)
                except FileNotFoundError:
                    continue
                if held.st_size:
                    found[file[:end]] = (held.st_size, held.st_mtime_ns)
    finally:
        os.close(fd)
    return found
