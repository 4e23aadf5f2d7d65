"""What was left open is listed for everybody, taken up where it stood, or thrown away when asked twice."""

from datetime import timedelta
from pathlib import Path

from fieldlog.operations.draft_hands import OWN_NOW, take_over
from fieldlog.operations.draft_words import draft_says
from fieldlog.operations.drafting import begin_registration, discard_draft, kept_drafts, save_fields
from fieldlog.operations.shop import Shop, open_shop
from tests.tui.builder import ADA, BERT, MORNING, at_the_keys, begun_work, in_terminal, ready_shop, with_hoist


def _shop_with_drafts(root: Path) -> tuple[Shop, str]:
    shop = ready_shop(root)
    tag = with_hoist(shop)
    begun_work(shop, tag, by=BERT)
    later = MORNING + timedelta(minutes=30)
    texts = {"maker": "Longreach", "model": "EH 1", "serial": "17"}
    save_fields(shop, begin_registration(by="Ada Fenn", now=later), texts, now=later)
    return shop, tag


def test_a_draft_in_one_line(tmp_path: Path) -> None:
    shop, _ = _shop_with_drafts(tmp_path)
    assert [draft_says(draft) for draft in kept_drafts(shop)] == [
        "new hoist Longreach EH 1 17",
        "frequent inspection",
    ]


@in_terminal
async def test_drafts_of_everybody_stand_newest_first_with_tag_person_and_time(tmp_path: Path) -> None:
    shop, tag = _shop_with_drafts(tmp_path)
    async with at_the_keys(shop) as hands:
        await hands.press("d")
        rows = [" ".join(" ".join(row.cells).split()) for row in hands.table().rows]
        assert rows == [
            "new new hoist Longreach EH 1 17 Ada Fenn 2026-11-25 08:30",
            f"{tag} frequent inspection Bert Quill 2026-11-25 08:00",
        ]
        await hands.press("enter")
        assert hands.page == "RegisterPage"
        assert hands.field("serial").value == "17"


@in_terminal
async def test_another_persons_draft_is_looked_at_and_taken_over_only_when_asked_twice(
    tmp_path: Path,
) -> None:
    shop, tag = _shop_with_drafts(tmp_path)
    async with at_the_keys(shop) as hands:
        await hands.press("d", "end", "enter")
        assert hands.message() == (
            f"Left open by {BERT} on 2026-11-25. Enter takes it over, l looks, F8 throws it away."
        )
        await hands.press("l")
        assert hands.heading() == f"{tag}   frequent inspection"
        assert f"Left open by {BERT} on 2026-11-25." in hands.text()
        assert "Day of the inspection: 2026-11-25" in hands.text()
        await hands.press("escape", "up", "down", "enter")
        assert hands.page == "DraftsPage", "looking or moving away drops the question"
        assert {draft.by for draft in kept_drafts(shop)} == {ADA, BERT}
        await hands.press("enter")
        assert hands.page == "InspectionPage"
        assert hands.heading().startswith(tag)
        await hands.press("escape", "d")
        cells = [row.cells[1] for row in hands.table().rows]
        assert f"frequent inspection (begun by {BERT})" in cells
    assert {draft.by for draft in kept_drafts(shop)} == {ADA}


@in_terminal
async def test_a_registration_is_looked_at_under_the_labels_of_its_form(tmp_path: Path) -> None:
    shop, _ = _shop_with_drafts(tmp_path)
    async with at_the_keys(shop, by=BERT) as hands:
        await hands.press("d", "l")
        for line in ("Maker: Longreach", "Model: EH 1", "Serial number: 17"):
            assert line in hands.text()


@in_terminal
async def test_a_draft_that_went_on_meanwhile_is_not_thrown_away(tmp_path: Path) -> None:
    shop, tag = _shop_with_drafts(tmp_path)
    async with at_the_keys(shop) as hands:
        await hands.press("d", "f8")
        (draft,) = kept_drafts(shop, about="")
        take_over(open_shop(tmp_path), draft, by=BERT, now=MORNING)
        await hands.press("f8")
        assert hands.message() == f"{BERT} took this draft over on 2026-11-25 08:00. It stays."
        discard_draft(shop, draft)
        await hands.press("home", "enter")
        assert hands.page == "DraftsPage"
    assert [draft.about for draft in kept_drafts(shop)] == [tag]


@in_terminal
async def test_a_taken_over_inspection_is_noticed_by_who_had_it_and_both_are_kept(tmp_path: Path) -> None:
    shop, tag = _shop_with_drafts(tmp_path)
    async with at_the_keys(shop, by=BERT) as hands:
        await hands.press("d", "end", "enter")
        assert hands.page == "InspectionPage"
        other = open_shop(tmp_path)
        taken = take_over(other, next(iter(kept_drafts(other, about=tag))), by=ADA, now=MORNING)
        await hands.press("o")
        assert hands.message() == f"{ADA} took this draft over on 2026-11-25 08:00. {OWN_NOW}"
        await hands.press("o")
    answered = {draft.by: len(draft.fields["answers"]) for draft in kept_drafts(shop, about=tag)}
    assert answered == {ADA: 0, BERT: 2}
    assert shop.drafts.load(taken.uid) == taken


@in_terminal
async def test_discarding_is_asked_twice_and_only_for_the_draft_under_the_cursor(tmp_path: Path) -> None:
    shop, _ = _shop_with_drafts(tmp_path)
    async with at_the_keys(shop) as hands:
        await hands.type("d<f8>")
        assert hands.message() == "F8 again throws this draft away for good."
        await hands.press("down", "f8")
        assert hands.message() == (
            f"Left open by {BERT} on 2026-11-25. F8 again throws this draft away for good."
        )
        assert len(kept_drafts(shop)) == 2
        await hands.press("f8")
        assert hands.message() == "Thrown away."
    assert [draft_says(draft) for draft in kept_drafts(shop)] == ["new hoist Longreach EH 1 17"]


@in_terminal
async def test_nothing_left_open_is_said(tmp_path: Path) -> None:
    async with at_the_keys(ready_shop(tmp_path)) as hands:
        await hands.press("d")
        assert hands.message() == "Nothing was left open."
        await hands.press("f8", "enter")
        assert hands.page == "DraftsPage"
