"""One logbook checked by its raw bytes: chain, shape of lines, order of dates, references, signatures."""

import os
import time
from collections.abc import Callable
from hashlib import sha256
from pathlib import Path
from types import SimpleNamespace
from typing import Any

from msgspec import Struct

from fieldlog.domain.records import Entry
from fieldlog.errors import Problem
from fieldlog.store.codec import LineError, decode
from fieldlog.store.ending import GENESIS
from fieldlog.store.line_facts import Facts, take_line
from fieldlog.store.quick_shapes import quick_look
from fieldlog.store.reading import broken_link, contents, place_of, whole_tail
from fieldlog.store.scan import HOIST_NAME

COMPARE = "Compare the logbook with a backup."
LOOKS, LOOK_SECONDS = 3, 0.01
_TORN = "the file ends in the middle of a line: it was being written when power or disk failed, or was cut."
_TORN_TODO = "Compare it with a backup. A piece that was never acknowledged is moved aside by the next seal."
_UNENDED = "the newline that ends the last line is missing; the record in it is whole and counts."
_UNENDED_TODO = "The next seal puts it back; see whether more of the disk has suffered."
_EMPTY = "it is empty: its first record was being sealed when power or disk failed, or it was emptied."
_EMPTY_TODO = "Look for it in a backup; where it never held a record, delete the file."
_EXPLAIN = "Strike the line out, or compare the logbook with a backup."
SignatureCheck = Callable[[bytes, str, Any, Any], str]
"""Line bytes, who sealed the line, when, the Signature: an empty text where it holds, else what is wrong."""


class Anchor(Struct, frozen=True, kw_only=True):
    """A line known from elsewhere: that `lines` lines stood there (0: not known) and the last one's hash.

    `source` says for people where it is known from, `todo` what to do where it does not stand there.
    """

    head: str
    source: str
    lines: int = 0
    todo: str = ""


class LogbookReport(Struct, frozen=True, kw_only=True):
    """What was found in one logbook of `size` bytes. Notes are told but are no faults.

    `head` is the hash of the last good line; `signed` the number of lines whose signature holds.
    """

    name: str
    size: int = 0
    lines: int = 0
    head: str = GENESIS
    signed: int = 0
    seals: int = 0
    problems: tuple[Problem, ...] = ()
    notes: tuple[Problem, ...] = ()


def verify_bytes(
    name: str,
    data: bytes,
    *,
    instruments: frozenset[str] | None = None,
    anchors: tuple[Anchor, ...] = (),
    check_signature: SignatureCheck | None = None,
) -> LogbookReport:
    """The report on the logbook that these bytes are. After a line that is broken no further one is read."""
    facts = Facts(hoist_id=name if HOIST_NAME.fullmatch(name) else "", instruments=instruments)
    place = place_of(name)
    *texts, tail = data.split(b"\n")
    found = _Found(place)
    head = _read_lines(texts, facts, found)
    if tail and not found.broken:
        head = _read_tail(texts, tail, head, facts, found)
    for number, wrong in sorted(facts.wrong + facts.strange):
        found.say(number, wrong, _EXPLAIN)
    _compare(facts, anchors, found)
    if not data and not found.problems:
        found.problems.append(Problem(place=place, wrong=_EMPTY, todo=_EMPTY_TODO))
    signed = _check_signatures(texts, facts, check_signature, found)
    return LogbookReport(
        name=name,
        size=len(data),
        lines=len(facts.lines),
        head=head,
        signed=signed,
        seals=len(facts.lines) - len(facts.signatures),
        problems=tuple(found.problems),
        notes=tuple(Problem(place=f"{place} line {number}", wrong=told) for number, told in facts.notes),
    )


class _Found:
    """Problems of one logbook; `broken` once a line can not be trusted."""

    def __init__(self, place: str) -> None:
        self.place = place
        self.problems: list[Problem] = []
        self.broken = False

    def say(self, number: int, wrong: str, todo: str) -> None:
        self.problems.append(Problem(place=f"{self.place} line {number}", wrong=wrong, todo=todo))


def _read_lines(texts: list[bytes], facts: Facts, found: _Found) -> str:
    """Go through the lines as long as they hold; the hash of the last one that does."""
    above = GENESIS
    for number, text in enumerate(texts, start=1):
        line = text + b"\n"
        try:
            head, body = _look(line, number)
        except LineError as fault:
            found.say(number, fault.wrong, COMPARE)
            found.broken = True
            return above
        if head.prev != above:
            found.say(number, broken_link(number), COMPARE)
            found.broken = True
            return above
        above = sha256(line).hexdigest()
        take_line(facts, number, above, head, body)
    return above


def _read_tail(texts: list[bytes], tail: bytes, head: str, facts: Facts, found: _Found) -> str:
    """What stands after the last newline: a whole record that lacks only that, or a piece of one."""
    number = len(texts) + 1
    entry = whole_tail(tail, head, number)
    if entry is None:
        found.say(number, _TORN, _TORN_TODO)
        return head
    found.say(number, _UNENDED, _UNENDED_TODO)
    texts.append(tail)
    take_line(facts, number, entry.line, SimpleNamespace(**_head_of(entry)), entry.body)
    return entry.line


def _head_of(entry: Entry) -> dict[str, Any]:
    return {"prev": entry.prev, "uid": entry.uid, "kind": entry.body.kind, "by": entry.by, "at": entry.at}


def _look(line: bytes, number: int) -> tuple[Any, Any]:
    quick = quick_look(line)
    if quick is not None:
        return quick
    entry = decode(line, number)
    return SimpleNamespace(**_head_of(entry)), entry.body


def _compare(facts: Facts, anchors: tuple[Anchor, ...], found: _Found) -> None:
    """Lines that were known must stand there still: what ends a logbook is named by no line after it."""
    for anchor in anchors:
        number = facts.lines.get(anchor.head, 0)
        if number and number == (anchor.lines or number):
            continue
        if found.broken:
            continue  # told already, and what stands after the broken line is not known
        known = f"its line {anchor.lines}" if anchor.lines else "a line"
        wrong = f"{known} was {anchor.head[:10]} by {anchor.source}, not now: lines were changed or cut."
        found.problems.append(Problem(place=found.place, wrong=wrong, todo=anchor.todo or COMPARE))


def _check_signatures(texts: list[bytes], facts: Facts, check: SignatureCheck | None, found: _Found) -> int:
    """Have every signature checked over the line that it names; how many lines are signed and hold."""
    held: set[str] = set()
    for number, body in facts.signatures:
        if check is None:
            continue
        line = texts[facts.lines[body.line] - 1] + b"\n"
        head, _ = _look(line, number)
        wrong = check(line, head.by, head.at, body)
        if wrong:
            found.say(number, wrong, "Ask who may sign (fieldlog people list), or compare with a backup.")
        else:
            held.add(body.line)
    return len(held)


def read_whole(path: Path) -> tuple[bytes, os.stat_result]:
    """The file's bytes and its state; a last line without its newline is given where it stays so.

    A line that another session is writing right now looks torn for a moment, so it is looked at again.
    """
    data, held = contents(path)
    for _ in range(LOOKS):
        if not data or data.endswith(b"\n"):
            break
        time.sleep(LOOK_SECONDS)
        data, held = contents(path)
    return data, held
