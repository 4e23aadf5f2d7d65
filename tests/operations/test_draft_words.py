"""A draft tells what it is of and what it holds, for people who have not begun it."""

from datetime import UTC, datetime
from pathlib import Path

import pytest
from msgspec.structs import replace

from fieldlog.domain.records import AnswerKind, DefectGrade, Draft, InspectionKind
from fieldlog.operations.draft_words import (
    draft_says,
    form_lines,
    inspection_lines,
    left_open,
    left_words,
    sentence,
)
from fieldlog.operations.drafting import AnswerDraft, DefectDraft, begin_inspection, save_inspection
from fieldlog.operations.service_forms import chain_fields
from tests.operations.bench import Bench, bench
from tests.operations.builder import ADA, NOW, TODAY

KEYS = {"inspection": "i", "chain": "c"}
DAY = datetime(2026, 11, 20, 15, 0, tzinfo=UTC)


@pytest.fixture
def plain(tmp_path: Path) -> Bench:
    return bench(tmp_path)


def _draft(kind: str, about: str = "", **fields: str) -> Draft:
    return Draft(uid="0" * 32, kind=kind, about=about, by=ADA, begun=DAY, saved=DAY, fields=fields)


@pytest.mark.parametrize(
    ("draft", "says"),
    [
        (_draft("inspection", "SW-0001-0", occasion="frequent"), "frequent inspection"),
        (_draft("registration", maker="Longreach", model="EH 1", serial="17"), "new hoist Longreach EH 1 17"),
        (_draft("registration"), "new hoist"),
        (_draft("chain", "SW-0001-0"), "fit a chain set"),
        (_draft("instruments", name="caliper 7"), "instrument caliper 7"),
        (_draft("people"), "person"),
        (_draft("a later kind"), "a later kind"),
    ],
    ids=lambda value: value if isinstance(value, str) else value.kind,
)
def test_what_a_draft_is_of(draft: Draft, says: str) -> None:
    assert draft_says(draft) == says


def test_who_began_it_is_said_where_it_is_in_other_hands() -> None:
    draft = replace(_draft("chain", "SW-0001-0"), begun_by="Wenna Tidesley")
    assert draft_says(draft) == "fit a chain set (begun by Wenna Tidesley)"
    assert left_open(draft) == f"left open by {ADA} on 2026-11-20"


def test_what_was_left_open_of_a_hoist_names_the_key_that_takes_it_up() -> None:
    inspection, chain = _draft("inspection", "SW-0001-0"), _draft("chain", "SW-0001-0")
    assert left_words([], KEYS) == ""
    one = f"Left open: inspection of 2026-11-20 by {ADA}. i takes it up again."
    assert left_words([inspection], KEYS) == one
    assert left_words([inspection, chain], KEYS) == (
        f"Left open: inspection of 2026-11-20 by {ADA}; fit a chain set of 2026-11-20 by {ADA}."
        " i or c takes it up again."
    )


def test_a_capital_at_the_beginning_leaves_names_as_they_are() -> None:
    assert sentence("left open by Ada Fenn") == "Left open by Ada Fenn"
    assert sentence("") == ""


def test_a_form_is_told_under_its_own_labels_without_what_is_empty(plain: Bench) -> None:
    fields = chain_fields(plain.opened, TODAY)
    lines = form_lines(fields, {"certificate": "C 77", "length": "12.5", "why_part_only": " ", "odd": "1"})
    assert lines == ["Certificate no.: C 77", "Length fitted: 12.5 m", "odd: 1"]


def test_an_inspection_is_told_whole(plain: Bench) -> None:
    opened = plain.opened
    draft, content = begin_inspection(
        plain.shop, opened, InspectionKind.FREQUENT, by=ADA, now=NOW, today=TODAY
    )
    content.answers["brake"] = AnswerDraft(answer=AnswerKind.OK, note="a little dust")
    content.answers["lower-guide"] = AnswerDraft(answer=AnswerKind.DEFECT)
    content.defects["lower-guide"] = DefectDraft(what="cracked", grade=DefectGrade.STOPS_NOW)
    content.readings[0].text, content.instrument = "165.4", "caliper 7"
    content.d1, content.hook.throat, content.remark = "4.9", "31", "noisy"
    lines = inspection_lines(opened, save_inspection(plain.shop, draft, content, now=NOW))
    assert lines[1].startswith("2 of ")
    for line in (
        "Brake holds, no drift: ok, a little dust",
        f"Chain, {content.readings[0].place}: 165.4 over 11 links, caliper 7",
        "Chain diameters, most worn place: 4.9 and -",
        "Hook, throat: 31",
        "Remark: noisy",
    ):
        assert line in lines
    assert any("defect, cracked (stops use now)" in line for line in lines)
