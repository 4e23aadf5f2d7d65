"""A hoist's reports from its page: what is listed before one is printed, where that is recorded, its file."""

from pathlib import Path

import pypdf
import pytest

from fieldlog.operations.shop import Shop
from tests.tui.builder import ADA, NARROW, WIDE, at_the_keys, finished_work, in_terminal, shop_as
from tests.tui.one_hoist import TAG, one_inspected, with_open_defect
from tests.tui.printed import in_its_own_folder, looked, press_print, words_of  # noqa: F401 (the fixture)

SIZES = pytest.mark.parametrize("size", [NARROW, WIDE])
A4_PT, LETTER_PT = (595, 842), (612, 792)
"""210 x 297 mm (ISO 216) and 8.5 x 11 in (ANSI/ASME Y14.1), in points of 1/72 in, rounded."""
LACKING = "The rulebook asks for these, the records lack them, and the paper says so:"
AS_RECORDED = "The rulebook asks for no particulars here: it says what is recorded."


def _inspected_twice(shop: Shop) -> None:
    """Before first use in line 2, the monthly one in line 3."""
    one_inspected(shop)
    finished_work(shop, TAG).seal()


def _size(path: Path | str) -> tuple[int, int]:
    box = pypdf.PdfReader(path).pages[0].mediabox
    return round(box.width), round(box.height)


@SIZES
def test_what_the_records_lack_is_listed_before_the_inspection_is_printed(
    size: tuple[int, int], tmp_path: Path
) -> None:
    """The general rulebook asks for the owner; no owner is recorded with the site."""
    shop = shop_as(tmp_path, one_inspected)

    @in_terminal
    async def run() -> None:
        async with at_the_keys(shop, size=size) as hands:
            await hands.type("<enter>r")
            await looked(hands)
            assert (hands.page, hands.heading()) == ("ReportPage", f"{TAG}   report")
            assert hands.field("kind").value == "inspection"
            assert hands.field("paper").value == "a4"
            assert hands.field("file").value == f"inspection-{TAG}.pdf"
            text = hands.flat()
            assert f"Prints Inspection report, {TAG}, Fenwright LC 500: before first use, 2026-11-25" in text
            assert LACKING in text
            assert (
                "owner the name of owner or employer is not recorded. Record it with the site 'intake hall'."
                in text
            )
            assert not Path(f"inspection-{TAG}.pdf").exists()
            lacks = len(hands.screen.found.report.missing)
            await press_print(hands)
            pages = len(pypdf.PdfReader(f"inspection-{TAG}.pdf").pages)
            assert hands.message() == (
                f"Written to inspection-{TAG}.pdf: {pages} pages."
                f" Missing and marked on it: {lacks} particulars."
            )
            assert (hands.page, LACKING in hands.text()) == ("ReportPage", True)

    run()
    words = words_of(f"inspection-{TAG}.pdf")
    assert "Owner or employer not recorded" in words
    assert "4711" in words
    assert _size(f"inspection-{TAG}.pdf") == A4_PT


@SIZES
def test_each_kind_proposes_its_file_and_prints_what_it_says(size: tuple[int, int], tmp_path: Path) -> None:
    shop = shop_as(tmp_path, with_open_defect)

    @in_terminal
    async def run() -> None:
        async with at_the_keys(shop, size=size) as hands:
            await hands.type("<enter>r")
            for kind in ("logbook", "chain", "notice"):
                await hands.go_to_field("kind")
                await hands.press("f3")
                await looked(hands)
                assert hands.field("kind").value == kind
                assert hands.field("file").value == f"{kind}-{TAG}.pdf"
                assert (AS_RECORDED in hands.flat()) == (kind != "notice")
                await press_print(hands)
                assert hands.message().startswith(f"Written to {kind}-{TAG}.pdf: ")
            assert "defect D1 no remedy is recorded. Say what it needs." in hands.flat()
            await hands.go_to_field("kind")
            await hands.press("f3")
            await looked(hands)
            assert hands.field("file").value == f"inspection-{TAG}.pdf", "round and round"

    run()
    assert "Every line" in words_of(f"logbook-{TAG}.pdf")
    assert "Chain life report" in words_of(f"chain-{TAG}.pdf")
    notice = words_of(f"notice-{TAG}.pdf")
    assert "X DO NOT USE" in notice
    assert "lower guide cracked" in notice


@in_terminal
async def test_keys_typed_ahead_of_the_list_print_the_same_and_show_it(tmp_path: Path) -> None:
    async with at_the_keys(shop_as(tmp_path, one_inspected)) as hands:
        await hands.type("<enter>r<ctrl+u>l<f10>")
        await hands.until(lambda: hands.screen.job is None)
        assert hands.message().startswith(f"Written to logbook-{TAG}.pdf: ")
        assert f"Prints Logbook, {TAG}" in hands.flat()
    assert "Every line" in words_of(f"logbook-{TAG}.pdf")


@in_terminal
async def test_letter_paper_and_a_file_of_ones_own_which_another_kind_leaves_alone(tmp_path: Path) -> None:
    async with at_the_keys(shop_as(tmp_path / "store", one_inspected)) as hands:
        await hands.type("<enter>r")
        await hands.fill(paper="letter", file=str(tmp_path / "mine.pdf"), kind="chain")
        await press_print(hands)
        assert hands.field("file").value == str(tmp_path / "mine.pdf")
        assert hands.message().startswith(f"Written to {tmp_path / 'mine.pdf'}: ")
    assert _size(tmp_path / "mine.pdf") == LETTER_PT
    assert "Chain life report" in words_of(tmp_path / "mine.pdf")


@in_terminal
async def test_what_stands_in_the_way_is_told_at_its_field_and_a_disk_that_refuses_in_its_words(
    tmp_path: Path,
) -> None:
    async with at_the_keys(shop_as(tmp_path, one_inspected)) as hands:
        await hands.type("<enter>r")
        await hands.fill(kind="x")
        await hands.press("f10")
        assert hands.message().startswith("Not saved: 1 field needs a look. Report: ")
        await hands.fill(kind="inspection", file="")
        await hands.press("f10")
        assert hands.message() == "Not saved: 1 field needs a look. File: File is missing"
        await hands.fill(file="/nowhere/at/all.pdf")
        await press_print(hands)
        assert "/nowhere/at/all.pdf can not be written" in hands.message()
        await looked(hands)
        assert LACKING in hands.text()


@SIZES
def test_enter_on_what_is_missing_leads_to_where_it_is_recorded_and_back(
    size: tuple[int, int], tmp_path: Path
) -> None:
    shop = shop_as(tmp_path, one_inspected)

    @in_terminal
    async def run() -> None:
        async with at_the_keys(shop, size=size) as hands:
            await hands.type("<enter>r")
            await looked(hands)
            places = [lack.place for lack in hands.screen.found.report.missing]
            assert places.count("owner") == 2
            await hands.go_to_field("file")
            await hands.press("down")
            assert hands.message() == "Enter opens the page where a particular is recorded."
            hands.table().move_to(str(places.index("owner")))
            await hands.press("enter")
            assert (hands.page, hands.heading()) == ("RegisterEntryPage", "Sites   intake hall")
            await hands.fill(owner="Saltmarsh Water Works", owner_address="Pumping Station Road, Saltmarsh")
            await hands.press("f10")
            await hands.until(lambda: hands.page == "ReportPage" and hands.screen.job is None)
            assert "owner" not in [lack.place for lack in hands.screen.found.report.missing]
            at = [lack.place for lack in hands.screen.found.report.missing].index("examiner")
            hands.table().move_to(str(at))
            await hands.press("enter")
            assert (hands.page, hands.heading()) == ("RegisterEntryPage", f"People   {ADA}")
            await hands.press("escape")
            await hands.until(lambda: hands.page == "ReportPage" and hands.screen.job is None)
            at = [lack.place for lack in hands.screen.found.report.missing].index("signature")
            hands.table().move_to(str(at))
            await hands.press("enter")
            assert hands.message() == (
                "signature: the record is sealed, but not signed with a key. Sign the paper by hand."
            )

    run()


@SIZES
def test_a_sealed_inspection_is_printed_from_its_own_line(size: tuple[int, int], tmp_path: Path) -> None:
    shop = shop_as(tmp_path, _inspected_twice)

    @in_terminal
    async def run() -> None:
        async with at_the_keys(shop, size=size) as hands:
            await hands.press("enter")
            hands.table().move_to("line-2")
            await hands.type("<enter>r")
            await looked(hands)
            assert hands.heading() == f"{TAG}   report of the inspection in line 2"
            assert "before first use" in hands.flat()
            await hands.fill(file="line.pdf")
            await press_print(hands)
            assert hands.message().startswith("Written to line.pdf: ")
            await hands.press("escape")
            assert hands.page == "LinePage"

    run()
    words = words_of("line.pdf")
    assert "Kind and occasion before first use" in words
    assert "Kind and occasion frequent" not in words


@in_terminal
async def test_a_line_that_is_no_inspection_has_no_report_of_its_own(tmp_path: Path) -> None:
    async with at_the_keys(shop_as(tmp_path, one_inspected)) as hands:
        await hands.press("enter")
        hands.table().move_to("line-1")
        await hands.press("enter")
        assert "Report" not in hands.lines()[-1]
        await hands.press("r")
        assert hands.page == "LinePage"
