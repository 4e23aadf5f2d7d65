"""How many keys a working step takes, counted while it is done; what is typed as a figure is counted apart.

The aim: a frequent inspection of 25 items with 3 readings, everything in order, from the scan to the printed
due sticker in under 60 keys besides the figures, each item answered by its own key while it stands in sight.
What a scanner sends is no key of anybody's.
"""

from collections import Counter
from datetime import timedelta
from pathlib import Path

from fieldlog.domain.records import AnswerKind, InspectionKind
from fieldlog.operations.shop import Shop
from tests.tui.builder import (
    MORNING,
    Clock,
    at_the_keys,
    in_terminal,
    inspected,
    last_inspection,
    shop_as,
    with_hoist,
)
from tests.tui.hands import Hands, keys_of

AIM = 60
ITEMS, READINGS = 25, ("165.4", "165.5", "165.6")
INSPECTION = {  # step: keys besides the figures
    "scan the tag": 0,
    "begin what is due": 2,
    "answer the items without a figure": 24,
    "go to the first reading, with the instrument of last time": 1,
    "from place to place and back to the items": 3,
    "see what is sealed, and seal": 2,
    "print the due sticker": 3,
}
OPENING = {  # the hoist with number 1, from the list
    "by scanner": 0,
    "by its number in the tag field": 3,
    "by a word of its site": 7,
}


def _one_due(shop: Shop) -> None:
    """A hoist with 25 items in a frequent inspection, in use for a month."""
    inspected(shop, with_hoist(shop, trolley="yes", falls="2"))


class Counting:
    """Hands that count their keys, step by step."""

    def __init__(self, hands: Hands) -> None:
        self.hands = hands
        self.keys: Counter[str] = Counter()
        self.figures = 0

    async def press(self, step: str, keys: str) -> None:
        """Keys of a step."""
        self.keys[step] += len(keys_of(keys))
        await self.hands.type(keys)

    async def figure(self, text: str) -> None:
        """A figure, which takes as many keys as it has characters whatever the screen is like."""
        self.figures += len(text)
        await self.hands.type(text)


async def _answer_in_sight(by: Counting) -> None:
    """ok to each item up to the next measured one: it can be read on the screen, and one key answers one."""
    page = by.hands.screen
    while (item := page.current()) is not None and not item.measure:
        open_before = len(page._open())
        if not open_before:
            return
        assert item.title[:30] in by.hands.text(), f"{item.title} is not in sight"
        assert page.work.answer_of(item, page.assessment) is None
        await by.press("answer the items without a figure", "o")
        assert len(page._open()) == open_before - 1, "one key answers one item"


async def _measure(by: Counting) -> None:
    await by.press("go to the first reading, with the instrument of last time", "m")
    for place, text in enumerate(READINGS, start=1):
        await by.figure(text)
        last = place == len(READINGS)
        await by.press("from place to place and back to the items", "<f10>" if last else "<enter>")


async def _inspect_and_print(by: Counting, tag: str) -> None:
    await by.hands.type(f"FL:{tag}<enter>")
    await by.press("scan the tag", "")
    await by.press("begin what is due", "i<enter>")
    assert len(by.hands.screen.assessment.items) == ITEMS
    await _answer_in_sight(by)
    await _measure(by)
    await _answer_in_sight(by)
    for key in ("<f10>", "<f10>"):  # one by one: what was not read yet is not sealed
        await by.press("see what is sealed, and seal", key)
    assert by.hands.message().startswith("Sealed. ")
    await by.press("print the due sticker", "p<f3><f10>")


@in_terminal
async def test_a_frequent_inspection_takes_fewer_than_60_keys_besides_its_figures(
    tmp_path: Path, monkeypatch
) -> None:
    shop = shop_as(tmp_path / "store", _one_due)
    (tag,) = shop.logbooks.hoist_names()
    monkeypatch.chdir(tmp_path)
    async with at_the_keys(shop, clock=Clock(MORNING + timedelta(days=30))) as hands:
        by = Counting(hands)
        await _inspect_and_print(by, tag)
        assert hands.message().startswith(f"Written to {tag}-due.pdf.")
    assert (tmp_path / f"{tag}-due.pdf").read_bytes().startswith(b"%PDF")
    sealed = last_inspection(shop, tag)
    assert sealed.occasion is InspectionKind.FREQUENT
    assert [answer.answer for answer in sealed.answers] == [AnswerKind.OK] * ITEMS
    assert tuple(reading.typed for reading in sealed.readings) == READINGS
    assert dict(by.keys) == INSPECTION
    assert by.figures == sum(map(len, READINGS))
    assert sum(INSPECTION.values()) < AIM


@in_terminal
async def test_a_hoist_is_opened_by_few_keys(tmp_path: Path) -> None:
    shop = shop_as(tmp_path, _one_due)
    (tag,) = shop.logbooks.hoist_names()
    with_hoist(shop, serial="4712", site="filter house", place="bay 3")
    async with at_the_keys(shop) as hands:
        by = Counting(hands)
        await hands.type(f"FL:{tag}<enter>")
        await by.press("by scanner", "")
        assert hands.heading().startswith(tag)
        for step, keys in (
            ("by its number in the tag field", "<f2>1<enter>"),
            ("by a word of its site", "/hall<enter><enter>"),
        ):
            await hands.press("escape")
            assert hands.page == "DueListPage"
            await by.press(step, keys)
            assert hands.heading().startswith(tag), step
    assert dict(by.keys) == OPENING
