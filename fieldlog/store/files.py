"""The system calls that saving goes through, the rights that new files get, and words for a refusal."""

import errno
import itertools
import os
import stat
from contextlib import suppress
from pathlib import Path

from fieldlog.errors import NotSavedError, StoreError

PRIVATE_FILE, PRIVATE_FOLDER = 0o600, 0o700
GROUP_FILE, GROUP_FOLDER = 0o660, 0o2770
LEFTOVER_NS = 3600 * 10**9
_READ_ONLY = {errno.EROFS, errno.EACCES, errno.EPERM}
_FULL = {errno.ENOSPC, errno.EDQUOT}
_TEMPORARY = itertools.count(1)


class FileCalls:
    """Each call as the system makes it. Tests put faulty ones in their place, one failure at a time."""

    def open(self, path: Path, flags: int, mode: int = PRIVATE_FILE) -> int:
        """A file descriptor, as os.open gives it."""
        return os.open(path, flags, mode)

    def write(self, fd: int, data: memoryview) -> int:
        """The number of bytes taken, which may be less than offered."""
        return os.write(fd, data)

    def fsync(self, fd: int) -> None:
        """Return when file or folder has reached the disk."""
        os.fsync(fd)

    def truncate(self, fd: int, size: int) -> None:
        """Cut the file to `size` bytes."""
        os.ftruncate(fd, size)

    def replace(self, old: Path, new: Path) -> None:
        """Put `old` in the place of `new` in one step."""
        old.replace(new)


def is_shared(folder: Path) -> bool:
    """Whether a group shares the store: set-group-id and group-writable, as mode 2770.

    A folder that is not there yet follows the one above it.
    """
    try:
        mode = folder.stat().st_mode
    except OSError:
        return folder != folder.parent and is_shared(folder.parent)
    return bool(mode & stat.S_ISGID and mode & stat.S_IWGRP)


def make_folder(files: FileCalls, folder: Path, *, shared: bool) -> None:
    """Make the folder and those above it where they are missing; those that exist keep their rights."""
    try:
        folder.mkdir(mode=PRIVATE_FOLDER)
    except FileExistsError:
        return
    except FileNotFoundError:
        make_folder(files, folder.parent, shared=shared)
        folder.mkdir(mode=PRIVATE_FOLDER, exist_ok=True)
    _give_to_owner_beside(folder, folder)
    if shared:
        folder.chmod(GROUP_FOLDER)
    sync_folder(files, folder.parent)


def _give_to_owner_beside(made: int | Path, path: Path) -> None:
    """What root makes in somebody else's store is theirs: they could not open it otherwise.

    A verify that runs at night as root writes there too. A file system without owners is taken as it is.
    """
    if os.geteuid() == 0:
        with suppress(OSError):
            held = path.parent.stat()
            os.chown(made, held.st_uid, held.st_gid)


def sync_folder(files: FileCalls, folder: Path) -> None:
    """Bring the folder's list of files to the disk, so that a new file's name survives a power cut."""
    fd = os.open(folder, os.O_RDONLY | os.O_DIRECTORY | os.O_CLOEXEC)
    try:
        files.fsync(fd)
    except OSError as fault:
        # some network file systems have nothing to do for a folder and answer so
        if fault.errno != errno.EINVAL:
            raise
    finally:
        os.close(fd)


def open_or_make(files: FileCalls, path: Path, flags: int, *, shared: bool) -> tuple[int, bool]:
    """A descriptor of the file and whether it was made by this call. A symbolic link is not followed."""
    flags |= os.O_CLOEXEC | os.O_NOFOLLOW
    with suppress(FileNotFoundError):
        return files.open(path, flags), False
    try:
        fd = files.open(path, flags | os.O_CREAT | os.O_EXCL, PRIVATE_FILE)
    except FileExistsError:
        return files.open(path, flags), False
    _give_to_owner_beside(fd, path)
    if shared:
        # fchmod and not the mode of open, because the umask of the session must not shut the group out
        os.fchmod(fd, GROUP_FILE)
    return fd, True


def write_all(files: FileCalls, fd: int, data: bytes) -> None:
    """Write every byte; a disk that takes only a part is asked again for the rest."""
    left = memoryview(data)
    while left:
        taken = files.write(fd, left)
        if taken <= 0:
            raise OSError(errno.EIO, os.strerror(errno.EIO))
        left = left[taken:]


def replace_file(files: FileCalls, path: Path, data: bytes, *, shared: bool, durable: bool) -> int:
    """Put `data` in the place of the file in one step: a reader or a crash finds the old or the new one.

    `durable` waits for the disk; without it a power cut may leave an older or an empty file. The new file's
    mtime [ns] is given back.
    """
    fd, temporary = _make_temporary(files, path, shared=shared)
    try:
        try:
            write_all(files, fd, data)
            if durable:
                files.fsync(fd)
            made_ns = os.fstat(fd).st_mtime_ns
        finally:
            os.close(fd)
        files.replace(temporary, path)
    except BaseException:
        with suppress(OSError):
            temporary.unlink()
        raise
    _sweep(path.parent, made_ns - LEFTOVER_NS)
    return made_ns


def _make_temporary(files: FileCalls, path: Path, *, shared: bool) -> tuple[int, Path]:
    while True:
        temporary = path.with_name(f".{path.name}.{os.getpid()}.{next(_TEMPORARY)}.tmp")
        fd, is_new = open_or_make(files, temporary, os.O_WRONLY, shared=shared)
        if is_new:
            return fd, temporary
        os.close(fd)  # left by a killed session, or in use on another host under the same number


def _sweep(folder: Path, before_ns: int) -> None:
    """Remove temporary files that killed sessions left; none that could still be in use."""
    with suppress(OSError), os.scandir(folder) as found:
        for item in found:
            if item.name.startswith(".") and item.name.endswith(".tmp"):
                with suppress(OSError):
                    if item.stat(follow_symlinks=False).st_mtime_ns < before_ns:
                        Path(item.path).unlink()


def refusal(fault: OSError, what: str) -> StoreError:
    """The error for a save that the system refused before anything of it was written."""
    reason = fault.strerror or str(fault)
    if fault.errno in _READ_ONLY:
        return StoreError(
            f"{what} was not saved: the store can only be read from here ({reason}); "
            "ask whoever looks after it for the right to write"
        )
    if fault.errno in _FULL:
        return NotSavedError(f"{what} was not saved: the disk is full ({reason}); make room and save again")
    return NotSavedError(f"{what} was not saved: the disk refused it ({reason})")
