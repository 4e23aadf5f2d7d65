"""Puts a backup back into a new folder, after all of it was checked against its own list of hashes."""

import os
import re
import shutil
import zlib
from collections import Counter
from collections.abc import Callable, Mapping
from contextlib import suppress
from hashlib import sha256
from pathlib import Path
from zipfile import ZIP_DEFLATED, ZIP_STORED, BadZipFile, ZipFile, ZipInfo

from msgspec import Struct

from fieldlog.errors import InputError, NotSavedError, Problem, ProblemsError
from fieldlog.store.backup import HEADS, SUMS, may_stand
from fieldlog.store.files import FileCalls, make_folder, open_or_make, sync_folder, write_all
from fieldlog.store.heads import parse_heads
from fieldlog.store.verify_logbook import Anchor, verify_bytes

MOST_BYTES = 1 << 30
"""No single logbook grows to this size; what unpacks to more is no backup of fieldlog."""
_SUM = re.compile(r"([0-9a-f]{64})  (\S+)")
_REFUSED = "this backup is not restored, because it is not as it was written"
_TODO = "Take another backup."
_BROKEN = (BadZipFile, NotImplementedError, RuntimeError, EOFError, ValueError, zlib.error)


class BackupError(ProblemsError):
    """A backup that is not as it was written; every fault is listed."""

    exit_code = 1


class RestoreReport(Struct, frozen=True, kw_only=True):
    """What was restored, and problems that its logbooks had already when the backup was taken."""

    files: int
    size: int
    problems: tuple[Problem, ...]


def restore_backup(
    file: Path,
    folder: Path,
    *,
    progress: Callable[[int, int], None] | None = None,
    files: FileCalls | None = None,
) -> RestoreReport:
    """Write what the backup holds into `folder`, which must be empty or not there yet.

    First everything is read and checked (names, hashes, chains); BackupError lists what is wrong, and
    nothing is written then. InputError for a folder that is not empty or a file that is no zip,
    NotSavedError where the system refuses; the folder is then as it was.
    """
    _check_empty(folder)
    try:
        with ZipFile(file) as archive:
            sums = _checked_names(archive)
            report = _check(archive, sums, progress)
            _write(files or FileCalls(), archive, sums, folder, progress)
    except _BROKEN as fault:
        raise InputError(f"{file} does not read as a backup ({fault})") from fault
    except OSError as fault:
        raise NotSavedError(f"{file} was not restored into {folder} ({fault.strerror or fault})") from fault
    return report


def _check_empty(folder: Path) -> None:
    try:
        if any(folder.iterdir()):
            raise InputError(f"{folder} is not empty: name a new folder")
    except FileNotFoundError:
        return
    except NotADirectoryError:
        raise InputError(f"{folder} is a file: name a new folder") from None
    except OSError as fault:
        raise InputError(f"{folder} can not be used ({fault.strerror}): name another folder") from fault


def _checked_names(archive: ZipFile) -> Mapping[str, str]:
    """The hash of every file by its name, where the list and the zip name the same files, each once."""
    names = [info.filename for info in archive.infolist()]
    wrong = [
        Problem(place=name[:80], wrong="no backup of fieldlog holds such a file.", todo=_TODO)
        for name in sorted(set(names))
        if not may_stand(name)
    ]
    wrong += [
        Problem(place=info.filename[:80], wrong="it unpacks to more than any logbook.", todo=_TODO)
        for info in archive.infolist()
        if info.file_size > MOST_BYTES
    ]
    wrong += [
        Problem(place=info.filename[:80], wrong="it is packed in a way that is not used here.", todo=_TODO)
        for info in archive.infolist()
        if info.compress_type not in (ZIP_STORED, ZIP_DEFLATED)
    ]
    wrong += [
        Problem(place=name[:80], wrong="it stands in the backup more than once.", todo=_TODO)
        for name, times in sorted(Counter(names).items())
        if times > 1
    ]
    if SUMS not in names:
        wrong.append(Problem(place=SUMS, wrong="the list of hashes is missing.", todo=_TODO))
    if wrong:
        raise BackupError(_REFUSED, wrong)
    return _sums(archive, set(names) - {SUMS})


def _sums(archive: ZipFile, names: set[str]) -> Mapping[str, str]:
    rows = [_SUM.fullmatch(row) for row in archive.read(SUMS).decode(errors="replace").splitlines()]
    sums = {row[2]: row[1] for row in rows if row}
    wrong = []
    if None in rows or len(sums) != len(rows):
        wrong.append(Problem(place=SUMS, wrong="a line of it does not read, or stands twice.", todo=_TODO))
    for name in sorted(names - sums.keys()):
        wrong.append(Problem(place=name, wrong=f"{SUMS} does not name it.", todo=_TODO))
    for name in sorted(sums.keys() - names):
        wrong.append(Problem(place=name[:80], wrong=f"{SUMS} names it, but it is missing.", todo=_TODO))
    if wrong:
        raise BackupError(_REFUSED, wrong)
    return sums


def _check(
    archive: ZipFile, sums: Mapping[str, str], progress: Callable[[int, int], None] | None
) -> RestoreReport:
    wrong: list[Problem] = []
    told: list[Problem] = []
    size = 0
    anchors = parse_heads(archive.read(HEADS).decode(errors="replace"), HEADS) if HEADS in sums else {}
    for done, name in enumerate(sums, start=1):
        data = _read(archive, archive.getinfo(name), sums[name], wrong)
        size += len(data)
        if name.endswith(".jsonl"):
            told += _logbook_problems(name, data, anchors)
        if progress is not None:
            progress(done, 2 * len(sums))
    if wrong:
        raise BackupError(_REFUSED, wrong)
    return RestoreReport(files=len(sums), size=size, problems=tuple(told))


def _read(archive: ZipFile, info: ZipInfo, expected: str, wrong: list[Problem]) -> bytes:
    try:
        with archive.open(info) as file:
            data = file.read(MOST_BYTES)
    except (*_BROKEN, OSError) as fault:
        wrong.append(Problem(place=info.filename, wrong=f"it can not be unpacked ({fault}).", todo=_TODO))
        return b""
    if sha256(data).hexdigest() != expected:
        wrong.append(
            Problem(place=info.filename, wrong="its bytes are not those that were backed up.", todo=_TODO)
        )
    return data


def _logbook_problems(name: str, data: bytes, anchors: Mapping[str, Anchor]) -> tuple[Problem, ...]:
    hoist = Path(name).stem
    anchor = (anchors[hoist],) if hoist in anchors else ()
    return verify_bytes(hoist, data, anchors=anchor).problems


def _write(
    files: FileCalls,
    archive: ZipFile,
    sums: Mapping[str, str],
    folder: Path,
    progress: Callable[[int, int], None] | None,
) -> None:
    """Write into a folder beside, which takes the place of the empty one when all of it is on the disk."""
    beside = folder.with_name(f".{folder.name}.{os.getpid()}.restoring")
    make_folder(files, beside, shared=False)
    try:
        for done, name in enumerate(sums, start=1):
            if name != HEADS:
                _write_one(files, beside, name, archive, sums[name])
            if progress is not None:
                progress(len(sums) + done, 2 * len(sums))
        for inner in ("logbooks", "shop"):
            if (beside / inner).is_dir():
                sync_folder(files, beside / inner)
        beside.rename(folder)
        sync_folder(files, folder.parent)
    except BaseException:
        with suppress(OSError):
            shutil.rmtree(beside)
        raise


def _write_one(files: FileCalls, beside: Path, name: str, archive: ZipFile, expected: str) -> None:
    data = archive.read(name)
    if sha256(data).hexdigest() != expected:
        raise BackupError(_REFUSED, [Problem(place=name, wrong="it changed while it was read.", todo=_TODO)])
    path = beside / name
    make_folder(files, path.parent, shared=False)
    fd, _ = open_or_make(files, path, os.O_WRONLY, shared=False)
    try:
        write_all(files, fd, data)
        files.fsync(fd)
    finally:
        os.close(fd)
