"""Sealing: by whom, once, and after what others have sealed meanwhile; the draft outlives every refusal."""

from datetime import date, timedelta
from pathlib import Path

import pytest
from msgspec.structs import replace

from fieldlog.domain.records import InspectionKind
from fieldlog.errors import ConflictError, RefusedError
from fieldlog.operations.drafting import DefectDraft, kept_drafts, read_inspection
from fieldlog.operations.inspecting import (
    seal_after_others,
    seal_inspection,
    sealed_since,
)
from fieldlog.operations.shop import Shop, open_hoist, open_shop
from fieldlog.store.drafts import Drafts
from tests.operations.builder import (
    ADA,
    BEN,
    NOW,
    TODAY,
    at,
    begin,
    body_of,
    fill,
    inspect,
    ready_shop,
    register,
    with_ben,
)

FIRST = InspectionKind.FIRST_USE
ELONGATION = "load chain elongation"


@pytest.fixture
def shop(tmp_path: Path) -> Shop:
    return ready_shop(tmp_path)


def test_sealing_is_for_people_who_may(shop: Shop) -> None:
    opened, draft, content = begin(shop, register(shop).id)
    fill(shop, opened, content)
    with pytest.raises(RefusedError, match="not among the shop's people"):
        seal_inspection(shop, draft, content, by="Cora Reed", now=NOW, today=TODAY)
    with_ben(shop, until=date(2026, 11, 24))
    with pytest.raises(RefusedError, match="until 2026-11-24 only"):
        seal_inspection(shop, draft, content, by=BEN, now=NOW, today=TODAY)
    with_ben(shop, may_seal=False)
    with pytest.raises(RefusedError, match="may look but not seal"):
        seal_inspection(shop, draft, content, by=BEN, now=NOW, today=TODAY)
    assert read_inspection(kept_drafts(shop)[0]) is not None
    with_ben(shop, until=TODAY)
    assert seal_inspection(shop, draft, content, by=BEN, now=NOW, today=TODAY).by == BEN


def test_one_that_was_sealed_already_is_not_doubled(shop: Shop, monkeypatch: pytest.MonkeyPatch) -> None:
    """Killed between the disk and the answer: the draft is still there and is sent again later."""
    hoist = register(shop)
    opened, draft, content = begin(shop, hoist.id, FIRST)
    fill(shop, opened, content)
    shop.drafts.save(replace(draft, saved=NOW))
    with monkeypatch.context() as killed:

        def die(_drafts: Drafts, _uid: str) -> None:
            raise KeyboardInterrupt

        killed.setattr(Drafts, "remove", die)
        with pytest.raises(KeyboardInterrupt):
            seal_inspection(shop, draft, content, by=ADA, now=NOW, today=TODAY)
    inspect(shop, hoist.id, InspectionKind.FREQUENT)
    fresh = open_shop(shop.root)
    (left,) = kept_drafts(fresh, about=hoist.id)
    later = TODAY + timedelta(days=40)
    entry = seal_inspection(fresh, left, read_inspection(left), by=ADA, now=at(later), today=later)
    assert (entry.number, entry.uid, entry.at) == (2, draft.uid, NOW)
    assert len(fresh.logbooks.read(hoist.id).entries) == 3
    assert kept_drafts(fresh) == []


def test_who_comes_second_keeps_the_draft_and_seals_after_the_first(shop: Shop) -> None:
    with_ben(shop)
    hoist = register(shop)
    other = open_shop(shop.root)
    opened, draft, content = begin(other, hoist.id, FIRST, by=BEN)
    fill(other, opened, content, readings=("165.5", "166.2", "166.0"))
    assert sealed_since(other, draft) == ()
    first = inspect(shop, hoist.id)
    with pytest.raises(ConflictError, match=f"was sealed by {ADA}"):
        seal_inspection(other, draft, content, by=BEN, now=NOW, today=TODAY)
    assert [kept.uid for kept in kept_drafts(other)] == [draft.uid]
    assert [entry.line for entry in sealed_since(other, draft)] == [first.line]
    follows = seal_after_others(draft, seen=first.line)
    second = seal_inspection(other, follows, content, by=BEN, now=NOW, today=TODAY)
    assert (second.number, second.prev, second.uid) == (3, first.line, draft.uid)
    assert kept_drafts(other) == []


def test_what_was_sealed_after_the_line_that_was_seen_refuses_again(shop: Shop) -> None:
    hoist = register(shop)
    opened, draft, content = begin(shop, hoist.id, FIRST)
    fill(shop, opened, content)
    seen = inspect(shop, hoist.id).line
    unseen = inspect(shop, hoist.id)
    with pytest.raises(ConflictError):
        seal_inspection(shop, seal_after_others(draft, seen=seen), content, by=ADA, now=NOW, today=TODAY)
    assert open_hoist(shop, hoist.id).head == unseen.line


def test_the_second_ones_defects_are_numbered_after_the_firsts(shop: Shop) -> None:
    hoist = register(shop)
    opened, draft, content = begin(shop, hoist.id)
    bent = DefectDraft(what="latch bent")
    fill(shop, opened, content, defects={"hook-latch": bent})
    first = inspect(shop, hoist.id, defects={"labels": bent})
    after = seal_after_others(draft, seen=first.line)
    entry = seal_inspection(shop, after, content, by=ADA, now=NOW, today=TODAY)
    assert [defect.id for defect in body_of(entry).defects] == ["D2"]


def test_a_draft_begun_from_a_line_that_is_not_there_shows_everything_as_new(shop: Shop) -> None:
    hoist = register(shop)
    _, draft, _ = begin(shop, hoist.id)
    strange = replace(draft, head="f" * 64)
    assert sealed_since(shop, strange) == open_hoist(shop, hoist.id).history.entries
