"""The exact bytes of a sealed line, as they are signed and checked."""

from hashlib import sha256

from fieldlog.domain.records import Entry
from fieldlog.errors import DamagedError, StoreError
from fieldlog.store.logbooks import Logbooks
from fieldlog.store.reading import contents, place_of


def line_bytes(logbooks: Logbooks, name: str, entry: Entry) -> bytes:
    """The bytes of this entry's line with its newline; DamagedError where they are no longer those sealed."""
    place = place_of(name)
    try:
        data, _ = contents(logbooks.root / place)
    except OSError as fault:
        raise StoreError(f"{place} can not be read ({fault.strerror})") from fault
    lines = data.split(b"\n")
    line = lines[entry.number - 1] + b"\n" if entry.number <= len(lines) else b""
    if sha256(line).hexdigest() != entry.line:
        raise DamagedError(f"{place} line {entry.number} is no longer what was sealed")
    return line
