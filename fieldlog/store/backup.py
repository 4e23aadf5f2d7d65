"""One zip with everything that can not be worked out anew, readable without fieldlog.

It holds the logbooks with the torn pieces that sealing moved aside, allowed_signers and revoked_keys, the
shop's own rules and label sheets, heads.txt (see heads.py) and SHA256SUMS in the format that `sha256sum -c`
reads. Where something could not be read, missing.txt says what and why.
"""

import errno
import os
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import suppress
from functools import partial
from hashlib import sha256
from pathlib import Path
from typing import BinaryIO, TypeVar
from zipfile import ZIP_DEFLATED, ZipFile, ZipInfo

from msgspec import Struct

from fieldlog.errors import InputError, NotSavedError, Problem, StoreError
from fieldlog.store.backup_names import HEADS, MISSING, OWN_FOLDERS, SUMS, may_stand, missing_text
from fieldlog.store.files import PRIVATE_FILE, FileCalls, sync_folder
from fieldlog.store.heads import heads_text
from fieldlog.store.locks import WAIT_SECONDS, hold
from fieldlog.store.reading import SHOP_NAMES, contents, place_of
from fieldlog.store.register_heads import Known, known_heads
from fieldlog.store.scan import TORN
from fieldlog.store.signers import ALLOWED, REVOKED
from fieldlog.store.verify import REGISTER, stored_names
from fieldlog.store.verify_logbook import LogbookReport, read_whole, verify_bytes

_Read = TypeVar("_Read")
_LEVEL = 3  # JSON shrinks to a fifth; higher levels take several times longer for little more
_NO_LINKS = {errno.EPERM, errno.EOPNOTSUPP, errno.ENOTSUP, errno.ENOSYS}


class BackupReport(Struct, frozen=True, kw_only=True):
    """What went into a backup: how many logbooks and bytes, and what was wrong with them already.

    What could not be read, and so is missing, is among the problems.
    """

    logbooks: int
    size: int
    problems: tuple[Problem, ...]


def write_backup(
    root: Path,
    file: Path,
    *,
    progress: Callable[[int, int], None] | None = None,
    files: FileCalls | None = None,
) -> BackupReport:
    """Write the backup of the store at `root` into a new `file`, which is on the disk on return.

    Others may go on sealing: each logbook is taken as it stood at one moment, torn pieces after the
    logbooks that they came from, and the shop's own after all hoists', so that whatever a hoist's line
    names is there. What can not be read is told, and the rest is backed up. InputError where the file is
    there already or the store is empty, StoreError where nothing of the store can be read, NotSavedError
    where the system refuses; then no file is left.
    """
    names = _names(root)
    if not names:
        raise InputError(f"there is nothing to back up in {root}")
    files = files or FileCalls()
    try:
        if file.exists():
            raise _taken(file)
        temporary = file.with_name(f".{file.name}.{os.getpid()}.tmp")
        fd = os.open(temporary, os.O_RDWR | os.O_CREAT | os.O_EXCL | os.O_CLOEXEC, PRIVATE_FILE)
        try:
            with os.fdopen(fd, "wb") as target:
                report = _fill(root, target, names, progress)
                target.flush()
                files.fsync(target.fileno())
            _put_in_place(files, temporary, file)
        finally:
            temporary.unlink(missing_ok=True)
    except OSError as fault:
        raise NotSavedError(f"the backup {file} was not written ({fault.strerror})") from fault
    return report


def _names(root: Path) -> list[str]:
    try:
        return stored_names(root)
    except OSError as fault:
        raise StoreError(f"the logbooks in {root} can not be listed ({fault.strerror})") from fault


def _taken(file: Path) -> InputError:
    return InputError(f"{file} is there already: name a new file")


def _put_in_place(files: FileCalls, temporary: Path, file: Path) -> None:
    """Give the backup its name, never that of a file which came meanwhile, and bring the name to the disk."""
    try:
        # unlike a rename, a link never takes the place of another file
        os.link(temporary, file)
        is_filled = True
    except FileExistsError:
        raise _taken(file) from None
    except OSError as fault:
        if fault.errno not in _NO_LINKS:
            raise
        _reserve(file)
        is_filled = False
    try:
        if not is_filled:
            files.replace(temporary, file)
        sync_folder(files, file.parent)
    except BaseException:
        file.unlink(missing_ok=True)
        raise


def _reserve(file: Path) -> None:
    """Take the name with an empty file, where the file system, as that of a memory stick, has no links."""
    try:
        file.open("xb").close()
    except FileExistsError:
        raise _taken(file) from None


def _fill(
    root: Path,
    target: BinaryIO,
    names: Sequence[str],
    progress: Callable[[int, int], None] | None,
) -> BackupReport:
    hoists = [name for name in names if name not in SHOP_NAMES]
    ordered = [*hoists, *(name for name in names if name in SHOP_NAMES)]
    sums: list[str] = []
    reports: list[LogbookReport] = []
    known = known_heads(root / REGISTER)
    missing = _gone(names, known)
    with ZipFile(target, "w", ZIP_DEFLATED, compresslevel=_LEVEL) as archive:

        def put(name: str, data: bytes) -> None:
            archive.writestr(_info(name), data, ZIP_DEFLATED, _LEVEL)
            sums.append(f"{sha256(data).hexdigest()}  {name}\n")

        for done, name in enumerate(ordered, start=1):
            data = _or_missing(missing, place_of(name), partial(_as_it_stands, root, name))
            if data is not None:
                reports.append(verify_bytes(name, data))
                put(place_of(name), data)
            if progress is not None:
                progress(done, len(ordered))
        if not reports:
            raise StoreError(f"no logbook in {root} can be read; no backup was written")
        for name, data in _others(root, missing):
            put(name, data)
        put(HEADS, heads_text([*reports, *_heads_of_missing(known, missing)]).encode())
        if missing:
            put(MISSING, missing_text(missing).encode())
        archive.writestr(_info(SUMS), "".join(sums), ZIP_DEFLATED, _LEVEL)
    told = (problem for report in reports for problem in report.problems)
    return BackupReport(
        logbooks=len(reports),
        size=sum(report.size for report in reports),
        problems=(*told, *(_missing_problem(place, why) for place, why in missing.items())),
    )


def _gone(names: Sequence[str], known: Mapping[str, Known]) -> dict[str, str]:
    """Logbooks that must be there and are not: the settings, and what the register remembers."""
    there = set(names)
    return {place_of(name): "it is not there" for name in ("settings", *known) if name not in there}


def _info(name: str) -> ZipInfo:
    """A file of the zip without a moment, so that the same records give the same backup."""
    info = ZipInfo(name)
    info.external_attr = PRIVATE_FILE << 16
    return info


def _or_missing(missing: dict[str, str], place: str, read: Callable[[], _Read]) -> _Read | None:
    """What was read, or None where the system refuses it, which is noted."""
    try:
        return read()
    except OSError as fault:
        is_link = fault.errno == errno.ELOOP
        missing[place] = "it is a symbolic link" if is_link else fault.strerror or str(fault)
    return None


def _missing_problem(place: str, why: str) -> Problem:
    wrong = f"it can not be read ({why}), so it is not in this backup."
    return Problem(place=place, wrong=wrong, todo="Mend that, then take another backup.")


def _as_it_stands(root: Path, name: str) -> bytes:
    """Every byte of the logbook at one moment.

    What follows its last newline is either being written right now or was left by a power cut. Who writes
    holds the logbook's lock, so under that lock it is looked at again: what is there still was left, and
    goes into the backup. The lock file is never made here, because one that another user made would keep
    the technician from sealing; without it nobody is writing. Where the lock is not to be had (a store that
    can only be read, a session that does not let go), a second look after a moment has to do. A half line
    that got in so does no harm: it is told, and sealing moves it aside in what is restored.
    """
    path, lock = root / place_of(name), root / "locks" / f"{name}.lock"
    data, _ = contents(path)
    if not data or data.endswith(b"\n"):
        return data
    with suppress(OSError, StoreError):
        if lock.exists():
            with hold(lock, name, seconds=WAIT_SECONDS):
                return contents(path)[0]
    return read_whole(path)[0]


def _others(root: Path, missing: dict[str, str]) -> Iterator[tuple[str, bytes]]:
    """What is no logbook; asked for after these, so that no piece on its way aside is in neither."""
    torn = [name for folder in ("logbooks", "shop") for name in _listed(root, folder, TORN, missing)]
    own = [name for folder in OWN_FOLDERS for name in _listed(root, folder, ".toml", missing)]
    for name in own:
        if not may_stand(name):
            missing[name] = "a backup takes names of letters, digits, - and _ only"
    for name in (ALLOWED, REVOKED, *torn, *own):
        if may_stand(name):
            data = _or_missing(missing, name, partial(_if_there, root / name))
            if data is not None:
                yield name, data


def _if_there(path: Path) -> bytes | None:
    try:
        return contents(path)[0]
    except FileNotFoundError:
        return None


def _listed(root: Path, folder: str, ending: str, missing: dict[str, str]) -> list[str]:
    try:
        found = sorted(item.name for item in (root / folder).iterdir())
    except FileNotFoundError:
        return []
    except OSError as fault:
        missing[folder] = fault.strerror or str(fault)
        return []
    return [f"{folder}/{name}" for name in found if name.endswith(ending)]


def _heads_of_missing(known: Mapping[str, Known], missing: dict[str, str]) -> Iterator[LogbookReport]:
    """What the register knows of logbooks that could not be read, so that one found later can be compared."""
    for name, held in known.items():
        if place_of(name) in missing:
            yield LogbookReport(name=name, lines=held.lines, head=held.anchor.head)
