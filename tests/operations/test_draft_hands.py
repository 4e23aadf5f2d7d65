"""A draft goes from hand to hand without being lost or written over, and is not sealed twice."""

from datetime import timedelta
from pathlib import Path

import pytest
from msgspec.structs import replace

from fieldlog.domain.records import Draft
from fieldlog.errors import NotFoundError
from fieldlog.operations.draft_hands import apart, sealed_as, take_over, went_on
from fieldlog.operations.drafting import begin_form, discard_draft, save_fields
from fieldlog.operations.shop import Shop, open_shop
from tests.operations.builder import ADA, NOW

WENNA = "Wenna Tidesley"
LATER = NOW + timedelta(minutes=7)


@pytest.fixture
def shop(tmp_path: Path) -> Shop:
    return open_shop(tmp_path)


@pytest.fixture
def kept(shop: Shop) -> Draft:
    draft = begin_form("withdraw", "SW-0001-0", by=ADA, now=NOW)
    return save_fields(shop, draft, {"reason": "rust"}, now=NOW)


def test_taking_over_changes_the_hands_and_keeps_who_began_it_and_all_that_was_typed(
    shop: Shop, kept: Draft
) -> None:
    taken = take_over(shop, kept, by=WENNA, now=LATER)
    assert taken == replace(kept, by=WENNA, begun_by=ADA, saved=LATER)
    assert shop.drafts.load(kept.uid) == taken
    back = take_over(shop, taken, by=ADA, now=LATER)
    assert (back.by, back.begun_by, back.begun) == (ADA, ADA, NOW)


def test_what_is_taken_over_is_what_stands_on_the_disk_not_what_was_listed_before(
    shop: Shop, kept: Draft
) -> None:
    save_fields(shop, kept, {"reason": "rust all over"}, now=LATER)
    assert take_over(shop, kept, by=WENNA, now=LATER).fields == {"reason": "rust all over"}


def test_a_draft_that_was_sealed_or_thrown_away_can_not_be_taken_over(shop: Shop, kept: Draft) -> None:
    discard_draft(shop, kept)
    with pytest.raises(NotFoundError, match="it was sealed or discarded"):
        take_over(shop, kept, by=WENNA, now=LATER)


def test_nobody_went_on_with_a_draft_as_it_was_kept_last(shop: Shop, kept: Draft) -> None:
    assert went_on(shop, kept) == ""
    assert went_on(open_shop(shop.root), kept) == "", "the same after a way over the disk"
    assert went_on(shop, begin_form("withdraw", "SW-0001-0", by=ADA, now=NOW)) == "", "nothing typed yet"
    assert went_on(shop, replace(kept, head="another")) == "", "following others is no other hand"


def test_other_hands_another_session_and_a_draft_that_is_gone_are_told_apart(shop: Shop, kept: Draft) -> None:
    take_over(shop, kept, by=WENNA, now=LATER)
    assert went_on(shop, kept) == f"{WENNA} took this draft over on {LATER:%Y-%m-%d %H:%M}."
    save_fields(shop, kept, {"reason": "rust!"}, now=NOW)
    assert went_on(shop, kept) == f"Another session of {ADA} went on with this draft on {NOW:%Y-%m-%d %H:%M}."
    discard_draft(shop, kept)
    assert went_on(shop, kept) == "Another session sealed this draft or threw it away."


def test_going_apart_leaves_the_other_draft_as_it_is(shop: Shop, kept: Draft) -> None:
    theirs = take_over(shop, kept, by=WENNA, now=LATER)
    mine = save_fields(shop, apart(kept, by=ADA), {"reason": "rust here"}, now=LATER)
    assert mine.uid != theirs.uid
    assert (mine.by, mine.begun_by, mine.about) == (ADA, ADA, "SW-0001-0")
    drafts, problems = shop.drafts.all()
    assert ({draft.uid: draft for draft in drafts}, problems) == ({mine.uid: mine, theirs.uid: theirs}, [])


def test_a_draft_kept_before_hands_were_recorded_still_opens(shop: Shop, kept: Draft) -> None:
    file = shop.drafts.folder / f"{kept.uid}.json"
    text = file.read_text(encoding="utf-8").replace('"begun_by": "",', "")
    assert "begun_by" not in text
    file.write_text(text, encoding="utf-8")
    assert shop.drafts.load(kept.uid) == kept


def test_a_draft_that_no_line_came_from_was_not_sealed(shop: Shop, kept: Draft) -> None:
    assert sealed_as(shop, "people", kept) is None
