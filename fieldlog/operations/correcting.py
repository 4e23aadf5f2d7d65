"""Corrections: a sealed record is struck out with a reason, a right one put after it; both stay visible."""

import re
from datetime import date, datetime

from msgspec.structs import replace

from fieldlog.domain.corrections import struck_lines
from fieldlog.domain.counting import counted
from fieldlog.domain.criteria import Verdict
from fieldlog.domain.records import (
    AnswerKind,
    Basis,
    Defect,
    Draft,
    Entry,
    Hoist,
    Inspection,
    Signature,
    StruckOut,
)
from fieldlog.errors import DamagedError, InputError, NotFoundError, RefusedError
from fieldlog.operations.drafting import (
    AnswerDraft,
    DefectDraft,
    InspectionDraft,
    ReadingDraft,
    begin_inspection,
    save_inspection,
)
from fieldlog.operations.retyping import retype_parts
from fieldlog.operations.shop import Shop, append, check_may_seal, open_hoist
from fieldlog.store.scan import HOIST_NAME

_LINE = re.compile(r"[0-9a-f]{8,64}")
_NUMBER = re.compile(r"[0-9]{1,7}")


def find_line(shop: Shop, name: str, text: str) -> Entry:
    """The entry that a line's number, or the first eight or more digits of its hash, names.

    InputError for a text that is neither, NotFoundError where there is no such line, or more than one.
    """
    book = shop.logbooks.read(name)
    typed = text.strip().lower()
    if _NUMBER.fullmatch(typed):
        found = [entry for entry in book.entries if entry.number == int(typed)]
    elif _LINE.fullmatch(typed):
        found = [entry for entry in book.entries if entry.line.startswith(typed)]
    else:
        raise InputError(
            f"a line is named by its number, or by 8 or more digits of its hash, not {text[:40]!r}"
        )
    if len(found) != 1:
        raise NotFoundError(
            f"{name} has {counted(len(book.entries), 'line')}, none of them {text.strip()[:40]}"
        )
    return found[0]


def strike_out(shop: Shop, name: str, line: str, why: str, *, by: str, now: datetime, today: date) -> Entry:
    """Strike out the line with this hash; what follows from it (state, trend, dues) follows no longer.

    InputError without a reason, NotFoundError for a line that is not there, RefusedError for one that can
    not be struck out: one struck already, a signature, the only registration. ConflictError where another
    session sealed in between.
    """
    check_may_seal(shop, by, today)
    if not why.strip():
        raise InputError("say why the line is struck out: the reason stays beside it")
    book = shop.logbooks.read(name)
    if book.problem is not None:
        raise DamagedError(str(book.problem))
    entry = next((entry for entry in book.entries if entry.line == line), None)
    if entry is None:
        raise NotFoundError(f"{name} holds no line {line[:10]}")
    _check_strikable(name, book.entries, entry)
    body = StruckOut(line=line, why=why.strip())
    return append(shop, name, body, by=by, now=now, head=book.head)


def _check_strikable(name: str, entries: tuple[Entry, ...], entry: Entry) -> None:
    struck = struck_lines(entries)
    if entry.line in struck:
        raise RefusedError(f"line {entry.number} of {name} is struck out already: {struck[entry.line]}")
    if isinstance(entry.body, Signature):
        raise RefusedError(f"line {entry.number} of {name} is a signature: strike out the line that it signs")
    standing = [
        held for held in entries if isinstance(held.body, Hoist) and held.line not in struck and held != entry
    ]
    if isinstance(entry.body, Hoist) and HOIST_NAME.fullmatch(name) and not standing:
        raise RefusedError(
            f"line {entry.number} is the only registration of {name}: register the right facts first, or"
            " withdraw the hoist"
        )


def begin_right_one(
    shop: Shop, name: str, line: str, *, by: str, now: datetime, today: date
) -> tuple[Draft, InspectionDraft]:
    """A new draft with all that a sealed inspection says, to be put right and sealed after it was struck out.

    What was confirmed is asked again. InputError for a line that is no inspection.
    """
    opened = open_hoist(shop, name)
    entry = next((entry for entry in opened.history.entries if entry.line == line), None)
    if entry is None or not isinstance(entry.body, Inspection):
        raise InputError(f"{name} holds no inspection {line[:10]}: only an inspection can be done again")
    body = entry.body
    draft, content = begin_inspection(shop, opened, body.occasion, by=by, now=now, today=today)
    typed = _as_typed(content, body)
    return save_inspection(shop, draft, typed, now=now), typed


def strike_and_redo(
    shop: Shop, name: str, line: str, why: str, *, by: str, now: datetime, today: date
) -> tuple[Entry, Draft, InspectionDraft]:
    """Strike out an inspection and begin the right one from it; the draft follows the strike."""
    found = find_line(shop, name, line[:64])
    if not isinstance(found.body, Inspection):
        raise InputError(
            f"line {found.number} of {name} is no inspection: only an inspection can be done again"
        )
    struck = strike_out(shop, name, found.line, why, by=by, now=now, today=today)
    draft, content = begin_right_one(shop, name, found.line, by=by, now=now, today=today)
    return struck, draft, content


def _as_typed(content: InspectionDraft, body: Inspection) -> InspectionDraft:
    """The sealed inspection as if it had been typed just now."""
    defects = _typed_defects(body)
    typed = replace(
        content,
        done_on=body.done_on.isoformat(),
        answers={
            answer.item: AnswerDraft(answer=answer.answer, note=answer.note)
            for answer in body.answers
            if answer.answer is not AnswerKind.DEFECT or answer.item in defects
        },
        defects=defects,
        remark="\n".join(row for row in body.remark.splitlines() if not row.startswith("Confirmed: ")),
    )
    if body.readings:
        first = body.readings[0]
        typed.links, typed.basis = str(first.links), first.basis
        typed.instrument = first.instrument
        typed.readings = [
            ReadingDraft(
                place=reading.place,
                text="" if first.basis is Basis.GAUGE else reading.typed or str(reading.value_mm or ""),
                touch=reading.both_ends_touch,
            )
            for reading in body.readings
        ]
    retype_parts(typed, body)
    return typed


def _typed_defects(body: Inspection) -> dict[str, DefectDraft]:
    """Defects that a person described; those that follow from figures follow from them again."""
    follow = {
        f"{found.component}: {found.why}" for found in body.findings if found.verdict is Verdict.DISCARD
    }
    return {defect.item: _defect(defect) for defect in body.defects if defect.what not in follow}


def _defect(defect: Defect) -> DefectDraft:
    return DefectDraft(
        what=defect.what,
        where=defect.where,
        grade=defect.grade,
        stops_on="" if defect.stops_on is None else defect.stops_on.isoformat(),
        remedy=defect.remedy,
        serious=defect.serious,
        told=defect.told,
    )
