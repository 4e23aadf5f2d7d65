"""Small records and a short way to seal them, for the tests of the store."""

from datetime import UTC, date, datetime
from decimal import Decimal
from hashlib import sha256

from fieldlog.domain.criteria import Certainty, Finding, Verdict
from fieldlog.domain.records import (
    Answer,
    AnswerKind,
    ChainReading,
    Entry,
    Inspection,
    InspectionKind,
    Withdrawal,
)
from fieldlog.store.ending import GENESIS
from fieldlog.store.logbooks import Logbooks

HOIST = "SW-0007-X"
OTHER = "SW-0008-V"
WHEN = datetime(2026, 11, 25, 13, 5, tzinfo=UTC)
DAY = date(2026, 11, 25)


def uid(number: int) -> str:
    return f"{number:032x}"


def withdrawal(reason: str = "hook cracked") -> Withdrawal:
    return Withdrawal(done_on=DAY, reason=reason)


def inspection(items: int = 3) -> Inspection:
    finding = Finding(
        criterion="elongation",
        component="load chain",
        verdict=Verdict.WATCH,
        value=Decimal("2.10"),
        limit=Decimal("2.475"),
        margin=Decimal("0.375"),
        unit="mm",
        why="84 % of the allowed growth is used",
        source="invented for this test",
        certainty=Certainty.PRACTICE,
    )
    return Inspection(
        occasion=InspectionKind.PERIODIC,
        done_on=DAY,
        rulebook="general",
        edition="2026-1",
        answers=tuple(Answer(item=f"item-{n}", answer=AnswerKind.OK) for n in range(items)),
        readings=(ChainReading(place="at the height of work", links=11, value_mm=Decimal("167.10")),),
        findings=(finding,),
    )


def seal(
    logbooks: Logbooks, number: int, *, name: str = HOIST, reason: str = "", head: str | None = None
) -> Entry:
    """Seal a withdrawal with the uid of `number` after the head as it stands, or after `head`."""
    return logbooks.append(
        name,
        withdrawal(reason or f"reason {number}"),
        uid=uid(number),
        by="Ada Fenn",
        at=WHEN,
        expected_head=logbooks.read(name).head if head is None else head,
    )


def chain_by_hand(data: bytes) -> list[str]:
    """The `prev` that each line must have, worked out from the bytes alone with hashlib (FIPS 180-4)."""
    lines = data.splitlines(keepends=True)
    return [GENESIS, *(sha256(line).hexdigest() for line in lines[:-1])]
