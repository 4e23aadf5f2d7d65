"""Labels for many hoists: listed first with who gets none and why, then printed and recorded for each."""

import threading
from pathlib import Path

import pypdfium2  # type: ignore[import-untyped]
import pytest

from fieldlog.domain.records import DefectGrade, LabelPrinted
from fieldlog.operations.drafting import DefectDraft
from fieldlog.operations.servicing import withdraw
from fieldlog.operations.shop import Shop
from fieldlog.tui import print_order
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
    records,
    shop_as,
    with_hoist,
)
from tests.tui.hands import Hands

SIZES = pytest.mark.parametrize("size", [NARROW, WIDE])
GOOD, STOPPED, ELSEWHERE, NEW = "SW-0001-0", "SW-0002-Y", "SW-0003-W", "SW-0004-U"


def _four(shop: Shop) -> None:
    """Inspected today: a good one, one with a stopping defect, one at another site; the last not at all."""
    for number, site in enumerate(["intake hall"] * 2 + ["filter house"] * 2):
        tag = with_hoist(shop, serial=f"471{number}", site=site)
        if number < 3:
            inspected(shop, tag)
    work = finished_work(shop, STOPPED)
    item = next(item for item in work.assessment().items if item.id == "lower-guide")
    work.defect(item, DefectDraft(what="guide cracked", grade=DefectGrade.STOPS_NOW))
    work.seal()


@pytest.fixture(autouse=True)
def _in_its_own_folder(tmp_path_factory: pytest.TempPathFactory, monkeypatch: pytest.MonkeyPatch) -> None:
    """A file name without a folder goes to where fieldlog was started."""
    monkeypatch.chdir(tmp_path_factory.mktemp("started-here"))


def _printed(shop: Shop, tag: str) -> list[LabelPrinted]:
    return [body for body in records(shop, tag) if isinstance(body, LabelPrinted)]


def _words(path: Path) -> str:
    with pypdfium2.PdfDocument(path) as document:
        return " ".join(page.get_textpage().get_text_range() for page in document)


async def _done(hands: Hands) -> None:
    await hands.until(lambda: hands.screen.job is None)


@SIZES
def test_listed_with_places_and_refusals_then_printed_and_recorded_for_each(
    size: tuple[int, int], tmp_path: Path
) -> None:
    shop = shop_as(tmp_path, _four)
    target = Path("day.pdf")

    @in_terminal
    async def run() -> None:
        async with at_the_keys(shop, size=size) as hands:
            await hands.type("b")
            assert hands.field("day").value == "2026-11-24", "yesterday's work is proposed"
            await hands.fill(day=TODAY.isoformat(), start="24", file=str(target))
            await hands.press("f10")
            await _done(hands)
            assert hands.message() == "2 due stickers, 1 hoist left out. F10 prints, and records each."
            assert hands.row(STOPPED).startswith(f"left out {STOPPED} no due sticker: ")
            assert "guide cracked" in hands.row(STOPPED)
            assert hands.row(GOOD) == f"page 1, 24 {GOOD} 2027-11-25"
            assert hands.row(ELSEWHERE) == f"page 2, 1 {ELSEWHERE} 2027-11-25"
            assert not target.exists()
            await hands.press("f10")
            await _done(hands)
            assert hands.message() == f"2 due stickers, 2 pages. Written to {target}. Each is recorded."

    run()
    words = _words(target)
    assert GOOD in words
    assert ELSEWHERE in words
    assert STOPPED not in words
    assert [len(_printed(shop, tag)) for tag in (GOOD, STOPPED, ELSEWHERE, NEW)] == [1, 0, 1, 0]
    assert shop.logbooks.read(GOOD).entries[-1].by == ADA


@in_terminal
async def test_a_site_another_day_and_another_kind_choose_other_hoists(tmp_path: Path) -> None:
    shop = shop_as(tmp_path, _four)
    texts = {"reason": "brake slips", "done_on": TODAY.isoformat()}
    withdraw(shop, ELSEWHERE, texts, by=ADA, now=MORNING, today=TODAY)
    async with at_the_keys(shop) as hands:
        await hands.type("b<f10>")
        await _done(hands)
        assert hands.message() == "No due sticker to print: choose another site or day."
        await hands.press("f10")
        assert hands.message() == "There is nothing to print: choose another site or day."
        await hands.fill(day="", kind="withdrawn", site="filter house")
        assert hands.field("template").value == "a4-2x4-99x67", "the usual sheet of that kind"
        await hands.press("f10")
        await _done(hands)
        assert [row.key for row in hands.table().rows if row.key in (STOPPED, ELSEWHERE, NEW)] == [
            ELSEWHERE,
            NEW,
        ]
        await hands.fill(kind="tag", site="intake hall")
        await hands.press("f10")
        await _done(hands)
        assert hands.message() == "2 asset tags. F10 prints, and records each."


@in_terminal
async def test_a_second_print_says_on_which_day_the_first_was_made(tmp_path: Path) -> None:
    shop = shop_as(tmp_path, _four)
    async with at_the_keys(shop) as hands:
        await hands.type("b")
        await hands.fill(day=TODAY.isoformat(), file="x.pdf")
        for _ in range(3):
            await hands.press("f10")
            await _done(hands)
        assert "printed before, on 2026-11-25: destroy that one" in hands.row(GOOD)


@in_terminal
async def test_what_was_sealed_since_the_list_was_made_is_not_printed_over(tmp_path: Path) -> None:
    shop = shop_as(tmp_path, _four)
    target = Path("x.pdf")
    async with at_the_keys(shop) as hands:
        await hands.type("b")
        await hands.fill(day=TODAY.isoformat(), file=str(target))
        await hands.press("f10")
        await _done(hands)
        texts = {"reason": "brake slips", "done_on": TODAY.isoformat()}
        withdraw(shop, GOOD, texts, by=ADA, now=Clock()(), today=TODAY)
        await hands.press("f10")
        await _done(hands)
        assert hands.message() == "Something was sealed since this was listed: F10 lists it anew."
        await hands.press("f10")
        await _done(hands)
        assert "brake slips" in hands.row(GOOD)
    assert not target.exists()
    assert _printed(shop, ELSEWHERE) == []


@in_terminal
async def test_escape_while_drawing_leaves_no_file_and_no_record(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    shop = shop_as(tmp_path, _four)
    target = Path("x.pdf")
    reached, go_on = threading.Event(), threading.Event()
    draw = print_order.draw

    def slow(*given: object, **named: object) -> object:
        reached.set()
        assert go_on.wait(20)
        return draw(*given, **named)  # type: ignore[arg-type]

    monkeypatch.setattr(print_order, "draw", slow)
    async with at_the_keys(shop) as hands:
        await hands.type("b")
        await hands.fill(day=TODAY.isoformat(), file=str(target))
        await hands.press("f10")
        await _done(hands)
        await hands.press("f10")
        await hands.until(reached.is_set)
        await hands.press("escape")
        assert (hands.page, hands.message()) == ("PrintManyPage", "Stopping.")
        go_on.set()
        await _done(hands)
        assert hands.message() == "Stopped. Nothing was printed and nothing recorded."
    assert not target.exists()
    assert _printed(shop, GOOD) == []


@in_terminal
async def test_a_damaged_logbook_leaves_out_its_hoist_alone(tmp_path: Path) -> None:
    shop = shop_as(tmp_path, _four)
    book = tmp_path / "logbooks" / f"{GOOD}.jsonl"
    async with at_the_keys(shop) as hands:
        await hands.type("b")
        await hands.fill(day="", kind="tag", site="all")
        book.write_bytes(book.read_bytes()[:-20] + b"\n")
        await hands.press("f10")
        await _done(hands)
        assert "3 asset tags" in hands.message()
        assert GOOD not in [row.key for row in hands.table().rows if row.cells[0] != "left out"]


@in_terminal
async def test_a_sheet_without_room_for_the_kind_or_the_place_is_told_before_anything_is_listed(
    tmp_path: Path,
) -> None:
    shop = shop_as(tmp_path, _four)
    async with at_the_keys(shop) as hands:
        await hands.type("b")
        await hands.fill(kind="withdrawn", template="a4-3x8-70x37")
        await hands.press("f10")
        assert "has no layout for out-of-service tags, only for" in hands.message()
        await hands.fill(kind="due", start="25")
        await hands.press("f10")
        assert "Position 25 is not on a4-3x8-70x37" in hands.message()
