"""The shop's reports: what is due by site and month, and the figures, from two screens."""

from pathlib import Path

import pytest

from fieldlog.operations.shop import Shop
from tests.tui.builder import NARROW, WIDE, at_the_keys, in_terminal, inspected, shop_as, with_hoist
from tests.tui.printed import in_its_own_folder, looked, press_print, words_of  # noqa: F401 (the fixture)

SIZES = pytest.mark.parametrize("size", [NARROW, WIDE])


def _two_sites(shop: Shop) -> None:
    """Both inspected on 2026-11-25: due a month later, and a year later."""
    inspected(shop, with_hoist(shop))
    inspected(shop, with_hoist(shop, serial="4712", site="filter house", place="press floor"))


def _one_site(shop: Shop) -> None:
    inspected(shop, with_hoist(shop))


@SIZES
def test_the_due_list_of_a_site_until_a_month(size: tuple[int, int], tmp_path: Path) -> None:
    """By the calendar a month after 2026-11-25 is 2026-12-25, a year after it 2027-11-25."""
    shop = shop_as(tmp_path, _two_sites)

    @in_terminal
    async def run() -> None:
        async with at_the_keys(shop, size=size) as hands:
            await hands.type("o")
            await looked(hands)
            assert (hands.page, hands.heading()) == ("ShopReportPage", "Reports of the shop   2026-11-25")
            assert hands.field("file").value == "due-all-sites.pdf"
            assert "Prints Inspections due, all sites, as on 2026-11-25" in hands.flat()
            await press_print(hands)
            assert hands.message() == "Written to due-all-sites.pdf: 1 page."
            await hands.fill(site="filter", until="2026-12")
            await hands.go_to_field("file")
            await looked(hands)
            assert hands.field("file").value == "due-filter-house.pdf"
            told = "Prints Inspections due, filter house, as on 2026-11-25, until the end of 2026-12"
            assert told in hands.flat()
            await press_print(hands)
            assert hands.message() == "Written to due-filter-house.pdf: 1 page."

    run()
    everything, some = words_of("due-all-sites.pdf"), words_of("due-filter-house.pdf")
    assert all(text in everything for text in ("SW-0001-0", "SW-0002-Y", "2026-12-25", "2027-11-25"))
    assert all(text in some for text in ("SW-0002-Y", "2026-12-25"))
    assert not any(text in some for text in ("SW-0001-0", "2027-11-25"))


@SIZES
def test_the_figures_are_printed_from_their_page(size: tuple[int, int], tmp_path: Path) -> None:
    shop = shop_as(tmp_path, _two_sites)

    @in_terminal
    async def run() -> None:
        async with at_the_keys(shop, size=size) as hands:
            await hands.type("f")
            await hands.until(lambda: hands.screen.found is not None)
            assert "F10 Report" in hands.lines()[-1]
            await hands.press("f10")
            await looked(hands)
            assert (hands.page, hands.field("kind").value) == ("ShopReportPage", "figures")
            assert "Prints Figures of the shop, all sites, as on 2026-11-25" in hands.flat()
            await press_print(hands)
            assert hands.message() == "Written to figures-all-sites.pdf: 1 page."
            await hands.press("escape")
            assert hands.page == "FiguresPage"

    run()
    words = words_of("figures-all-sites.pdf")
    assert "Figures of the shop all sites as on 2026-11-25" in words
    assert "2026-12 2 2 frequent" in words


@in_terminal
async def test_the_only_site_names_the_file_as_on_the_command_line(tmp_path: Path) -> None:
    async with at_the_keys(shop_as(tmp_path, _one_site)) as hands:
        await hands.type("o")
        await looked(hands)
        assert hands.field("file").value == "due-intake-hall.pdf"
        await hands.fill(kind="figures")
        assert hands.field("file").value == "figures-intake-hall.pdf"


@pytest.mark.parametrize(
    ("month", "told"),
    [
        ("2026-13", "'2026-13' is not a month; write year-month, as 2027-03"),
        ("2026-12-01", "'2026-12-01' is not a month; write year-month, as 2027-03"),
        ("december", "'december' is not a month; write year-month, as 2027-03"),
        ("2026-12", ""),
        ("", ""),
    ],
)
def test_a_month_is_written_in_one_way(month: str, told: str, tmp_path: Path) -> None:
    @in_terminal
    async def run() -> None:
        async with at_the_keys(shop_as(tmp_path, _one_site)) as hands:
            await hands.type("o")
            await hands.fill(until=month)
            problem = hands.screen.query_one("#row-until").problem
            assert problem == told
            await press_print(hands)
            assert hands.message().startswith("Not saved" if told else "Written to due-intake-hall.pdf")

    run()


@in_terminal
async def test_a_list_that_would_end_before_today_is_refused_in_the_operations_words(tmp_path: Path) -> None:
    """A month below, at and above that of the day."""
    refused = "the list would end in 2026-10, before its day 2026-11-25: name a later month"
    async with at_the_keys(shop_as(tmp_path, _one_site)) as hands:
        await hands.type("o")
        await hands.fill(until="2026-10")
        await looked(hands)
        assert f"X none {refused}" in hands.flat()
        await press_print(hands)
        assert hands.message() == refused
        assert list(Path().iterdir()) == []
        for month in ("2026-11", "2026-12"):
            Path("due-intake-hall.pdf").unlink(missing_ok=True)
            await hands.fill(until=month)
            await press_print(hands)
            assert hands.message() == "Written to due-intake-hall.pdf: 1 page."


@in_terminal
async def test_the_list_of_commands_leads_there_from_any_screen(tmp_path: Path) -> None:
    async with at_the_keys(shop_as(tmp_path, _one_site)) as hands:
        await hands.type("<enter><f9>reports<enter>")
        assert hands.page == "ShopReportPage"
        await hands.press("escape")
        assert hands.page == "HoistPage"


@in_terminal
async def test_a_shop_without_hoists_has_an_empty_due_list(tmp_path: Path) -> None:
    async with at_the_keys(shop_as(tmp_path, lambda _shop: None)) as hands:
        await hands.type("o")
        await looked(hands)
        await press_print(hands)
        assert hands.message() == "Written to due-all-sites.pdf: 1 page."
    assert "Nothing is due." in words_of("due-all-sites.pdf")
