"""How a logbook ends: what sealing must know of it, so that the next record can follow."""

from msgspec import Struct

from fieldlog.domain.records import Entry
from fieldlog.errors import ConflictError, DamagedError, Problem

GENESIS = "0" * 64


class Ending(Struct, kw_only=True):
    """It grows by each record that is sealed, so that no seal goes through the history before it.

    `head` is the hash of the last good line, `end` where that line ends and `torn_bytes` what follows there
    [bytes]; `unended` says that it lacks its newline. `lines` counts the good ones and `sealed` holds them by
    uid; `checked` says that no line is missed which is known from elsewhere.
    """

    name: str
    head: str
    end: int
    torn_bytes: int
    lines: int
    problem: Problem | None
    last: Entry | None
    sealed: dict[str, Entry]
    unended: bool = False
    checked: bool = False

    def grow(self, entry: Entry, length: int) -> None:
        """Take in the record that was sealed just now, as a line of that length [bytes]."""
        self.sealed[entry.uid] = entry
        self.head, self.last = entry.line, entry
        self.end += length
        self.lines += 1
        self.torn_bytes = 0

    def end_line(self) -> None:
        """Take in that the last line got its newline."""
        self.unended = False
        self.end += 1


def check_may_follow(ending: Ending, expected_head: str) -> None:
    """ConflictError where the logbook does not end at this head, DamagedError where it can not be trusted."""
    if ending.problem is not None:
        raise DamagedError(f"{ending.name} was not saved. {ending.problem}")
    if ending.head == expected_head:
        return
    known = expected_head == GENESIS or any(one.line == expected_head for one in ending.sealed.values())
    if ending.last is None or not known:
        raise ConflictError(
            f"{ending.name} no longer holds the record you began from; nothing was written: open it again"
        )
    when = ending.last.at.isoformat(sep=" ", timespec="minutes")
    raise ConflictError(
        f"{ending.name} was sealed by {ending.last.by} at {when} since you began; nothing was written"
    )
