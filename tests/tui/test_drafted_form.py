"""Forms that are sealed lose nothing: kept at every key, taken up, parted between sessions, dropped then."""

from datetime import timedelta
from pathlib import Path

import pytest

from fieldlog.operations.draft_hands import OWN_NOW, take_over
from fieldlog.operations.drafting import kept_drafts
from fieldlog.operations.shop import Shop, open_shop
from fieldlog.tui.screens.service import SERVICES
from tests.tui.builder import ADA, BERT, MORNING, Clock, at_the_keys, in_terminal, inspected, records, shop_as
from tests.tui.builder import with_hoist as hoist

TAG = "SW-0001-0"
DEED_KEYS = {
    "withdraw": "w",
    "chain": "c",
    "test": "t",
    "return": "u",
    "hours": "h",
    "idle": "l",
    "expert": "x",
    "move": "v",
    "retire": "z",
}


def _inspected(shop: Shop) -> None:
    inspected(shop, hoist(shop))


@pytest.fixture
def shop(tmp_path: Path) -> Shop:
    return shop_as(tmp_path, _inspected)


@in_terminal
async def test_each_deed_is_kept_from_its_first_key_and_one_left_untouched_leaves_nothing(
    tmp_path: Path,
) -> None:
    shop = shop_as(tmp_path, _inspected)
    async with at_the_keys(shop) as hands:
        await hands.press("enter")
        for deed, key in DEED_KEYS.items():
            await hands.type(f"{key}<down><down><escape>")
            assert hands.page == "HoistPage", deed
            assert kept_drafts(shop) == [], deed
            await hands.type(f"{key}x")
            (draft,) = kept_drafts(shop, about=TAG)
            assert (draft.kind, draft.by) == (deed, ADA)
            await hands.press("escape")
            assert "is kept as a draft: the same key takes it up again." in hands.message(), deed
            await hands.type(f"{key}<f8><f8>")
            assert (hands.page, hands.message()) == ("HoistPage", "Thrown away.")
            assert kept_drafts(shop) == [], deed
    assert set(DEED_KEYS) | {"mend", "notice"} == set(SERVICES), "the other two need a defect"


@in_terminal
async def test_what_was_typed_and_taken_back_leaves_no_draft(shop: Shop) -> None:
    async with at_the_keys(shop) as hands:
        await hands.type("<enter>wab")
        assert len(kept_drafts(shop)) == 1
        await hands.type("<backspace><backspace><escape>")
        assert (kept_drafts(shop), hands.page) == ([], "HoistPage")


@in_terminal
async def test_an_open_form_is_listed_taken_up_by_its_key_with_all_of_it_and_dropped_on_seal(
    shop: Shop,
) -> None:
    clock = Clock()
    async with at_the_keys(shop, clock=clock) as hands:
        await hands.type("<enter>cC 77<down>12.")
        await hands.press("escape")
        assert hands.message().startswith(f"Fit a chain set, {TAG}, is kept as a draft")
        await hands.press("escape")
        clock.forward(days=3)
        await hands.press("d")
        (row,) = [" ".join(" ".join(row.cells).split()) for row in hands.table().rows]
        assert row == f"{TAG} fit a chain set {ADA} 2026-11-25 08:00"
        await hands.press("escape", "enter")
        assert f"Left open: fit a chain set of 2026-11-25 by {ADA}." in hands.message()
        assert hands.message().endswith(" c takes it up again.")
        await hands.press("c")
        assert hands.message() == f"Left open by {ADA} on 2026-11-25: taken up. F8 throws it away."
        texts = hands.screen.current_texts()
        assert (texts["certificate"], texts["length"], texts["done_on"]) == ("C 77", "12.", "2026-11-25")
        await hands.fill(length="12.5", baseline="165.2")
        await hands.press("f10")
        assert hands.message().startswith("Sealed as line 3")
    assert kept_drafts(shop) == []
    assert records(shop, TAG)[-1].certificate == "C 77"


@in_terminal
async def test_another_persons_form_is_not_opened_unasked(shop: Shop) -> None:
    async with at_the_keys(shop, by=BERT) as hands:
        await hands.type("<enter>wchain slips<escape>")
    async with at_the_keys(shop) as hands:
        await hands.type("<enter>w")
        assert hands.page == "DeedDraftsPage"
        assert f"left open by {BERT} on 2026-11-25" in hands.text()
        await hands.press("enter")
        assert hands.message() == (
            f"Left open by {BERT} on 2026-11-25. Enter takes it over, l looks, F8 throws it away."
        )
        await hands.press("l")
        assert "Reason: chain slips" in hands.text()
        assert kept_drafts(shop)[0].by == BERT
        await hands.press("escape", "down", "enter")
        assert (hands.page, hands.field("reason").value) == ("ServicePage", "")
        await hands.press("escape", "w", "enter", "enter")
        assert (hands.page, hands.field("reason").value) == ("ServicePage", "chain slips")
        assert hands.message() == (
            f"Begun by {BERT} on 2026-11-25: taken over, yours now. F8 throws it away."
        )
        (draft,) = kept_drafts(shop)
        assert (draft.by, draft.begun_by) == (ADA, BERT)


@in_terminal
async def test_a_takeover_is_noticed_at_the_next_key_and_both_texts_are_kept(shop: Shop) -> None:
    async with at_the_keys(shop) as hands:
        await hands.type("<enter>whook")
        other = open_shop(shop.root)
        (draft,) = kept_drafts(other)
        take_over(other, draft, by=BERT, now=MORNING + timedelta(minutes=5))
        await hands.type(" bent")
        assert f"{BERT} took this draft over on 2026-11-25 08:05. {OWN_NOW}" in hands.flat()
        kept = {draft.by: draft.fields["reason"] for draft in kept_drafts(other)}
        assert kept == {ADA: "hook bent", BERT: "hook"}
        await hands.press("f10")
        assert hands.message().startswith("Sealed as line 3")
        assert [draft.by for draft in kept_drafts(other)] == [BERT]


@in_terminal
async def test_two_sessions_of_one_person_do_not_write_over_each_other(shop: Shop) -> None:
    async with at_the_keys(shop) as first:
        await first.type("<enter>wrust<escape>")
    async with at_the_keys(shop) as first, at_the_keys(open_shop(shop.root)) as second:
        await first.type("<enter>w")
        await second.type("<enter>w")
        await first.type("<down><end> here")
        await second.type("<down><end> there")
        assert f"Another session of {ADA} went on with this draft" in second.flat()
        assert {draft.fields["reason"] for draft in kept_drafts(shop)} == {"rust here", "rust there"}


@in_terminal
async def test_what_another_session_sealed_is_not_sealed_again_unasked(shop: Shop) -> None:
    async with at_the_keys(shop) as first, at_the_keys(open_shop(shop.root)) as second:
        await first.type("<enter>wrust<escape>w")
        await second.type("<enter>w<f10>")
        assert second.message().startswith("Sealed as line 3")
        await first.press("f10")
        assert first.page == "ServicePage"
        assert "Another session sealed this draft or threw it away." in first.flat()
        assert "F10 again seals what stands here." in first.flat()
        assert len(records(shop, TAG)) == 3
        await first.press("f10")
        assert len(records(shop, TAG)) == 4


@in_terminal
async def test_a_form_sealed_just_before_its_session_ended_is_not_sealed_twice(shop: Shop) -> None:
    async with at_the_keys(shop) as hands:
        await hands.type("<enter>wrust")
        (draft,) = kept_drafts(shop)
        await hands.press("f10")
        shop.drafts.save(draft)  # as if the session had ended before the draft was dropped
        await hands.type("w<f10>")
        assert hands.message() == f"It was sealed already, as line 3 of {TAG}."
    assert len(records(shop, TAG)) == 3
    assert kept_drafts(shop) == []


@in_terminal
async def test_a_disk_that_refuses_the_draft_is_told_at_every_key_and_sealing_goes_on(
    shop: Shop, monkeypatch: pytest.MonkeyPatch
) -> None:
    async with at_the_keys(shop) as hands:
        await hands.type("<enter>w")
        with monkeypatch.context() as full:

            def refuse(*_: object, **__: object) -> None:
                raise OSError(28, "No space left on device")

            full.setattr("fieldlog.store.drafts.replace_file", refuse)
            await hands.type("ru")
            assert hands.message().startswith("The draft was not saved: the disk is full")
        await hands.type("st")
        assert "was not saved" not in hands.message()
    assert kept_drafts(shop)[0].fields["reason"] == "rust"


@in_terminal
async def test_a_scan_from_a_half_typed_form_says_that_it_is_kept(shop: Shop) -> None:
    other = hoist(shop, serial="4712")
    async with at_the_keys(shop) as hands:
        await hands.type(f"<f2>{TAG}<enter>wrust")
        await hands.type(f"FL:{other}<enter>")
        assert hands.heading().startswith(other)
        assert hands.message().startswith(f"Take out of service, {TAG}, is kept as a draft")
        assert kept_drafts(shop)[0].fields["reason"] == "rust"
