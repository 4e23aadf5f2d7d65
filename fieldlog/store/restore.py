"""Puts a backup back into an empty folder or a new one, after all of it was checked (restore_checks.py)."""

import os
import shutil
from collections.abc import Callable, Mapping
from contextlib import suppress
from pathlib import Path
from tempfile import mkdtemp
from zipfile import ZipFile

from msgspec import Struct

from fieldlog.errors import InputError, NotSavedError, Problem
from fieldlog.store.files import (
    GROUP_FOLDER,
    FileCalls,
    is_shared,
    make_folder,
    open_or_make,
    sync_folder,
    write_all,
)
from fieldlog.store.restore_checks import BROKEN, BackupError, check_backup, read_again
from fieldlog.store.scan import OF_THE_DISK

__all__ = ["BackupError", "RestoreReport", "restore_backup"]

_ENDING = ".restoring"
_SHOP = "shop"
_Tell = Callable[[int, int], None]


class RestoreReport(Struct, frozen=True, kw_only=True):
    """How many files and bytes were restored, and what was wrong already when the backup was taken."""

    files: int
    size: int
    problems: tuple[Problem, ...]


def restore_backup(
    file: Path, folder: Path, *, progress: _Tell | None = None, files: FileCalls | None = None
) -> RestoreReport:
    """Write what the backup holds into `folder`, which must be empty or not there yet.

    First everything is read and checked (names, hashes, chains); BackupError lists what is wrong, and
    nothing is written then. A folder that is there keeps its rights and group, and whether the group shares
    what comes into it goes by them; a new one follows the folder above, as a new store does. InputError for
    a folder that is not empty or a file that is no whole backup, NotSavedError where the system refuses; the
    folder is then as it was. A restore that is killed leaves a hidden folder that ends in .restoring, and
    never what passes for a store.
    """
    tell = progress or _tell_nobody
    place = _free_place(folder)
    try:
        with ZipFile(file) as archive:
            held = check_backup(archive, file, lambda done, all_: tell(done, 2 * all_))
            try:
                _write(files or FileCalls(), archive, held.sums, place, tell)
            except OSError as fault:
                why = fault.strerror or str(fault)
                raise NotSavedError(
                    f"{file} was not restored into {folder}: the folder can not be written ({why})"
                ) from fault
    except BROKEN as fault:
        raise InputError(f"{file} does not read as a backup ({fault})") from fault
    except OSError as fault:
        raise InputError(f"the backup {file} can not be read ({fault.strerror or fault})") from fault
    return RestoreReport(files=len(held.sums), size=held.size, problems=held.problems)


def _tell_nobody(_done: int, _all: int) -> None:
    pass


def _free_place(folder: Path) -> Path:
    """Where the folder is, without links and dots; InputError where something stands in it."""
    try:
        place = folder.resolve()
        left = _names_in(place)
    except NotADirectoryError:
        raise InputError(f"{folder} is a file: name a new folder") from None
    except (OSError, RuntimeError) as fault:  # RuntimeError: links that go round in a circle
        why = getattr(fault, "strerror", None) or fault
        raise InputError(f"{folder} can not be used ({why}): name another folder") from fault
    broken_off = [name for name in left if name.endswith(_ENDING)]
    if broken_off:
        raise InputError(
            f"{folder} holds what a restore that broke off left there ({broken_off[0]}): empty it, or name"
            " a new folder"
        )
    if left:
        raise InputError(f"{folder} is not empty: name a new folder")
    return place


def _names_in(place: Path) -> list[str]:
    """What stands in a folder, but for what a file system keeps there for itself on a mount point."""
    try:
        return [item.name for item in place.iterdir() if item.name != OF_THE_DISK]
    except FileNotFoundError:
        return []


def _write(files: FileCalls, archive: ZipFile, sums: Mapping[str, str], place: Path, tell: _Tell) -> None:
    """Write into a hidden folder, whose contents take their place when all of it is on the disk.

    It stands inside the empty folder, which may be a mount point or below a folder that can not be written,
    else beside the one to be made.
    """
    inside, shared = place.is_dir(), is_shared(place)
    above = place if inside else place.parent
    make_folder(files, above, shared=shared)
    hidden = Path(mkdtemp(prefix=f".{place.name[:100]}.", suffix=_ENDING, dir=above))
    try:
        if shared:
            hidden.chmod(GROUP_FOLDER)
        for done, name in enumerate(sums, start=1):
            _write_one(files, hidden / name, read_again(archive, name, sums[name]), shared=shared)
            tell(len(sums) + done, 2 * len(sums))
        for inner in sorted(item for item in hidden.iterdir() if item.is_dir()):
            sync_folder(files, inner)
        sync_folder(files, hidden)
        (_move_in if inside else _become)(files, hidden, place)
    except BaseException:
        with suppress(OSError):
            shutil.rmtree(hidden)
        raise


def _write_one(files: FileCalls, path: Path, data: bytes, *, shared: bool) -> None:
    make_folder(files, path.parent, shared=shared)
    fd, _ = open_or_make(files, path, os.O_WRONLY, shared=shared)
    try:
        write_all(files, fd, data)
        files.fsync(fd)
    finally:
        os.close(fd)


def _become(files: FileCalls, hidden: Path, place: Path) -> None:
    """Give the hidden folder its name in one step."""
    files.replace(hidden, place)
    try:
        sync_folder(files, place.parent)
    except BaseException:
        place.rename(hidden)
        raise


def _move_in(files: FileCalls, hidden: Path, place: Path) -> None:
    """Move what the hidden folder holds one level up, shop/ last: without it nothing passes for a store."""
    if _names_in(place) != [hidden.name]:
        raise InputError(f"{place} is not empty any more: name a new folder")
    names = sorted(_names_in(hidden), key=lambda name: (name == _SHOP, name))
    try:
        for name in names:
            if name == _SHOP:
                sync_folder(files, place)
            files.replace(hidden / name, place / name)
        sync_folder(files, place)
    except BaseException:
        for name in reversed(names):
            with suppress(OSError):
                if not (hidden / name).exists():
                    (place / name).rename(hidden / name)
        raise
    with suppress(OSError):
        hidden.rmdir()
