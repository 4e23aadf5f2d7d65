"""One full day by keyboard alone: set up, register, find, inspect, seal, print, come back and find all of it.

Chain 5 x 15 over 11 links, powered: 165 mm new, discard at 1.5 % longer, 167.475 mm (DOE-STD-1090-96,
chapter 8); 6.52 in are 165.608 mm (1 in = 25.4 mm exactly). A periodic inspection every 12 months (8.2.2 of
the same) leads from 2026-11-25 to 2027-11, which is what the sticker shows.
"""

from itertools import takewhile
from pathlib import Path

import pypdfium2  # type: ignore[import-untyped]
import pytest
import zxingcpp

from fieldlog.domain.records import AnswerKind
from fieldlog.operations.due import due_list
from fieldlog.operations.hoist_page import hoist_page
from fieldlog.operations.shop import open_shop
from tests.tui.builder import ADA, NARROW, TODAY, WIDE, at_the_keys, in_terminal, last_inspection
from tests.tui.goldens import check_screen
from tests.tui.hands import Hands

TAG = "SW-0001-0"
ANSWERED = "Every item is answered. F10 shows what will be sealed."
READINGS = "<f3><f3><f3><f3><enter><enter><enter>165,4<enter>6.52 in<enter>180<enter><ctrl+u>165.9"


async def _first_start(hands: Hands) -> None:
    await hands.type("Saltmarsh Hoist Service<enter>sw<enter><enter>")
    await hands.fill(person=ADA)
    await hands.press("f10")
    assert hands.message() == "No hoist yet: press n for a new one."


async def _register(hands: Hands) -> None:
    await hands.type("nFenwright<enter>LC 500<enter>4711<enter>2019<enter>e<enter>500<enter><enter>6<enter>")
    await hands.type("5x15<enter>T<enter>")
    await hands.fill(hook_throat="30", site="intake hall", place="bay 2")
    await hands.press("f10")
    assert hands.message().startswith(f"Registered as {TAG}. Next: i inspects it, p prints its tag.")


async def _find(hands: Hands) -> None:
    await hands.type("<escape><f2>SW-0001-7<enter>")
    assert "check the last character" in hands.message()
    assert TAG in hands.text()
    await hands.type("sw00010<enter>")
    assert hands.heading().startswith(TAG)


async def _measure(hands: Hands, what: str) -> None:
    await hands.press("m")
    if what == "elongation":
        await hands.type(READINGS)
        assert "X DISCARD" not in hands.text()
        for words in ("+ keep", "Limit 167.475 mm", "DOE-STD-1090-96"):
            assert words in hands.text()
        if hands.app.size == NARROW:
            check_screen("readings", hands.text())
    elif what == "diameter":
        await hands.type("4.9<enter>4,95")
        assert "+ KEEP" in hands.text()
    else:
        await hands.type("31")
        assert "+ KEEP" in hands.text()
    await hands.press("f10")


async def _inspect(hands: Hands) -> None:
    await hands.type("i<enter>")
    await hands.type("trather noisy<enter>")
    work = hands.screen.work
    items = work.assessment().items
    assert len(items) == 67
    while hands.screen.current() in items and hands.message() != ANSWERED:
        rest = items[items.index(hands.screen.current()) :]
        oks = list(takewhile(lambda item: not item.measure, rest))
        await hands.type("o" * len(oks))
        if len(oks) < len(rest):
            assert hands.screen.current() == rest[len(oks)], "the cursor goes on by itself"
            await _measure(hands, rest[len(oks)].measure)
    assert hands.message() == ANSWERED


async def _seal(hands: Hands) -> None:
    await hands.press("f10")
    assert "Afterwards" in hands.text()
    assert "+ in service" in hands.text()
    if hands.app.size == NARROW:
        check_screen("seal", hands.text())
    await hands.press("f10")
    assert hands.message().startswith("Sealed. p prints the due sticker.")
    if hands.app.size == NARROW:
        check_screen("hoist", hands.text())


async def _print(hands: Hands, folder: Path) -> None:
    for kind in ("tag", "due"):
        await hands.press("p")
        await hands.fill(kind=kind, file=str(folder / f"{kind}.pdf"))
        await hands.press("f10")
        assert hands.page == "HoistPage"
        assert hands.message().startswith("Written to ")


def _read_paper(path: Path) -> tuple[str, str]:
    """Words and code of the first page, the code by an independent decoder at 300 dpi."""
    with pypdfium2.PdfDocument(path) as document:
        page = document[0]
        words = page.get_textpage().get_text_range()
        picture = page.render(scale=300 / 72, grayscale=True).to_pil()
    (code,) = zxingcpp.read_barcodes(picture)
    return words, code.text


@pytest.mark.parametrize("size", [NARROW, WIDE])
def test_a_whole_day(size: tuple[int, int], tmp_path: Path) -> None:
    store, paper = tmp_path / "store", tmp_path

    @in_terminal
    async def day() -> None:
        async with at_the_keys(open_shop(store), by="", login="ada", size=size) as hands:
            await _first_start(hands)
            await _register(hands)
            await _find(hands)
            await _inspect(hands)
            await _seal(hands)
            await _print(hands, paper)
            await hands.press("ctrl+q")
            assert (hands.app.return_code or 0) == 0

    @in_terminal
    async def next_day() -> None:
        async with at_the_keys(open_shop(store), by="", login="ada", size=size) as hands:
            assert hands.heading().endswith(ADA)
            assert "2026-12-25" in hands.text()
            if size == NARROW:
                check_screen("due-list", hands.text())
            await hands.press("enter")
            assert "+ in service" in hands.heading()
            assert "5 lines" not in hands.text()
            assert "4 lines" in hands.text()

    day()
    _check_what_is_sealed(store)
    _check_paper(paper)
    next_day()


def _check_what_is_sealed(store: Path) -> None:
    shop = open_shop(store)
    sealed = last_inspection(shop, TAG)
    assert [str(reading.value_mm) for reading in sealed.readings] == ["165.4", "165.608", "165.9"]
    assert [reading.typed for reading in sealed.readings] == ["165,4", "6.52 in", "165.9"]
    assert sealed.readings[2].questions_confirmed == (), "the figure that was questioned was replaced"
    assert {answer.answer for answer in sealed.answers} == {AnswerKind.OK}
    assert sealed.answers[0].note == "rather noisy"
    assert sealed.defects == ()
    page = hoist_page(shop, TAG, TODAY)
    assert page.standing.fitness == "in service"
    assert [(due.inspection.value, due.due_on.isoformat()) for due in page.summary.dues] == [
        ("frequent", "2026-12-25"),
        ("periodic", "2027-11-25"),
    ]
    (row,) = due_list(shop, TODAY)
    assert (row.id, row.days, row.overdue) == (TAG, 30, False)
    bodies = [entry.body.kind for entry in shop.logbooks.read(TAG).entries]
    assert bodies == ["registration", "inspection", "label printed", "label printed"]


def _check_paper(folder: Path) -> None:
    words, code = _read_paper(folder / "tag.pdf")
    assert code == f"FL:{TAG}"
    assert "500 kg" in words
    words, code = _read_paper(folder / "due.pdf")
    assert code == f"FL:{TAG}"
    assert "2027" in words
    assert "11" in words
