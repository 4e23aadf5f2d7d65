"""Verify in the app: clean or not by the count, each problem with what to do, its hoist a key away."""

from pathlib import Path

import pytest

from fieldlog.operations.shop import Shop
from fieldlog.operations.verifying import VERIFIED
from fieldlog.tui.screens import verify
from tests.tui.builder import NARROW, WIDE, at_the_keys, in_terminal, inspected, shop_as, with_hoist
from tests.tui.hands import Hands

SIZES = pytest.mark.parametrize("size", [NARROW, WIDE])


def _two(shop: Shop) -> None:
    inspected(shop, with_hoist(shop))
    with_hoist(shop, serial="4712", place="bay 3")


async def _verified(hands: Hands) -> None:
    await hands.until(lambda: hands.screen.job is None)


@SIZES
def test_a_clean_store_is_said_to_be_clean_with_its_counts(size: tuple[int, int], tmp_path: Path) -> None:
    """Lines are counted from the files themselves."""
    shop = shop_as(tmp_path, _two)
    files = [*tmp_path.glob("logbooks/*.jsonl"), *tmp_path.glob("shop/*.jsonl")]
    lines = sum(file.read_bytes().count(b"\n") for file in files)

    @in_terminal
    async def run() -> None:
        async with at_the_keys(shop, size=size) as hands:
            await hands.type("y")
            await _verified(hands)
            assert hands.page == "VerifyPage"
            assert hands.message().startswith(f"{lines} lines in {len(files)} logbooks, 0 signed, ")
            assert hands.message().endswith(": clean.")
            assert hands.table().rows == []

    run()
    assert (tmp_path / VERIFIED).exists(), "what the next verify must find again"


@SIZES
def test_a_changed_figure_is_found_with_its_place_and_enter_opens_that_hoist(
    size: tuple[int, int], tmp_path: Path
) -> None:
    shop = shop_as(tmp_path, _two)
    book = tmp_path / "logbooks" / "SW-0001-0.jsonl"
    book.write_bytes(book.read_bytes().replace(b"bay 2", b"bay 9", 1))

    @in_terminal
    async def run() -> None:
        async with at_the_keys(shop, size=size) as hands:
            await hands.type("y")
            await _verified(hands)
            assert "problem" in hands.message()
            assert hands.message().endswith("Enter opens the hoist.")
            assert hands.screen.query_one("#message").has_class("bad")
            assert "SW-0001-0 line 2" in hands.text()
            assert "it does not follow the line above" in hands.flat()
            assert "-> Compare the logbook with a backup" in hands.flat()
            asked: list[str] = []
            hands.app.open_hoist = asked.append  # type: ignore[method-assign,assignment]
            await hands.type("g<enter><down><enter>")
            assert asked == ["SW-0001-0", "SW-0001-0"], "from the row, and from what to do below it"

    run()
    assert not (tmp_path / VERIFIED).exists()


@in_terminal
async def test_a_problem_of_no_hoist_opens_nothing_and_r_looks_again(tmp_path: Path) -> None:
    shop = shop_as(tmp_path, _two)
    stray = tmp_path / "logbooks" / "notes.txt"
    stray.write_text("milk", encoding="utf-8")
    async with at_the_keys(shop) as hands:
        await hands.type("y")
        await _verified(hands)
        assert "logbooks/notes.txt" in hands.text()
        await hands.type("g<enter>")
        assert hands.message() == "logbooks/notes.txt belongs to no hoist: there is nothing to open."
        stray.unlink()
        await hands.type("r")
        await _verified(hands)
        assert hands.message().endswith(": clean.")
        assert hands.table().rows == []


@in_terminal
async def test_stopped_before_its_end_it_says_nothing_of_the_store(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    shop = shop_as(tmp_path, _two)

    def never_ending(_shop: Shop, *, progress: object) -> None:
        assert callable(progress)
        while True:
            progress(1, 2)

    async with at_the_keys(shop) as hands:
        monkeypatch.setattr(verify, "verify", never_ending)
        await hands.type("y<escape>")
        await _verified(hands)
        assert hands.message() == "Stopped before the end: this says nothing of the store. r begins again."
    assert not (tmp_path / VERIFIED).exists()
