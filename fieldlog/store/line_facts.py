"""What one line says of others: collected line by line, so that references can be checked without folding."""

from collections.abc import Callable, Iterable, Mapping
from datetime import datetime, timedelta
from typing import Any

from msgspec import Struct, field

from fieldlog.domain.records import Entry

CLOCK_SLACK = timedelta(minutes=1)
"""Two sessions read the clock before one waits for the other: so much is no clock that was set back."""
LATEST_ZONE = timedelta(days=1)
"""A day of work may be one more than the day of sealing told in another zone."""


class Facts(Struct):
    """What the lines of one logbook have told so far.

    `hoist_id` is empty for a logbook of the shop's own, `instruments` None where none are to be checked.
    `lines` are the numbers by hash; `wrong`, `notes` and `signatures` go with the number of their line;
    `strange` is wrong too, unless the lines turn out to be another shop's.
    """

    hoist_id: str
    instruments: frozenset[str] | None
    lines: dict[str, int] = field(default_factory=dict)
    uids: dict[str, int] = field(default_factory=dict)
    defects: set[str] = field(default_factory=set)
    last_at: datetime | None = None
    wrong: list[tuple[int, str]] = field(default_factory=list)
    notes: list[tuple[int, str]] = field(default_factory=list)
    signatures: list[tuple[int, Any]] = field(default_factory=list)
    strange: list[tuple[int, str]] = field(default_factory=list)


def take_line(facts: Facts, entry: Entry) -> None:
    """Take in one line. They are to come in their order."""
    number, body = entry.number, entry.body
    _order(facts, number, entry.at, body)
    if facts.uids.setdefault(entry.uid, number) != number:
        facts.wrong.append((number, f"it holds the same record as line {facts.uids[entry.uid]} (same uid)."))
    if number == 1 and facts.hoist_id and body.kind != "registration":
        facts.wrong.append((1, "the logbook does not begin with the registration of its hoist."))
    check = _CHECKS.get(body.kind)
    if check is not None:
        check(facts, number, body)
    facts.lines[entry.line] = number


def _order(facts: Facts, number: int, at: datetime, body: Any) -> None:
    if facts.last_at is not None and at < facts.last_at - CLOCK_SLACK:
        told = f"it was sealed at {_moment(at)}, before the line above ({_moment(facts.last_at)})"
        facts.notes.append((number, f"{told}: the clock was set back, or was wrong before."))
    facts.last_at = at
    done_on = getattr(body, "done_on", None)
    if done_on is not None and done_on > (at + LATEST_ZONE).date():
        told = f"the work is dated {done_on.isoformat()}, after its sealing at {_moment(at)}"
        facts.notes.append((number, f"{told}: the clock was wrong."))


def _moment(at: datetime) -> str:
    return at.isoformat(sep=" ", timespec="minutes")


def _registration(facts: Facts, number: int, body: Any) -> None:
    if body.id != facts.hoist_id:
        facts.wrong.append((number, f"it registers {body.id[:30]}, but stands in another hoist's logbook."))


def _inspection(facts: Facts, number: int, body: Any) -> None:
    for defect in body.defects:
        if defect.id in facts.defects:
            facts.wrong.append((number, f"it reports {defect.id[:30]}, an id that an earlier line took."))
        facts.defects.add(defect.id)
    known = facts.instruments
    if known is not None:
        used = {reading.instrument for reading in (*body.readings, *body.diameters)} - {""}
        facts.strange += [
            (number, f"it was measured with {name[:40]}, which is no instrument of the shop.")
            for name in sorted(used - known)
        ]


def _mends(facts: Facts, number: int, ids: Iterable[str]) -> None:
    facts.wrong += [
        (number, f"it mends {name[:30]}, a defect that no earlier line reports.")
        for name in ids
        if name not in facts.defects
    ]


def _strike(facts: Facts, number: int, body: Any) -> None:
    if body.line not in facts.lines:
        facts.wrong.append((number, f"it strikes out {body.line[:10]}, which no earlier line is."))


def _signature(facts: Facts, number: int, body: Any) -> None:
    if body.line not in facts.lines:
        facts.wrong.append((number, f"it signs {body.line[:10]}, which no earlier line is."))
    else:
        facts.signatures.append((number, body))


def _printed(facts: Facts, number: int, body: Any) -> None:
    """Paper names the first digits of the line that it was printed from."""
    # the latest ones first: it is mostly the line just above
    if body.head and not any(line.startswith(body.head) for line in reversed(facts.lines)):
        facts.wrong.append((number, f"it was printed from {body.head[:10]}, which no earlier line is."))


def _taken_in(facts: Facts, number: int, body: Any) -> None:
    """The lines above are another shop's: its instruments and signers are not known here."""
    if facts.lines.get(body.head) != body.lines or body.lines != number - 1:
        facts.wrong.append(
            (number, f"it takes in {body.lines} lines up to {body.head[:10]}, not those above.")
        )
        return
    facts.strange.clear()
    if facts.signatures:
        told = f"another shop's signatures above are not checked here: {len(facts.signatures)}."
        facts.notes.append((number, told))
        facts.signatures.clear()


_CHECKS: Mapping[str, Callable[[Facts, int, Any], None]] = {
    "registration": _registration,
    "inspection": _inspection,
    "mending": lambda facts, number, body: _mends(facts, number, body.defects),
    "chain fitted": lambda facts, number, body: _mends(facts, number, body.defects_mended),
    "struck out": _strike,
    "signature": _signature,
    "label printed": _printed,
    "taken in": _taken_in,
}
