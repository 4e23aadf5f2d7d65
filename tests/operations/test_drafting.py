"""What was typed survives the end of the session, however it ends, and is taken up with all of it equal."""

import os
import signal
import subprocess
import sys
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import pytest
from msgspec.structs import fields, replace

from fieldlog.domain.records import AnswerKind, Basis, DefectGrade, InspectionKind
from fieldlog.errors import NotFoundError
from fieldlog.operations.drafting import (
    INSPECTION,
    PLACES,
    REGISTRATION,
    AnswerDraft,
    DefectDraft,
    HookDraft,
    InspectionDraft,
    PitchDraft,
    ReadingDraft,
    begin_registration,
    discard_draft,
    gauge_of,
    kept_drafts,
    read_inspection,
    save_fields,
    save_inspection,
)
from fieldlog.operations.inspecting import seal_inspection
from fieldlog.operations.servicing import fit_chain
from fieldlog.operations.shop import open_hoist, open_shop
from tests.operations.builder import (
    ADA,
    NOW,
    TODAY,
    at,
    begin,
    fill,
    inspect,
    ready_shop,
    register,
)
from tests.operations.service import CHAIN_SET

FULL = InspectionDraft(
    occasion=InspectionKind.AFTER_EVENT,
    done_on="2026-11-2",
    answers={
        "hook-latch": AnswerDraft(answer=AnswerKind.DEFECT, note="bent"),
        "labels": AnswerDraft(note="?"),
    },
    defects={
        "hook-latch": DefectDraft(
            what="latch bent, ½ turned, \u201ctied back\u201d",
            where="lower hook",
            grade=DefectGrade.STOPS_FROM,
            stops_on="2026-12-0",
            remedy="new latch",
            serious=True,
            told="the shift lead, by telephone",
        )
    },
    links="1",
    basis=Basis.GAUGE,
    instrument="caliper",
    readings=[
        ReadingDraft(place="usual working height", text="165,", confirmed=["count again"]),
        ReadingDraft(place="", touch=True),
        ReadingDraft(place="stop end", touch=False),
    ],
    diameter_place="at the hook",
    d1="4.",
    d2="x",
    diameter_instrument="C1",
    hook=HookDraft(
        throat="30 1/", twist="-", crack=True, new="30", section_new="20", section="19,", instrument="C1"
    ),
    confirmed=["all 3 readings are the same"],
    remark="came in wet\nand cold",
    unused="165,",
    upper_hook=HookDraft(throat="40"),
    pitches=[PitchDraft(place="at the wheel", pitch="15,", diameter="4.", instrument="C1")],
    capacity_seen="500 k",
    chain_seen="5x1",
)


def test_the_full_example_leaves_no_field_at_its_default() -> None:
    """So that the tests below prove it for every field, also for those that come later."""
    plain = InspectionDraft(occasion=InspectionKind.PERIODIC, done_on="")
    for one, other in (
        (FULL, plain),
        (FULL.hook, plain.hook),
        (FULL.defects["hook-latch"], DefectDraft()),
        (FULL.pitches[0], PitchDraft()),
    ):
        for field in fields(one):
            assert getattr(one, field.name) != getattr(other, field.name), field.name


def test_a_draft_is_kept_from_the_first_moment_and_taken_up_with_all_fields_equal(tmp_path: Path) -> None:
    shop = ready_shop(tmp_path)
    hoist = register(shop)
    _, draft, content = begin(shop, hoist.id)
    assert [kept.uid for kept in kept_drafts(open_shop(tmp_path))] == [draft.uid]
    assert read_inspection(kept_drafts(open_shop(tmp_path))[0]) == content
    later = NOW + timedelta(minutes=5)
    kept = save_inspection(shop, draft, FULL, now=later)
    (found,) = kept_drafts(open_shop(tmp_path))
    assert found == kept == replace(draft, fields=kept.fields, saved=later)
    assert read_inspection(found) == FULL
    assert (found.kind, found.about, found.by, found.head) == (INSPECTION, hoist.id, ADA, draft.head)


TYPING = """
import os, sys, time
from pathlib import Path
from fieldlog.operations.drafting import save_inspection
from fieldlog.operations.shop import open_shop
from tests.operations.builder import NOW, begin
shop = open_shop(Path(sys.argv[1]))
_, draft, content = begin(shop, sys.argv[2])
for key in "165.4":
    content.readings[0].text += key
    draft = save_inspection(shop, draft, content, now=NOW)
content.readings[1].text = "not saved any more"
print(draft.uid, flush=True)
time.sleep(60)
"""


def test_a_session_that_is_killed_loses_only_what_was_not_saved(tmp_path: Path) -> None:
    hoist = register(ready_shop(tmp_path))
    session = subprocess.Popen(
        [sys.executable, "-c", TYPING, str(tmp_path), hoist.id],
        stdout=subprocess.PIPE,
        text=True,
        cwd=Path(__file__).parents[2],
    )
    assert session.stdout is not None
    uid = session.stdout.readline().strip()
    os.kill(session.pid, signal.SIGKILL)
    assert session.wait() == -signal.SIGKILL
    session.stdout.close()
    shop = open_shop(tmp_path)
    (draft,) = kept_drafts(shop, about=hoist.id)
    assert draft.uid == uid
    content = read_inspection(draft)
    assert [reading.text for reading in content.readings] == ["165.4", "", ""]
    fill(shop, open_hoist(shop, hoist.id), content)
    assert seal_inspection(shop, draft, content, by=ADA, now=NOW, today=TODAY).uid == uid


def test_a_registration_is_kept_as_typed(tmp_path: Path) -> None:
    shop = ready_shop(tmp_path)
    draft = begin_registration(by=ADA, now=NOW)
    assert kept_drafts(shop) == []
    half = {"maker": "Fenwr", "chain": "5x", "serial": "\udcff"}
    kept = save_fields(shop, draft, half, now=NOW)
    (found,) = kept_drafts(open_shop(tmp_path))
    assert found == kept
    assert (found.kind, found.about, found.fields) == (REGISTRATION, "", half)


def test_drafts_come_newest_first_and_by_hoist(tmp_path: Path) -> None:
    shop = ready_shop(tmp_path)
    one, two = register(shop), register(shop)
    begun = [begin(shop, hoist.id, day=day)[1] for hoist, day in ((one, date(2026, 11, 20)), (two, TODAY))]
    assert [draft.uid for draft in kept_drafts(shop)] == [begun[1].uid, begun[0].uid]
    assert [draft.uid for draft in kept_drafts(shop, about=one.id)] == [begun[0].uid]


def test_a_draft_is_gone_when_discarded(tmp_path: Path) -> None:
    shop = ready_shop(tmp_path)
    _, draft, _ = begin(shop, register(shop).id)
    discard_draft(shop, draft)
    discard_draft(shop, draft)
    assert kept_drafts(shop) == []
    with pytest.raises(NotFoundError):
        shop.drafts.load(draft.uid)


def test_the_first_inspection_begins_with_three_places_over_eleven_links(tmp_path: Path) -> None:
    shop = ready_shop(tmp_path)
    _, _, content = begin(shop, register(shop).id)
    assert [reading.place for reading in content.readings] == list(PLACES)
    assert (content.links, content.basis, content.instrument) == ("11", Basis.INSIDE, "")
    assert content.done_on == TODAY.isoformat()


def test_it_proposes_what_the_book_is_for(tmp_path: Path) -> None:
    shop = ready_shop(tmp_path)
    book: dict[str, Any] = {
        "book_links": "9",
        "book_basis": "outside",
        "book_discard": "146",
        "book_document": "p. 31",
    }
    _, _, content = begin(shop, register(shop, **book).id)
    assert (content.links, content.basis) == ("9", Basis.OUTSIDE)


def test_it_proposes_what_was_measured_last_time_without_its_figures(tmp_path: Path) -> None:
    shop = ready_shop(tmp_path)
    hoist = register(shop)
    opened, draft, content = begin(shop, hoist.id, InspectionKind.FIRST_USE)
    fill(shop, opened, content)
    content.readings[2].place = "at the upper limit"
    seal_inspection(shop, draft, content, by=ADA, now=NOW, today=TODAY)
    _, _, again = begin(shop, hoist.id)
    assert [reading.place for reading in again.readings] == [*PLACES[:2], "at the upper limit"]
    assert [reading.text for reading in again.readings] == ["", "", ""]
    assert again.instrument == "caliper-0.05"


def test_after_a_new_chain_it_proposes_what_the_baseline_was_taken_over(tmp_path: Path) -> None:
    shop = ready_shop(tmp_path)
    hoist = register(shop)
    inspect(shop, hoist.id)
    texts = CHAIN_SET | {"links": "9", "basis": "outside", "baseline": "145.1"}
    fit_chain(shop, hoist.id, texts, by=ADA, now=NOW, today=TODAY)
    opened, _, content = begin(shop, hoist.id)
    assert gauge_of(opened) == (9, Basis.OUTSIDE)
    assert (content.links, content.basis, content.instrument) == ("9", Basis.OUTSIDE, "")


def test_a_book_for_another_chain_size_proposes_nothing(tmp_path: Path) -> None:
    shop = ready_shop(tmp_path)
    book: dict[str, Any] = {"book_links": "7", "book_length": "105.2", "book_document": "p. 31"}
    hoist = register(shop, **book)
    assert gauge_of(open_hoist(shop, hoist.id))[0] == 7
    texts = CHAIN_SET | {"chain": "5x16", "why_other_size": "none of 5x15 to be had", "baseline": "176.1"}
    fit_chain(shop, hoist.id, texts, by=ADA, now=at(TODAY, 13), today=TODAY)
    assert gauge_of(open_hoist(shop, hoist.id)) == (11, Basis.INSIDE)
