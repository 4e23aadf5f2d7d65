"""Who may read and write the store: one technician alone, or a group of the host's users."""

import grp
import os
from collections.abc import Callable, Iterator
from pathlib import Path

from fieldlog.errors import InputError, StoreError
from fieldlog.store.files import (
    GROUP_FILE,
    GROUP_FOLDER,
    PRIVATE_FILE,
    PRIVATE_FOLDER,
    FileCalls,
    make_folder,
)
from fieldlog.store.scan import OF_THE_DISK


def share_with(root: Path, group: str, *, progress: Callable[[int, int], None] | None = None) -> int:
    """Open the store to a group of the host: folders 2770, files 0660; how many of them were touched.

    A store that is not there yet is made. What is written later inherits this. InputError for a group that
    the host does not know, StoreError where the system refuses.
    """
    try:
        number = grp.getgrnam(group).gr_gid
    except KeyError:
        raise InputError(f"this host knows no group {group[:40]!r}") from None
    return _set(root, number, GROUP_FOLDER, GROUP_FILE, progress)


def keep_private(root: Path, *, progress: Callable[[int, int], None] | None = None) -> int:
    """Close the store to all but its owner: folders 0700, files 0600; how many of them were touched."""
    return _set(root, -1, PRIVATE_FOLDER, PRIVATE_FILE, progress)


def _set(root: Path, group: int, folder: int, file: int, progress: Callable[[int, int], None] | None) -> int:
    try:
        make_folder(FileCalls(), root, shared=False)
        # The root first when a store is closed, last when it is opened: what breaks off is still closed.
        found = list(_inside(root))
        order = [root, *found] if group < 0 else [*found, root]
        for done, path in enumerate(order, start=1):
            os.chown(path, -1, group, follow_symlinks=False)
            path.chmod(folder if path.is_dir() else file)
            if progress is not None:
                progress(done, len(order))
    except OSError as fault:
        raise StoreError(
            f"the rights of {fault.filename or root} could not be changed ({fault.strerror}): only who made"
            " the store may do that, and only for a group that they are in"
        ) from fault
    return len(order)


def _inside(root: Path) -> Iterator[Path]:
    """Files and folders of the store; a symbolic link leads out of it and is passed over."""
    for folder, names, files in os.walk(root):
        if OF_THE_DISK in names and Path(folder) == root:
            names.remove(OF_THE_DISK)
        for name in (*names, *files):
            path = Path(folder) / name
            if not path.is_symlink():
                yield path
