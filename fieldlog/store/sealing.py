"""Puts one line at the end of a logbook's file, whole and synced, or leaves the good lines as they were.

The caller holds the lock of the logbook and has checked what stands in it.
"""

import os
from contextlib import suppress
from pathlib import Path

from fieldlog.errors import NotSavedError
from fieldlog.store.files import FileCalls, open_or_make, refusal, sync_folder, write_all
from fieldlog.store.scan import TORN


def add_line(
    files: FileCalls, path: Path, line: bytes, *, name: str, end: int, torn_bytes: int, shared: bool
) -> os.stat_result:
    """Write `line` at `end`, the end of the last good line [bytes], and sync it; the file's state after it.

    `torn_bytes` after `end` are moved to the file's .torn neighbour first. `name` is for people.
    NotSavedError or StoreError where the system refuses: the good lines are then as they were.
    """
    try:
        fd, is_new = open_or_make(files, path, os.O_RDWR | os.O_APPEND, shared=shared)
    except OSError as fault:
        raise refusal(fault, name) from fault
    try:
        if torn_bytes:
            _set_aside(files, fd, path, name=name, end=end, torn_bytes=torn_bytes, shared=shared)
        _write(files, fd, path, line, name=name, end=end, is_new=is_new)
        return os.fstat(fd)
    finally:
        os.close(fd)


def make_sure(files: FileCalls, path: Path, name: str) -> None:
    """Sync a file whose last line may have been written by a session that was killed before its sync."""
    try:
        fd = files.open(path, os.O_RDWR | os.O_CLOEXEC | os.O_NOFOLLOW)
        try:
            files.fsync(fd)
        finally:
            os.close(fd)
        sync_folder(files, path.parent)
    except OSError as fault:
        raise refusal(fault, name) from fault


def _set_aside(
    files: FileCalls, fd: int, path: Path, *, name: str, end: int, torn_bytes: int, shared: bool
) -> None:
    """Move a torn tail to the .torn file; it is cut off only when the copy has reached the disk."""
    try:
        tail = os.pread(fd, torn_bytes, end)
        aside = path.with_name(path.name + TORN)
        to, _ = open_or_make(files, aside, os.O_RDWR | os.O_APPEND, shared=shared)
        try:
            between = b"\n" if os.fstat(to).st_size else b""
            write_all(files, to, between + tail)
            files.fsync(to)
        finally:
            os.close(to)
        sync_folder(files, path.parent)
        files.truncate(fd, end)
        files.fsync(fd)
    except OSError as fault:
        raise refusal(fault, name) from fault


def _write(files: FileCalls, fd: int, path: Path, line: bytes, *, name: str, end: int, is_new: bool) -> None:
    """Write and sync the line, or take it back. A failed sync is never tried again: it would lie."""
    try:
        write_all(files, fd, line)
        files.fsync(fd)
        if not end:
            # not only when the file is new: a session may have been killed just after making it
            sync_folder(files, path.parent)
    except BaseException as fault:
        taken_back = _take_back(files, fd, path, end, is_new=is_new)
        if not isinstance(fault, OSError):
            raise
        if not taken_back:
            raise NotSavedError(
                f"{name} was not saved and the disk fails ({fault.strerror}): have it checked, then save "
                "again; a record that did arrive will not be doubled"
            ) from fault
        raise refusal(fault, name) from fault


def _take_back(files: FileCalls, fd: int, path: Path, end: int, *, is_new: bool) -> bool:
    try:
        files.truncate(fd, end)
    except OSError:
        return False
    if is_new:
        with suppress(OSError):
            path.unlink()
    return True
