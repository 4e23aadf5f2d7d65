"""Whether a zip is a whole backup that is as it was written: names, sizes, hashes, and what it lacks."""

import re
import zlib
from collections import Counter
from collections.abc import Callable, Iterator, Mapping
from hashlib import sha256
from pathlib import Path
from zipfile import ZIP_DEFLATED, ZIP_STORED, BadZipFile, ZipFile, ZipInfo

from msgspec import Struct

from fieldlog.errors import InputError, Problem, ProblemsError
from fieldlog.store.backup_names import (
    ABOUT,
    HEADS,
    MISSING,
    SETTINGS,
    SUMS,
    is_logbook,
    may_stand,
    parse_missing,
    printed,
)
from fieldlog.store.heads import parse_heads
from fieldlog.store.reading import place_of
from fieldlog.store.verify_logbook import Anchor, verify_bytes

MOST_BYTES = 1 << 30
"""No single logbook grows to this size; what unpacks to more is no backup of fieldlog."""
BROKEN = (BadZipFile, NotImplementedError, RuntimeError, EOFError, ValueError, zlib.error)
"""What zipfile raises for a zip that is spoilt."""
_SUM = re.compile(r"([0-9a-f]{64})  (\S+)")
_REFUSED = "this backup is not restored, because it is not as it was written"
_TODO = "Take another backup."
_ELSEWHERE = "Look for it in an earlier backup."
Tell = Callable[[int, int], None]
"""Called with how many files were checked so far, and of how many."""


class BackupError(ProblemsError):
    """A backup that is not as it was written; every fault is listed."""

    exit_code = 1


class Checked(Struct, frozen=True, kw_only=True):
    """The hash of each file that belongs into the store, their bytes together, and what was wrong before.

    `problems` are those that the records had, or that could not be read, when the backup was taken.
    """

    sums: Mapping[str, str]
    size: int
    problems: tuple[Problem, ...]


def check_backup(archive: ZipFile, file: Path, tell: Tell) -> Checked:
    """Read all of the zip that stands in `file` and check it.

    BackupError lists what is not as it was written, InputError says why it is no whole backup.
    """
    if not archive.infolist():
        raise _not_whole(file, "it is empty")
    _check_entries(archive)
    sums = _sums(archive)
    if HEADS not in sums:
        raise _not_whole(file, f"{HEADS} is not in it")
    wrong: list[Problem] = []
    about = {name: _read(archive, name, sums[name], wrong) for name in sorted(ABOUT & sums.keys())}
    anchors, missing = ({}, {}) if wrong else _told_by(about, file.name)
    if SETTINGS not in sums and SETTINGS not in missing and not wrong:
        raise _not_whole(file, f"{SETTINGS} is not in it")
    told = list(_lacking(sums, anchors, missing))
    belonging = {name: expected for name, expected in sums.items() if name not in ABOUT}
    size = 0
    for done, (name, expected) in enumerate(belonging.items(), start=1):
        data = _read(archive, name, expected, wrong)
        size += len(data)
        if is_logbook(name):
            told += _logbook_problems(name, data, anchors)
        tell(done, len(belonging))
    if wrong:
        raise BackupError(_REFUSED, wrong)
    return Checked(sums=belonging, size=size, problems=tuple(told))


def read_again(archive: ZipFile, name: str, expected: str) -> bytes:
    """The bytes of a file that was checked before; BackupError where they are others by now."""
    try:
        data = _unpacked(archive, archive.getinfo(name))
    except (*BROKEN, OSError):
        data = None
    if data is None or sha256(data).hexdigest() != expected:
        raise BackupError(_REFUSED, [Problem(place=name, wrong="it changed while it was read.", todo=_TODO)])
    return data


def _not_whole(file: Path, why: str) -> InputError:
    return InputError(f"{file} is no whole backup of fieldlog: {why}")


def _check_entries(archive: ZipFile) -> None:
    """Names, sizes and packing of all entries, before any of them is unpacked."""
    entries = archive.infolist()
    times = Counter(info.filename for info in entries)
    wrong = [
        *(
            (name, "no backup of fieldlog holds such a file.")
            for name in sorted(times)
            if not may_stand(name)
        ),
        *(
            (info.filename, "it unpacks to more than any logbook.")
            for info in entries
            if info.file_size > MOST_BYTES
        ),
        *(
            (info.filename, "it is packed in a way that is not used here.")
            for info in entries
            if info.compress_type not in (ZIP_STORED, ZIP_DEFLATED)
        ),
        *((name, "it stands in the backup more than once.") for name in sorted(times) if times[name] > 1),
    ]
    if SUMS not in times:
        wrong.append((SUMS, "the list of hashes is missing."))
    _refuse(wrong)


def _sums(archive: ZipFile) -> Mapping[str, str]:
    """The hash of every file by its name, where the list and the zip name the same files."""
    names = {info.filename for info in archive.infolist()} - {SUMS}
    text = _unpacked(archive, archive.getinfo(SUMS)).decode(errors="replace")
    rows = [_SUM.fullmatch(row) for row in text.splitlines()]
    sums = {row[2]: row[1] for row in rows if row}
    wrong = []
    if None in rows or len(sums) != len(rows):
        wrong.append((SUMS, "a line of it does not read, or stands twice."))
    wrong += [(name, f"{SUMS} does not name it.") for name in sorted(names - sums.keys())]
    wrong += [(name, f"{SUMS} names it, but it is missing.") for name in sorted(sums.keys() - names)]
    _refuse(wrong)
    return sums


def _refuse(wrong: list[tuple[str, str]]) -> None:
    if wrong:
        told = [Problem(place=printed(name[:80]), wrong=what, todo=_TODO) for name, what in wrong]
        raise BackupError(_REFUSED, told)


def _unpacked(archive: ZipFile, info: ZipInfo) -> bytes:
    """The bytes; never more are unpacked than the zip says and was checked for, whatever is packed there."""
    with archive.open(info) as file:
        return file.read(info.file_size + 1)


def _read(archive: ZipFile, name: str, expected: str, wrong: list[Problem]) -> bytes:
    try:
        data = _unpacked(archive, archive.getinfo(name))
    except (*BROKEN, OSError) as fault:
        wrong.append(Problem(place=name, wrong=f"it can not be unpacked ({fault}).", todo=_TODO))
        return b""
    if sha256(data).hexdigest() != expected:
        wrong.append(Problem(place=name, wrong="its bytes are not those that were backed up.", todo=_TODO))
    return data


def _told_by(about: Mapping[str, bytes], called: str) -> tuple[dict[str, Anchor], dict[str, str]]:
    """The heads, and why each place is missing that could not be read."""
    heads, lacking = (about.get(name, b"").decode(errors="replace") for name in (HEADS, MISSING))
    return (
        parse_heads(heads, f"{HEADS} in {called}"),
        parse_missing(lacking, f"{MISSING} in {called}") if MISSING in about else {},
    )


def _lacking(
    sums: Mapping[str, str], anchors: Mapping[str, Anchor], missing: Mapping[str, str]
) -> Iterator[Problem]:
    for place, why in missing.items():
        wrong = f"it could not be read when the backup was taken ({why[:80]})."
        yield Problem(place=place[:80], wrong=wrong, todo=_ELSEWHERE)
    for place in sorted(place_of(name) for name in anchors):
        if place not in sums and place not in missing:
            yield Problem(place=place, wrong=f"{HEADS} names it, but the backup lacks it.", todo=_ELSEWHERE)


def _logbook_problems(name: str, data: bytes, anchors: Mapping[str, Anchor]) -> tuple[Problem, ...]:
    hoist = Path(name).stem
    anchor = (anchors[hoist],) if hoist in anchors else ()
    return verify_bytes(hoist, data, anchors=anchor).problems
