"""A look at which logbooks there are and how they stand, without opening any: light, for quick answers."""

import os
import re
from collections.abc import Iterator
from pathlib import Path

HOIST_NAME = re.compile(r"[A-Z]{2,4}-[0-9]{4,6}-[0-9A-Z]")
SUFFIX = ".jsonl"
OF_THE_DISK = "lost+found"
"""What a file system keeps for itself on a mount point, which a store's folder may be."""
TORN = ".torn"
"""Behind a logbook's name: pieces of lines that sealing moved aside."""
# One search through all names at once; none of them can hold a slash.
_AMONG = re.compile(rf"(?<![^/])({HOIST_NAME.pattern}){re.escape(SUFFIX)}(?![^/])")
State = tuple[int, int]
"""Size [bytes] and mtime [ns]."""


def hoist_states(folder: Path) -> dict[str, State]:
    """The state of every hoist's logbook in the folder, by ID. An empty file is no logbook yet.

    No folder is no logbooks; OSError where it can not be listed.
    """
    return {name: (held.st_size, held.st_mtime_ns) for name, held in _seen(folder)}


def state_lines(folder: str | Path) -> bytes:
    """The same as a line each, ID, size and mtime [ns], in order."""
    return "".join([f"{name} {held.st_size} {held.st_mtime_ns}\n" for name, held in _seen(folder)]).encode()


def state_line(name: str, state: State) -> bytes:
    """The line of one hoist as `state_lines` gives it."""
    return b"%b %d %d\n" % (name.encode(), *state)


def read_state_line(line: bytes) -> tuple[str, State]:
    """ID and state as such a line tells them."""
    name, size, mtime_ns = line.split()
    return name.decode(), (int(size), int(mtime_ns))


def _seen(folder: str | Path) -> Iterator[tuple[str, os.stat_result]]:
    try:
        # by a descriptor, so that the way to the folder is not looked up anew for each file
        fd = os.open(folder, os.O_RDONLY | os.O_DIRECTORY | os.O_CLOEXEC)
    except FileNotFoundError:
        return
    try:
        for name in sorted(_AMONG.findall("/".join(os.listdir(fd)))):  # noqa: PTH208 (by descriptor)
            try:
                held = os.stat(name + SUFFIX, dir_fd=fd, follow_symlinks=False)
            except FileNotFoundError:
                continue
            if held.st_size:
                yield name, held
    finally:
        os.close(fd)
