"""One hoist's logbook in a file for another shop, and the way in there: every byte stays as it was sealed.

The file is a zip, readable without fieldlog: the logbook, heads.txt (see heads.py) with its last line's hash,
from.txt with the name of the shop that gives it, and SHA256SUMS in the format that `sha256sum -c` reads.
"""

import os
import zlib
from datetime import datetime
from hashlib import sha256
from pathlib import Path
from zipfile import ZIP_DEFLATED, BadZipFile, ZipFile, ZipInfo

from msgspec import Struct

from fieldlog.domain.records import Entry, TakenIn
from fieldlog.errors import DamagedError, InputError, NotFoundError, NotSavedError, RefusedError, StoreError
from fieldlog.store.codec import encode_checked
from fieldlog.store.files import PRIVATE_FILE, is_shared, make_folder, refusal, replace_file, sync_folder
from fieldlog.store.heads import heads_text, parse_heads
from fieldlog.store.locks import hold, signals_blocked
from fieldlog.store.logbooks import Logbooks
from fieldlog.store.reading import place_of
from fieldlog.store.scan import HOIST_NAME
from fieldlog.store.verify_logbook import LogbookReport, read_whole, verify_bytes

HEADS, SUMS, FROM = "heads.txt", "SHA256SUMS", "from.txt"
MOST_BYTES = 1 << 28
"""No logbook grows to this size; what unpacks to more is no hand-over."""
LONGEST_SHOP = 200
_CHANGED = "is not as it was written"


class Handover(Struct, frozen=True, kw_only=True):
    """A hoist's logbook as another shop gave it: exact bytes, number of lines and the last one's hash."""

    name: str
    from_shop: str
    data: bytes
    lines: int
    head: str


def write_handover(root: Path, name: str, file: Path, *, from_shop: str) -> Handover:
    """Write the logbook of this hoist into a new file. Nothing in the store changes.

    InputError where the file is there already, DamagedError for a logbook with a problem, NotSavedError where
    the system refuses.
    """
    try:
        data, _ = read_whole(root / place_of(name))
    except FileNotFoundError:
        raise NotFoundError(f"no such tag: {name}") from None
    except OSError as fault:
        raise StoreError(f"{place_of(name)} can not be read ({fault.strerror})") from fault
    report = verify_bytes(name, data)
    if report.problems:
        raise DamagedError(f"{name} can not be handed over. {report.problems[0]}")
    parts = {place_of(name): data, HEADS: heads_text([report]).encode(), FROM: f"{from_shop}\n".encode()}
    sums = "".join(f"{sha256(part).hexdigest()}  {called}\n" for called, part in parts.items())
    try:
        with file.open("xb") as target, ZipFile(target, "w", ZIP_DEFLATED) as archive:
            for called, part in [*parts.items(), (SUMS, sums.encode())]:
                archive.writestr(_info(called), part, ZIP_DEFLATED)
    except FileExistsError:
        raise InputError(f"{file} is there already: name a new file") from None
    except OSError as fault:
        file.unlink(missing_ok=True)
        raise NotSavedError(f"{file} was not written ({fault.strerror})") from fault
    return Handover(name=name, from_shop=from_shop, data=data, lines=report.lines, head=report.head)


def _info(name: str) -> ZipInfo:
    """A file of the zip without a moment, so that the same logbook gives the same bytes."""
    info = ZipInfo(name)
    info.external_attr = PRIVATE_FILE << 16
    return info


def read_handover(file: Path) -> Handover:
    """What another shop gave, after all of it was checked: hashes, chain, and the head that it states.

    InputError for what is no hand-over, RefusedError for one that was changed or cut.
    """
    try:
        with ZipFile(file) as archive:
            if any(info.file_size > MOST_BYTES for info in archive.infolist()):
                raise InputError(f"{file} unpacks to more than any logbook: it is no hand-over")
            names = archive.namelist()
            parts = {name: archive.read(name) for name in names}
    except FileNotFoundError:
        raise NotFoundError(f"there is no file {file}") from None
    except (BadZipFile, NotImplementedError, RuntimeError, EOFError, ValueError, zlib.error) as fault:
        raise InputError(f"{file} does not read as a hand-over ({fault})") from None
    except OSError as fault:
        raise InputError(f"{file} can not be read ({fault.strerror})") from fault
    books = [name for name in parts if name.startswith("logbooks/")]
    name = books[0].removeprefix("logbooks/").removesuffix(".jsonl") if len(books) == 1 else ""
    if not HOIST_NAME.fullmatch(name) or set(parts) != {place_of(name), HEADS, FROM, SUMS} or len(names) != 4:
        raise InputError(f"{file} is no hand-over: it does not hold one hoist's logbook with its sums")
    _check_sums(file, parts)
    data = parts[place_of(name)]
    report = verify_bytes(name, data)
    _check_head(file, report, parts[HEADS].decode(errors="replace"))
    shop = parts[FROM].decode(errors="replace").strip()
    if not shop or len(shop) > LONGEST_SHOP or not shop.isprintable():
        raise InputError(f"{file} does not say which shop it comes from")
    return Handover(name=name, from_shop=shop, data=data, lines=report.lines, head=report.head)


def _check_sums(file: Path, parts: dict[str, bytes]) -> None:
    lines = [line.partition("  ") for line in parts[SUMS].decode(errors="replace").splitlines()]
    told = {name: digest for digest, _, name in lines}
    for name, part in parts.items():
        if name != SUMS and told.get(name) != sha256(part).hexdigest():
            raise RefusedError(f"{file} {_CHANGED}: {name} does not match its sum; ask for it anew")


def _check_head(file: Path, report: LogbookReport, text: str) -> None:
    if report.problems:
        raise RefusedError(f"{file} {_CHANGED}: {report.problems[0]}")
    anchor = parse_heads(text, HEADS).get(report.name)
    if anchor is None or (anchor.head, anchor.lines) != (report.head, report.lines):
        raise RefusedError(f"{file} {_CHANGED}: lines are missing at its end, or were added; ask for it anew")


def take_in(logbooks: Logbooks, given: Handover, body: TakenIn, *, uid: str, by: str, at: datetime) -> Entry:
    """Put the logbook into the store as it came, with one line after it that says so; both or nothing.

    RefusedError where a hoist of that tag is here already, StoreError where the system refuses.
    """
    name, files, root = given.name, logbooks.files, logbooks.root
    line, entry = encode_checked(body, prev=given.head, uid=uid, by=by, at=at)
    path, shared = root / place_of(name), is_shared(root)
    try:
        for folder in (path.parent, root / "locks"):
            make_folder(files, folder, shared=shared)
    except OSError as fault:
        raise refusal(fault, name) from fault
    with hold(root / "locks" / f"{name}.lock", name, shared=shared, files=files), signals_blocked():
        if os.path.lexists(path) and path.lstat().st_size:
            raise RefusedError(f"{name} is here already: nothing was taken in")
        try:
            replace_file(files, path, given.data + line, shared=shared, durable=True)
            sync_folder(files, path.parent)
        except OSError as fault:
            raise refusal(fault, name) from fault
    return entry
