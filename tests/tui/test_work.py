"""An inspection in hand keeps every change at once, and what others seal meanwhile is seen and followed."""

from datetime import timedelta
from pathlib import Path

import pytest

from fieldlog.domain.records import AnswerKind, InspectionKind
from fieldlog.domain.rules import ChecklistItem
from fieldlog.domain.verdict import Fitness
from fieldlog.errors import ConflictError, NotSavedError
from fieldlog.operations.drafting import DefectDraft, InspectionDraft, kept_drafts, read_inspection
from fieldlog.operations.servicing import withdraw
from fieldlog.operations.shop import Shop, open_hoist
from fieldlog.store.drafts import Drafts
from fieldlog.tui.work import InspectionWork
from tests.tui.builder import (
    ADA,
    BERT,
    MORNING,
    TODAY,
    Clock,
    begun_work,
    finished_work,
    last_inspection,
    ready_shop,
    records,
    with_hoist,
)


@pytest.fixture
def shop(tmp_path: Path) -> Shop:
    return ready_shop(tmp_path)


@pytest.fixture
def tag(shop: Shop) -> str:
    return with_hoist(shop)


def _item(work: InspectionWork, name: str) -> ChecklistItem:
    return next(item for item in work.assessment().items if item.id == name)


def _on_disk(shop: Shop) -> InspectionDraft:
    (draft,) = kept_drafts(shop)
    return read_inspection(draft)


def test_what_the_disk_refuses_is_told_and_kept_with_the_next_key(
    shop: Shop, tag: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A full disk must not put a technician out of an inspection: only the seal needs it."""
    work, told = begun_work(shop, tag), list[str]()
    work.tell = told.append
    full = NotSavedError("the draft was not saved: the disk is full; make room and save again")

    def refuse(*_: object, **__: object) -> None:
        raise full

    with monkeypatch.context() as refusing:
        refusing.setattr(Drafts, "save", refuse)
        work.answer(_item(work, "brake"), AnswerKind.OK)
    assert told == ["The draft was not saved: the disk is full; make room and save again"]
    work.note(_item(work, "brake"), "hums")
    kept = _on_disk(shop).answers["brake"]
    assert (kept.answer, kept.note) == (AnswerKind.OK, "hums")


def test_an_answer_is_on_disk_as_soon_as_it_is_given(shop: Shop, tag: str) -> None:
    work = begun_work(shop, tag)
    work.answer(_item(work, "brake"), AnswerKind.OK)
    assert _on_disk(shop).answers["brake"].answer is AnswerKind.OK


def test_a_note_stays_when_the_answer_comes_after_it(shop: Shop, tag: str) -> None:
    work = begun_work(shop, tag)
    work.note(_item(work, "brake"), "hums")
    work.answer(_item(work, "brake"), AnswerKind.NOT_SEEN)
    held = _on_disk(shop).answers["brake"]
    assert (held.answer, held.note) == (AnswerKind.NOT_SEEN, "hums")


def test_describing_a_defect_answers_its_item(shop: Shop, tag: str) -> None:
    work = begun_work(shop, tag)
    work.defect(_item(work, "brake"), DefectDraft(what="drifts 40 mm"))
    held = _on_disk(shop)
    assert held.answers["brake"].answer is AnswerKind.DEFECT
    assert held.defects["brake"].what == "drifts 40 mm"


def test_the_figures_of_a_measured_item_answer_it(shop: Shop, tag: str) -> None:
    work = finished_work(shop, tag)
    item = _item(work, "chain-elongation")
    assert work.answer_of(item, work.assessment()) is AnswerKind.OK


def test_a_measured_item_without_figures_has_no_answer(shop: Shop, tag: str) -> None:
    work = begun_work(shop, tag)
    assert work.answer_of(_item(work, "chain-elongation"), work.assessment()) is None


def test_taking_up_a_draft_gives_back_every_answer(shop: Shop, tag: str) -> None:
    work = finished_work(shop, tag)
    (draft,) = kept_drafts(shop)
    taken = InspectionWork.taken_up(shop, draft, by=BERT, clock=Clock())
    assert taken.content == work.content
    assert taken.preview().problems == ()


def test_sealing_writes_one_line_under_the_name_and_drops_the_draft(shop: Shop, tag: str) -> None:
    work = finished_work(shop, tag, InspectionKind.FIRST_USE)
    before = shop.logbooks.read(tag).entries
    entry = work.seal()
    assert shop.logbooks.read(tag).entries == (*before, entry)
    assert (entry.by, entry.at) == (ADA, MORNING)
    assert kept_drafts(shop) == []


def test_what_others_sealed_meanwhile_refuses_the_seal_and_is_listed(shop: Shop, tag: str) -> None:
    work = finished_work(shop, tag, InspectionKind.FIRST_USE)
    assert work.others() == ()
    withdraw(
        shop,
        tag,
        {"reason": "hook bent", "done_on": TODAY.isoformat()},
        by=BERT,
        now=MORNING + timedelta(minutes=5),
        today=TODAY,
    )
    with pytest.raises(ConflictError):
        work.seal()
    (other,) = work.others()
    assert (other.by, records(shop, tag)[-1].reason) == (BERT, "hook bent")
    assert len(records(shop, tag)) == 2
    assert kept_drafts(shop) != []


def test_what_follows_is_shown_of_the_hoist_as_others_left_it(shop: Shop, tag: str) -> None:
    work = finished_work(shop, tag, InspectionKind.FIRST_USE)
    standing = work.preview().standing
    assert standing is not None
    assert standing.fitness is Fitness.IN_SERVICE
    withdraw(shop, tag, {"reason": "hook bent"}, by=BERT, now=MORNING, today=TODAY)
    standing = work.preview().standing
    assert standing is not None
    assert standing.fitness is Fitness.OUT_OF_SERVICE


def test_a_logbook_that_does_not_read_any_more_is_told_as_what_stands_in_the_way(
    shop: Shop, tag: str
) -> None:
    work = finished_work(shop, tag, InspectionKind.FIRST_USE)
    (shop.root / "logbooks" / f"{tag}.jsonl").write_bytes(b"spoilt\n")
    preview = work.preview()
    assert preview.body is None
    assert "does not read as a record" in preview.problems[0].wrong
    assert work.others() == ()


def test_following_the_others_seals_after_them(shop: Shop, tag: str) -> None:
    work = finished_work(shop, tag, InspectionKind.FIRST_USE)
    withdraw(shop, tag, {"reason": "hook bent"}, by=BERT, now=MORNING, today=TODAY)
    work.follow_others(work.preview().head)
    work.seal()
    kinds = [body.kind for body in records(shop, tag)]
    assert kinds == ["registration", "withdrawal", "inspection"]


def test_two_people_may_hold_a_draft_each_on_one_hoist(shop: Shop, tag: str) -> None:
    one = finished_work(shop, tag, InspectionKind.FIRST_USE, by=ADA)
    other = begun_work(shop, tag, by=BERT)
    other.answer(_item(other, "brake"), AnswerKind.NOT_SEEN)
    one.seal()
    assert last_inspection(shop, tag).occasion is InspectionKind.FIRST_USE
    (left,) = kept_drafts(shop, about=tag)
    assert left.by == BERT
    assert read_inspection(left).answers["brake"].answer is AnswerKind.NOT_SEEN


def test_throwing_away_leaves_the_logbook_as_it_was(shop: Shop, tag: str) -> None:
    work = finished_work(shop, tag)
    work.throw_away()
    assert kept_drafts(shop) == []
    assert open_hoist(shop, tag).history.inspections == ()
