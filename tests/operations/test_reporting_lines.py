"""Proves that a line in words leaves out nothing that the record holds, for every kind of record."""

from datetime import date
from decimal import Decimal
from enum import Enum
from typing import Any

import pytest
from msgspec import Struct
from msgspec.structs import fields

from fieldlog.domain import records
from fieldlog.domain.criteria import Verdict
from fieldlog.domain.records import (
    BookValue,
    ChainFitted,
    ChainSize,
    ExpertConditions,
    HoursLogged,
    Inspection,
    InspectionKind,
    LabelPrinted,
    LoadTest,
    Mending,
    Notice,
    Retired,
    ReturnToService,
    SetIdle,
    Signature,
    StruckOut,
    TakenIn,
    TakenOver,
    Unknown,
    Withdrawal,
)
from fieldlog.operations.reporting_lines import line_facts
from tests.domain.build import D, defect, hoist, inspection, reading, rulebook, sealed
from tests.domain.build import finding as found

DAY = date(2026, 2, 27)
SIZE = ChainSize(dn_mm=D("5"), pn_mm=D("15"), grade="VH")
BOOK = BookValue(links=11, length_mm=D("165.1"), discard_mm=D("167.9"), document="book 7, page 12")
FLEET_BODIES: tuple[Any, ...] = (
    Notice(
        done_on=DAY, defects=("D2", "D5"), whom="the shift leader", how="by telephone", remark="called back"
    ),
    Retired(done_on=DAY, why="no spare parts", went_to="the scrap yard"),
    TakenIn(done_on=DAY, from_shop="Old Weir Works", lines=17, head="d" * 64),
    TakenOver(
        done_on=DAY,
        source="card 12",
        occasion=InspectionKind.PERIODIC,
        reading=reading("165.7"),
        remark="hard to read",
    ),
)
BODIES: tuple[Any, ...] = (
    hoist(book=BOOK, hook_throat_mm=D("28"), year=2019, place="bay 2", group="M4", trolley=True),
    Withdrawal(done_on=DAY, reason="brake runs on", lock="lock 9"),
    Mending(done_on=DAY, defects=("D1",), work="new guide", checked_by="Wenna Tidesley", load_path=True),
    ChainFitted(
        done_on=DAY,
        chain=SIZE,
        length_mm=D("7000"),
        certificate="K-0418",
        wheel_and_guides_too=False,
        why_part_only="wheel is new",
        why_other_size="stainless",
        baseline_links=13,
        baseline_mm=D("195.4"),
        defects_mended=("D7",),
    ),
    LoadTest(done_on=DAY, required_kg=D("625"), reached_kg=D("620"), passed=False, remark="slipped"),
    ReturnToService(
        done_on=DAY,
        guards_on_tools_out=True,
        locks_removed_by="Ada Fenn",
        test="load test of today",
        remark="watch the brake",
        locks_put_on_by="Jory Marlpit",
        locks_authorised_by="the shift leader",
    ),
    LabelPrinted(
        done_on=DAY, label="due", template="roll-62", says="2027-02-27", head="abcdef0123", copies=3
    ),
    StruckOut(line="f" * 64, why="wrong hoist"),
    Signature(line="e" * 64, principal="ada", key="SHA256:xyz", signature="-----BEGIN-----\nabc"),
    HoursLogged(done_on=DAY, hours=D("412.5"), since=date(2026, 1, 5), km=D("0.25"), factor="counter"),
    SetIdle(from_on=DAY, why="press is rebuilt", until_on=date(2026, 9, 9)),
    ExpertConditions(
        done_on=DAY, by_whom="Dr Reedham", conditions="half load", until=date(2027, 3, 4), document="E-77"
    ),
    *FLEET_BODIES,
)


def words(body: Any) -> str:
    facts = line_facts(sealed(body)[0], rulebook())
    return "\n".join(f"{fact.label}: {fact.words.text}" for fact in facts)


def texts(value: Any) -> list[str]:
    """Every text and number that a record holds, as it is written by hand."""
    if isinstance(value, bool) or value is None:
        return []
    if isinstance(value, Enum):
        return [str(value.value)]
    if isinstance(value, date):
        return [value.isoformat()]
    if isinstance(value, Decimal | int):
        return [str(value)]
    if isinstance(value, str):
        return [value] if value else []
    if isinstance(value, tuple):
        return [text for part in value for text in texts(part)]
    if isinstance(value, Struct):
        return [text for field in fields(value) for text in texts(getattr(value, field.name))]
    raise AssertionError(value)


# The day of the work stands in the heading above; the ID is that of the whole logbook, and a registration's
# rulebook is called by its name.
@pytest.mark.parametrize("body", BODIES, ids=lambda body: body.kind)
def test_nothing_that_a_record_holds_is_left_out(body: Any) -> None:
    told = words(body)
    left = {"done_on", "registered_on", "id", "falls", "baseline_basis"}
    for field in fields(body):
        if field.name not in left:
            for text in texts(getattr(body, field.name)):
                assert text in told, field.name


def test_every_kind_of_a_hoists_logbook_was_looked_at() -> None:
    """A new kind of record has to be put into words, or at least looked at here."""
    of_the_shop = {"settings", "person", "signing key", "instrument", "site", "printer offset"}
    of_the_shop |= {"unknown", "inspection"}
    kinds = {
        getattr(records, name).kind for name in records.__all__ if hasattr(getattr(records, name), "kind")
    }
    kinds = {kind for kind in kinds if isinstance(kind, str)}
    assert kinds - of_the_shop == {body.kind for body in BODIES}


def test_an_inspection_is_told_whole() -> None:
    body = inspection(
        DAY,
        readings=(
            reading("165.4", typed="6.512 in", instrument="caliper 1", instrument_state="in calibration"),
        ),
        defects=(defect(where="at the drum", remedy="new lining", told="shift leader", serious=True),),
        findings=(found(Verdict.WATCH),),
        remark="called away",
    )
    told = words(body)
    for text in (
        "hook: 165.4 mm over 11 links inside (typed '6.512 in')",
        "Measured with: caliper 1, in calibration",
        "Brake: brake slips (at the drum); stops use now; remedy: new lining; risk of serious injury",
        "D1 told: 2026-02-27: shift leader",
        "! watch: load chain elongation, it is watch",
        "By rule: c: s",
        "Ok, 3: load chain (2): Brake; Chain\ntests and labels (1): Label",
        "Remark: called away",
    ):
        assert text in told


def test_a_record_of_a_later_version_is_shown_as_it_stands() -> None:
    told = words(Unknown(name="varnish", data={"colour": "green", "coats": 2}))
    assert told == "Kind: varnish, which this fieldlog does not know\ncolour: green\ncoats: 2"


def test_an_answer_whose_item_this_edition_does_not_know_keeps_its_id() -> None:
    body = inspection(DAY, answers=(records.Answer(item="moon", answer=records.AnswerKind.OK),))
    assert isinstance(body, Inspection)
    assert "Another edition (1): moon" in words(body)
