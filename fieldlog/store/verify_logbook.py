"""One logbook checked by its raw bytes: chain, shape of lines, order of dates, references, signatures."""

import os
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

from msgspec import Struct
from msgspec.structs import replace

from fieldlog.errors import Problem
from fieldlog.store.ending import GENESIS
from fieldlog.store.line_facts import Facts, take_line
from fieldlog.store.reading import Logbook, check_chain, contents, place_of
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


def verify_bytes(name: str, data: bytes, *, anchors: tuple[Anchor, ...] = ()) -> LogbookReport:
    """The report on the logbook that these bytes are; its instruments and signatures are not checked."""
    return verify_book(check_chain(name, data), data, anchors=anchors)


def verify_book(
    book: Logbook,
    data: bytes,
    *,
    instruments: frozenset[str] | None = None,
    anchors: tuple[Anchor, ...] = (),
    check_signature: SignatureCheck | None = None,
) -> LogbookReport:
    """The report on the logbook that `check_chain` made of these bytes."""
    facts = Facts(hoist_id=book.name if HOIST_NAME.fullmatch(book.name) else "", instruments=instruments)
    place = place_of(book.name)
    found = _Found(place)
    for entry in book.entries:
        take_line(facts, entry)
    _end(book, found)
    for number, wrong in sorted(facts.wrong + facts.strange):
        found.say(number, wrong, _EXPLAIN)
    _compare(facts, anchors, found)
    if not data and not found.problems:
        found.problems.append(Problem(place=place, wrong=_EMPTY, todo=_EMPTY_TODO))
    signed = _check_signatures(book, data, facts, check_signature, found)
    return LogbookReport(
        name=book.name,
        size=len(data),
        lines=len(book.entries),
        head=book.head,
        signed=signed,
        seals=len(book.entries) - len(facts.signatures),
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


def _end(book: Logbook, found: _Found) -> None:
    """What is wrong with the first line that does not hold, or with how the file ends."""
    if book.problem is not None:
        found.problems.append(replace(book.problem, todo=COMPARE))
        found.broken = True
    elif book.torn:
        found.say(len(book.entries) + 1, _TORN, _TORN_TODO)
    elif book.unended:
        found.say(len(book.entries), _UNENDED, _UNENDED_TODO)


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


def _check_signatures(
    book: Logbook, data: bytes, facts: Facts, check: SignatureCheck | None, found: _Found
) -> int:
    """Have every signature checked over the line that it names; how many lines are signed and hold."""
    if check is None or not facts.signatures:
        return 0
    texts = data.split(b"\n")
    held: set[str] = set()
    for number, body in facts.signatures:
        entry = book.entries[facts.lines[body.line] - 1]
        wrong = check(texts[entry.number - 1] + b"\n", entry.by, entry.at, body)
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
