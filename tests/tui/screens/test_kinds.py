"""Which inspection: what was left open first, then the kinds with the due one on top."""

from pathlib import Path

from fieldlog.domain.records import InspectionKind
from fieldlog.operations.drafting import kept_drafts, read_inspection
from tests.tui.builder import (
    ADA,
    BERT,
    at_the_keys,
    begun_work,
    in_terminal,
    inspected,
    ready_shop,
    with_hoist,
)
from tests.tui.hands import Hands


def _rows(hands: Hands) -> list[str]:
    return [" ".join(" ".join(row.cells).split()) for row in hands.table().rows]


@in_terminal
async def test_all_seven_kinds_are_offered_with_their_items_and_the_due_one_is_on_top(tmp_path: Path) -> None:
    shop = ready_shop(tmp_path)
    with_hoist(shop)
    async with at_the_keys(shop) as hands:
        await hands.type("<enter>i")
        rows = _rows(hands)
        assert rows[0] == "before first use 67 due 2026-11-25"
        assert {row.key for row in hands.table().rows} == {kind.name for kind in InspectionKind}
        await hands.press("enter")
        assert hands.heading().startswith(
            "SW-0001-0   before first use inspection 2026-11-25   0 of 67 answered"
        )
    (draft,) = kept_drafts(shop)
    assert (draft.by, draft.about) == (ADA, "SW-0001-0")
    assert read_inspection(draft).occasion is InspectionKind.FIRST_USE


@in_terminal
async def test_after_an_inspection_the_next_due_ones_lead(tmp_path: Path) -> None:
    """Every month from 2026-11-25, and every 12 months (calendar rule)."""
    shop = ready_shop(tmp_path)
    inspected(shop, with_hoist(shop))
    async with at_the_keys(shop) as hands:
        await hands.type("<enter>i")
        assert [row.split(" due ")[1] for row in _rows(hands)[:2]] == ["2026-12-25", "2027-11-25"]


@in_terminal
async def test_items_that_do_not_apply_to_a_hand_hoist_are_not_asked(tmp_path: Path) -> None:
    shop = ready_shop(tmp_path)
    gear = {"limit_switches": "no", "container": "no", "overload_device": "no"}
    with_hoist(shop, drive="hand", **gear)
    async with at_the_keys(shop) as hands:
        await hands.type("<enter>i<enter>")
        items = {row.key for row in hands.table().rows}
    assert {"hand-chain", "pawl-ratchet"} <= items
    assert not {"pendant-cable", "limit-up", "container-full", "air-lines"} & items


@in_terminal
async def test_drafts_of_two_people_are_offered_by_name_and_each_is_taken_up_as_it_is(tmp_path: Path) -> None:
    shop = ready_shop(tmp_path)
    tag = with_hoist(shop)
    for person, kind in ((ADA, InspectionKind.FREQUENT), (BERT, InspectionKind.AFTER_MOVE)):
        begun_work(shop, tag, kind, by=person)
    async with at_the_keys(shop) as hands:
        await hands.press("enter")
        for person in (ADA, BERT):
            assert f"inspection of 2026-11-25 by {person}" in hands.message()
        await hands.press("i")
        offered = dict(row.split(" left open by ") for row in _rows(hands)[:2])
        assert offered == {
            "frequent": f"{ADA} on 2026-11-25: take it up",
            "after a move": f"{BERT} on 2026-11-25: take over, look",
        }
    assert len(kept_drafts(shop)) == 2


@in_terminal
async def test_another_persons_inspection_is_asked_about_looked_at_and_taken_over(tmp_path: Path) -> None:
    shop = ready_shop(tmp_path)
    tag = with_hoist(shop)
    begun_work(shop, tag, InspectionKind.AFTER_MOVE, by=BERT)
    async with at_the_keys(shop) as hands:
        await hands.type("<enter>i<enter>")
        assert hands.message() == (
            f"Left open by {BERT} on 2026-11-25. Enter takes it over, l looks, F8 throws it away."
        )
        await hands.press("l")
        assert hands.heading() == f"{tag}   after a move inspection"
        await hands.press("escape", "enter", "enter")
        assert hands.page == "InspectionPage"
    (draft,) = kept_drafts(shop)
    assert (draft.by, draft.begun_by) == (ADA, BERT)


@in_terminal
async def test_an_inspection_left_open_is_thrown_away_here_when_asked_twice(tmp_path: Path) -> None:
    shop = ready_shop(tmp_path)
    begun_work(shop, with_hoist(shop), InspectionKind.AFTER_MOVE)
    async with at_the_keys(shop) as hands:
        await hands.type("<enter>i<f8><f8>")
        assert hands.message() == "Thrown away."
        assert not any(row.key.startswith("draft-") for row in hands.table().rows)
        await hands.press("l", "f8")
        assert hands.page == "KindsPage"
    assert kept_drafts(shop) == []
