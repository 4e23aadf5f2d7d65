"""One zip with everything that can not be worked out anew, readable without fieldlog.

It holds the logbooks, allowed_signers and revoked_keys, the shop's own rules and label sheets, heads.txt (see
heads.py) and SHA256SUMS in the format that `sha256sum -c` reads.
"""

import os
import re
from collections.abc import Callable, Iterator, Sequence
from hashlib import sha256
from pathlib import Path
from zipfile import ZIP_DEFLATED, ZipFile, ZipInfo

from msgspec import Struct

from fieldlog.errors import InputError, NotSavedError, Problem, StoreError
from fieldlog.store.files import PRIVATE_FILE
from fieldlog.store.heads import heads_text
from fieldlog.store.logbooks import SHOP_NAMES, contents, place_of
from fieldlog.store.scan import HOIST_NAME
from fieldlog.store.signers import ALLOWED, REVOKED
from fieldlog.store.verify import stored_names
from fieldlog.store.verify_logbook import LogbookReport, read_whole, verify_bytes

HEADS, SUMS = "heads.txt", "SHA256SUMS"
_LEVEL = 3  # JSON shrinks to a fifth; higher levels take several times longer for little more
_OWN = re.compile(r"(?:label_templates|rulebook)/[A-Za-z0-9][A-Za-z0-9_-]{0,60}\.toml")
_SHOP_FILES = frozenset({ALLOWED, REVOKED, HEADS, SUMS, *(place_of(name) for name in SHOP_NAMES)})


class BackupReport(Struct, frozen=True, kw_only=True):
    """What went into a backup: how many logbooks and bytes, and what was wrong with them already."""

    logbooks: int
    size: int
    problems: tuple[Problem, ...]


def may_stand(name: str) -> bool:
    """Whether a backup may hold a file of this name: nothing else is ever written by a restore."""
    hoist = name.removeprefix("logbooks/").removesuffix(".jsonl")
    if name == f"logbooks/{hoist}.jsonl" and HOIST_NAME.fullmatch(hoist):
        return True
    return name in _SHOP_FILES or _OWN.fullmatch(name) is not None


def write_backup(
    root: Path, file: Path, *, progress: Callable[[int, int], None] | None = None
) -> BackupReport:
    """Write the backup of the store at `root` into a new `file`.

    Others may go on sealing: of each logbook the whole lines of one moment are taken, and the shop's own
    come last, so that whatever a hoist's line names is there. InputError where the file is there already or
    the store is empty, NotSavedError where the system refuses; then no file is left.
    """
    names = stored_names(root)
    if not names:
        raise InputError(f"there is nothing to back up in {root}")
    if file.exists():
        raise InputError(f"{file} is there already: name a new file")
    temporary = file.with_name(f".{file.name}.{os.getpid()}.tmp")
    try:
        try:
            fd = os.open(temporary, os.O_RDWR | os.O_CREAT | os.O_EXCL | os.O_CLOEXEC, 0o600)
            with os.fdopen(fd, "wb") as target:
                report = _fill(root, target, names, progress)
                target.flush()
                os.fsync(target.fileno())
            # unlike a rename, a link never takes the place of a file that came meanwhile
            os.link(temporary, file)
        finally:
            temporary.unlink(missing_ok=True)
    except FileExistsError:
        raise InputError(f"{file} is there already: name a new file") from None
    except OSError as fault:
        raise NotSavedError(f"the backup {file} was not written ({fault.strerror})") from fault
    return report


def _fill(
    root: Path,
    target: "os.PathLike[str] | object",
    names: Sequence[str],
    progress: Callable[[int, int], None] | None,
) -> BackupReport:
    hoists = [name for name in names if name not in SHOP_NAMES]
    ordered = [*hoists, *(name for name in names if name in SHOP_NAMES)]
    sums: list[str] = []
    reports: list[LogbookReport] = []
    size = 0
    with ZipFile(target, "w", ZIP_DEFLATED, compresslevel=_LEVEL) as archive:  # type: ignore[call-overload]

        def put(name: str, data: bytes) -> None:
            archive.writestr(_info(name), data, ZIP_DEFLATED, _LEVEL)
            sums.append(f"{sha256(data).hexdigest()}  {name}\n")

        for done, name in enumerate(ordered, start=1):
            data = _whole_lines(root, name)
            reports.append(verify_bytes(name, data))
            put(place_of(name), data)
            size += len(data)
            if progress is not None:
                progress(done, len(ordered))
        for name, data in _others(root):
            put(name, data)
        put(HEADS, heads_text(reports).encode())
        archive.writestr(_info(SUMS), "".join(sums), ZIP_DEFLATED, _LEVEL)
    problems = tuple(problem for report in reports for problem in report.problems)
    return BackupReport(logbooks=len(ordered), size=size, problems=problems)


def _info(name: str) -> ZipInfo:
    """A file of the zip without a moment, so that the same records give the same backup."""
    info = ZipInfo(name)
    info.external_attr = PRIVATE_FILE << 16
    return info


def _whole_lines(root: Path, name: str) -> bytes:
    """What was acknowledged: a piece after the last newline was not, or is being written right now."""
    try:
        data, _ = read_whole(root / place_of(name))
    except OSError as fault:
        raise StoreError(
            f"{place_of(name)} can not be read ({fault.strerror}); no backup was written"
        ) from fault
    return data[: data.rfind(b"\n") + 1]


def _others(root: Path) -> Iterator[tuple[str, bytes]]:
    own = sorted(path.relative_to(root).as_posix() for path in root.glob("*/*.toml"))
    for name in (ALLOWED, REVOKED, *own):
        path = root / name
        if may_stand(name) and path.is_file() and not path.is_symlink():
            yield name, contents(path)[0]
