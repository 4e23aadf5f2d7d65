"""What was left open is listed for everybody, taken up where it stood, or thrown away when asked twice."""

from datetime import timedelta
from pathlib import Path

from fieldlog.operations.drafting import begin_registration, kept_drafts, save_fields
from fieldlog.operations.shop import Shop
from fieldlog.tui.screens.drafts import draft_says
from tests.tui.builder import BERT, MORNING, at_the_keys, begun_work, in_terminal, ready_shop, with_hoist


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
        await hands.press("escape", "d", "end", "enter")
        assert hands.page == "InspectionPage"
        assert hands.heading().startswith(tag)


@in_terminal
async def test_discarding_is_asked_twice_and_only_for_the_draft_under_the_cursor(tmp_path: Path) -> None:
    shop, _ = _shop_with_drafts(tmp_path)
    async with at_the_keys(shop) as hands:
        await hands.type("d<f8>")
        assert hands.message() == "F8 again throws this draft away for good."
        await hands.press("down", "f8")
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
