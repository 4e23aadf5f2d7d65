"""The list of heads: what each logbook ended with, to be kept elsewhere and compared later.

Plain text, a line a logbook: its head (SHA-256 of the last line), how many lines it had, and its name. The
last line says how many logbooks there are, so that a list that was cut is found.
"""

import re
from collections.abc import Iterable
from pathlib import Path

from fieldlog.errors import InputError, NotSavedError
from fieldlog.store.files import FileCalls, replace_file
from fieldlog.store.reading import SHOP_NAMES
from fieldlog.store.scan import HOIST_NAME
from fieldlog.store.verify_logbook import Anchor, LogbookReport

TITLE = "# fieldlog heads 1"
_LINE = re.compile(r"([0-9a-f]{64}) +([1-9][0-9]{0,9}) +(\S+)")


def heads_text(reports: Iterable[LogbookReport]) -> str:
    """The list for these logbooks; empty ones are left out."""
    rows = [
        f"{report.head} {report.lines:>6} {report.name}"
        for report in sorted(reports, key=lambda report: report.name)
        if report.lines
    ]
    return "\n".join([TITLE, *rows, f"# {len(rows)} logbooks"]) + "\n"


def parse_heads(text: str, source: str) -> dict[str, Anchor]:
    """The anchors by the name of the logbook; InputError names the line that does not read.

    `source` says for people where the list comes from.
    """
    title, *rows = text.splitlines() or [""]
    if title.strip() != TITLE:
        raise InputError(f"{source} is no list of heads: its first line is not '{TITLE}'")
    if not rows or rows.pop().strip() != f"# {len(rows)} logbooks":
        raise InputError(
            f"{source} was cut or changed: its last line does not say how many logbooks it names"
        )
    found: dict[str, Anchor] = {}
    for number, row in enumerate(rows, start=2):
        held = _LINE.fullmatch(row.strip())
        if held is None or not (held[3] in SHOP_NAMES or HOIST_NAME.fullmatch(held[3])):
            raise InputError(f"{source} line {number} is no head: it needs hash, number of lines and name")
        if held[3] in found:
            raise InputError(f"{source} line {number} names {held[3]} a second time")
        found[held[3]] = Anchor(head=held[1], lines=int(held[2]), source=source)
    return found


def read_heads(path: Path) -> dict[str, Anchor] | None:
    """The anchors of a heads file; None where there is none yet, InputError where it does not read."""
    try:
        text = path.read_text(encoding="utf-8")
    except FileNotFoundError:
        return None
    except (OSError, UnicodeDecodeError) as fault:
        raise InputError(f"the heads file {path} can not be read ({fault})") from fault
    return parse_heads(text, path.name)


def write_heads(
    path: Path, reports: Iterable[LogbookReport], *, shared: bool = False, files: FileCalls | None = None
) -> None:
    """Put the list in the place of the file; NotSavedError where the system refuses."""
    data = heads_text(reports).encode()
    try:
        replace_file(files or FileCalls(), path, data, shared=shared, durable=True)
    except OSError as fault:
        raise NotSavedError(f"the heads file {path} could not be written ({fault.strerror})") from fault
