"""The work list for a visit: what is due at the site, tools and chain; open a hoist, write it for paper."""

from datetime import UTC, datetime
from pathlib import Path

import pypdfium2  # type: ignore[import-untyped]
import pytest

from fieldlog.domain.records import Instrument
from fieldlog.operations.setting_up import add_instrument
from fieldlog.operations.shop import Shop
from tests.tui.builder import (
    ADA,
    MORNING,
    NARROW,
    TODAY,
    WIDE,
    Clock,
    at_the_keys,
    finished_work,
    in_terminal,
    inspected,
    shop_as,
    with_hoist,
)
from tests.tui.hands import Hands

SIZES = pytest.mark.parametrize("size", [NARROW, WIDE])
LATER = datetime(2027, 1, 20, 8, 0, tzinfo=UTC)


def _two_sites(shop: Shop) -> None:
    """Monthly checks fall due on 2026-12-25 (intake hall), and none in the filter house is inspected yet."""
    inspected(shop, with_hoist(shop))
    with_hoist(shop, serial="4712", site="filter house", place="press floor")
    tool = Instrument(
        name="caliper 1", type="caliper-0.05", calibrated_on=TODAY, interval_months=12, certificate="C 1"
    )
    add_instrument(shop, tool, by=ADA, now=MORNING)


@pytest.fixture(autouse=True)
def _in_its_own_folder(tmp_path_factory: pytest.TempPathFactory, monkeypatch: pytest.MonkeyPatch) -> None:
    """A file name without a folder goes to where fieldlog was started."""
    monkeypatch.chdir(tmp_path_factory.mktemp("started-here"))


async def _listed(hands: Hands, site: str) -> None:
    await hands.until(lambda: hands.screen.visit is not None and hands.screen.visit.site == site)
    await hands.until(lambda: hands.screen.job is None)


@SIZES
def test_site_and_days_choose_the_list_and_enter_opens_the_hoist(
    size: tuple[int, int], tmp_path: Path
) -> None:
    shop = shop_as(tmp_path, _two_sites)

    @in_terminal
    async def run() -> None:
        async with at_the_keys(shop, size=size) as hands:
            await hands.type("v")
            first = hands.field("site").value
            await _listed(hands, first)
            await hands.fill(site="intake hall", days="30")
            await _listed(hands, "intake hall")
            text = hands.flat()
            assert "1 hoist to see until 2026-12-25, 0 overdue" in text
            assert "SW-0001-0 2026-12-25 + in service frequent bay 2" in text
            assert "165 mm over 11 links inside, chain 5 x 15, 1 hoist" in text
            assert "caliper 1 (in calibration until 2027-11-25)" in text
            assert "Spare chain, for chains near or at their limit" in text
            assert hands.field("file").value == "visit-intake-hall-2026-11-25.pdf"
            await hands.fill(days="29")
            await hands.until(lambda: "Nothing is due until 2026-12-24" in hands.text())
            await hands.fill(days="30")
            await hands.until(lambda: "SW-0001-0" in hands.text())
            await hands.go_to_field("file")
            await hands.press("enter", "enter")
            assert hands.page == "HoistPage"
            assert hands.heading().startswith("SW-0001-0")
            await hands.press("escape")
            await hands.until(lambda: hands.screen.job is None)
            assert (hands.page, hands.field("days").value) == ("VisitPage", "30")

    run()


@in_terminal
async def test_the_arrows_lead_through_the_list_and_back_and_no_other_row_opens_anything(
    tmp_path: Path,
) -> None:
    shop = shop_as(tmp_path, _two_sites)
    async with at_the_keys(shop) as hands:
        await hands.type("v")
        await hands.fill(site="intake hall")
        await _listed(hands, "intake hall")
        await hands.go_to_field("file")
        await hands.press("down", "down")
        assert hands.table().has_focus
        await hands.press("enter")
        assert (hands.page, hands.message()) == (
            "VisitPage",
            "This row is no hoist: there is nothing to open.",
        )
        await hands.press("end")
        assert "none" in hands.text(), "the last line is in sight"
        await hands.press("home", "up")
        assert hands.field("file").has_focus


@in_terminal
async def test_overdue_work_is_marked_and_a_worn_chain_asks_for_spare_chain(tmp_path: Path) -> None:
    """165 mm as new, 2.475 mm allowed (1.5 %): 167.2 has used 89 %. Lift 6 m, one fall, 1 m over: 7 m."""
    shop = shop_as(tmp_path, _two_sites)
    finished_work(shop, "SW-0001-0", readings=("165.4", "167.2", "166")).seal()
    async with at_the_keys(shop, clock=Clock(LATER)) as hands:
        await hands.type("v")
        await hands.fill(site="intake hall")
        await _listed(hands, "intake hall")
        text = hands.flat()
        assert "1 hoist to see until 2027-02-19, 1 overdue" in text
        assert "SW-0001-0 2026-12-25 ! " in text
        assert "take spare chain along" in text
        await hands.go_to_field("file")
        await hands.type("<down>G")
        assert "5 x 15, T: 7 m for SW-0001-0" in hands.flat()


@SIZES
def test_f10_writes_the_list_for_paper(size: tuple[int, int], tmp_path: Path) -> None:
    shop = shop_as(tmp_path, _two_sites)
    target = Path("list.pdf")

    @in_terminal
    async def run() -> None:
        async with at_the_keys(shop, size=size) as hands:
            await hands.type("v")
            await hands.fill(site="filter house", file=str(target))
            await hands.press("f10")
            await hands.until(lambda: hands.screen.job is None)
            assert hands.message() == f"Written to {target}: 1 page."
            await hands.fill(file="/nowhere/at/all.pdf")
            await hands.press("f10")
            await hands.until(lambda: hands.screen.job is None)
            assert "/nowhere/at/all.pdf can not be written" in hands.message()

    run()
    with pypdfium2.PdfDocument(target) as document:
        words = " ".join(page.get_textpage().get_text_range() for page in document)
    assert "filter house" in words
    assert "SW-0002-Y" in words
    assert "press floor" in words


@in_terminal
async def test_what_can_not_be_taken_lists_nothing_and_writes_nothing(tmp_path: Path) -> None:
    shop = shop_as(tmp_path, _two_sites)
    async with at_the_keys(shop) as hands:
        await hands.type("v")
        await _listed(hands, hands.field("site").value)
        await hands.fill(days="-1")
        await hands.until(lambda: hands.screen.visit is None)
        assert hands.table().rows == []
        await hands.press("f10")
        assert hands.message().startswith("Not saved: 1 field needs a look.")


@in_terminal
async def test_a_shop_without_hoists_says_so(tmp_path: Path) -> None:
    async with at_the_keys(shop_as(tmp_path, lambda _shop: None)) as hands:
        await hands.type("v")
        assert hands.message() == "There is no hoist yet: n on the due list registers one."
        await hands.press("f10")
        assert hands.message().startswith("Not saved: 1 field needs a look. Site: Site is missing")


@in_terminal
async def test_a_record_that_can_not_be_trusted_is_told_at_the_top(tmp_path: Path) -> None:
    shop = shop_as(tmp_path, _two_sites)
    path = shop.root / "logbooks" / "SW-0001-0.jsonl"
    path.write_bytes(path.read_bytes() + b"spoilt\n")
    async with at_the_keys(shop) as hands:
        await hands.press("v")
        await hands.fill(site="intake hall")
        await _listed(hands, "intake hall")
        assert "SW-0001-0 X its record can not be trusted: fieldlog verify tells why" in hands.flat()
