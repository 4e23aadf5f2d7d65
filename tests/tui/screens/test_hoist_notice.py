"""From a defect on the hoist's page to its notice for the owner."""

from pathlib import Path

from fieldlog.domain.records import DefectGrade
from fieldlog.operations.drafting import DefectDraft
from fieldlog.operations.shop import Shop
from tests.tui.builder import at_the_keys, finished_work, in_terminal, inspected, shop_as, with_hoist
from tests.tui.hands import Hands
from tests.tui.printed import in_its_own_folder, looked, press_print, words_of  # noqa: F401 (the fixture)

TAG = "SW-0001-0"
GUIDES = ("lower guide cracked", "upper guide worn")


def _two_defects(shop: Shop) -> None:
    inspected(shop, with_hoist(shop))
    work = finished_work(shop, TAG)
    items = [item for item in work.assessment().items if not item.measure]
    for item, what in zip(items, GUIDES, strict=False):
        work.defect(item, DefectDraft(what=what, grade=DefectGrade.STOPS_NOW))
    work.seal()


async def _on_defect(hands: Hands, defect: str) -> None:
    await hands.press("enter")
    hands.table().move_to(f"defect-{defect}")
    await hands.settle()


@in_terminal
async def test_the_report_of_the_defect_under_the_cursor_is_its_notice(tmp_path: Path) -> None:
    async with at_the_keys(shop_as(tmp_path, _two_defects)) as hands:
        await _on_defect(hands, "D2")
        one, other = GUIDES if GUIDES[0] in hands.row("defect-D2") else GUIDES[::-1]
        await hands.press("enter")
        said = "D2: r prints the notice to its owner, n records who was told, m mends it."
        assert hands.message() == said
        await hands.press("r")
        await looked(hands)
        assert (hands.field("kind").value, hands.field("defect").value) == ("notice", "D2")
        assert hands.field("file").value == f"notice-{TAG}-D2.pdf"
        await press_print(hands)
        text = words_of(f"notice-{TAG}-D2.pdf")
        assert one in text
        assert other not in text


@in_terminal
async def test_all_open_defects_are_one_key_away_and_another_report_asks_for_none(tmp_path: Path) -> None:
    async with at_the_keys(shop_as(tmp_path, _two_defects)) as hands:
        await _on_defect(hands, "D1")
        await hands.press("r")
        await hands.fill(defect="all")
        await looked(hands)
        await press_print(hands)
        text = words_of(f"notice-{TAG}.pdf")
        assert all(what in text for what in GUIDES)
        await hands.fill(kind="logbook", defect="D1")
        await looked(hands)
        assert hands.field("file").value == f"logbook-{TAG}.pdf"


@in_terminal
async def test_elsewhere_on_the_page_the_usual_report_is_proposed(tmp_path: Path) -> None:
    async with at_the_keys(shop_as(tmp_path, _two_defects)) as hands:
        await hands.type("<enter>r")
        await looked(hands)
        assert (hands.field("kind").value, hands.field("defect").value) == ("inspection", "all open")
