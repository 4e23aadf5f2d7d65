"""A form that ends in a file says that one is there already, and takes a second F10 or another name."""

from collections.abc import Callable
from pathlib import Path

import pytest

from fieldlog.domain.records import LabelPrinted
from fieldlog.operations.shop import Shop
from tests.tui.builder import at_the_keys, in_terminal, inspected, records, shop_as, with_hoist
from tests.tui.hands import Hands
from tests.tui.printed import in_its_own_folder, press_print  # noqa: F401 (the fixture)

TAG = "SW-0001-0"
FILE = "mine.pdf"
ASKED = f"{FILE} is there already. F10 again writes over it; or give another name."


def _one_inspected(shop: Shop) -> None:
    inspected(shop, with_hoist(shop))


async def _ready(hands: Hands) -> None:
    await hands.until(lambda: getattr(hands.screen, "job", None) is None)


async def _report(hands: Hands) -> None:
    await hands.type("<enter>r")


async def _shop_report(hands: Hands) -> None:
    await hands.type("o")


async def _visit(hands: Hands) -> None:
    await hands.type("v")


async def _label(hands: Hands) -> None:
    await hands.type("<enter>p")


async def _labels(hands: Hands) -> None:
    await hands.type("b")
    await hands.fill(day="")
    await press_print(hands)  # lists them


PAGES = pytest.mark.parametrize("page", [_report, _shop_report, _visit, _label, _labels])
Page = Callable[[Hands], object]


@PAGES
@in_terminal
async def test_a_file_is_written_over_only_when_asked_twice(tmp_path: Path, page: Page) -> None:
    Path(FILE).write_bytes(b"before")
    async with at_the_keys(shop_as(tmp_path, _one_inspected)) as hands:
        await page(hands)  # type: ignore[misc]
        await _ready(hands)
        await hands.fill(file=FILE)
        await _ready(hands)
        await press_print(hands)
        assert hands.message() == ASKED
        assert Path(FILE).read_bytes() == b"before"
        await hands.press("f10")
        await _ready(hands)
        assert Path(FILE).read_bytes().startswith(b"%PDF"), hands.message()


@PAGES
@in_terminal
async def test_another_name_needs_no_second_key_and_the_file_stays(tmp_path: Path, page: Page) -> None:
    Path(FILE).write_bytes(b"before")
    async with at_the_keys(shop_as(tmp_path, _one_inspected)) as hands:
        await page(hands)  # type: ignore[misc]
        await _ready(hands)
        await hands.fill(file=FILE)
        await press_print(hands)
        assert hands.message() == ASKED
        await hands.fill(file="other.pdf")
        await hands.press("f10")
        await _ready(hands)
        assert Path("other.pdf").read_bytes().startswith(b"%PDF"), hands.message()
    assert Path(FILE).read_bytes() == b"before"


@in_terminal
async def test_it_is_asked_again_before_it_is_written_over_once_more(tmp_path: Path) -> None:
    async with at_the_keys(shop_as(tmp_path, _one_inspected)) as hands:
        await _report(hands)
        await _ready(hands)
        await hands.fill(file=FILE)
        for said in (f"Written to {FILE}", ASKED, f"Written to {FILE}", ASKED):
            await press_print(hands)
            assert hands.message().startswith(said)


@in_terminal
async def test_a_label_that_was_only_asked_about_is_not_recorded(tmp_path: Path) -> None:
    Path(FILE).write_bytes(b"before")
    shop = shop_as(tmp_path, _one_inspected)
    async with at_the_keys(shop) as hands:
        await _label(hands)
        await hands.fill(file=FILE)
        await hands.press("f10")
        assert hands.message() == ASKED
        await hands.press("escape")
    assert not any(isinstance(body, LabelPrinted) for body in records(shop, TAG))
