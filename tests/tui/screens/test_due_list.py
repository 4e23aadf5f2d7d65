"""Home: overdue first, found by any word, never behind what other sessions sealed."""

from datetime import timedelta
from pathlib import Path

from fieldlog.operations.servicing import withdraw
from fieldlog.operations.shop import Shop, open_shop
from fieldlog.tui.widgets.line_table import LineTable
from tests.tui.builder import (
    BERT,
    MORNING,
    TODAY,
    WIDE,
    Clock,
    at_the_keys,
    in_terminal,
    inspected,
    ready_shop,
    shop_as,
    with_hoist,
)
from tests.tui.hands import Hands


def _three(shop: Shop) -> None:
    """Inspected 40 and 4 days ago, and never."""
    for days, place in ((40, "bay 1"), (4, "bay 2")):
        tag = with_hoist(shop, site="intake hall", place=place)
        inspected(shop, tag, now=MORNING - timedelta(days=days))
    with_hoist(shop, site="filter house", place="pump 3", maker="Longreach", model="EH 1")


def _rows(hands: Hands) -> list[str]:
    return [" ".join(" ".join(row.cells).split()) for row in hands.table().rows]


@in_terminal
async def test_overdue_comes_first_then_by_date_with_state_in_word_and_mark(tmp_path: Path) -> None:
    """A frequent inspection is due every month from the last one: 2026-10-16 leads to 2026-11-16."""
    async with at_the_keys(shop_as(tmp_path, _three)) as hands:
        rows = _rows(hands)
        assert [row.split(" SW-")[0] for row in rows] == [
            "2026-11-16 9 d late ! frequent",
            "2026-11-25 today first use",
            "2026-12-21 26 d frequent",
        ]
        assert [row.endswith("X OUT") for row in rows] == [False, True, False]
        assert rows[0].endswith("! overdue")
        assert rows[2].endswith("+ in service")
        assert hands.message() == "3 hoists, 1 overdue, 1 out of service"
        assert "9 d late !" in hands.text()
        assert "X OUT" in hands.text()


@in_terminal
async def test_from_120_columns_on_the_hoist_under_the_cursor_stands_beside_the_list(tmp_path: Path) -> None:
    async with at_the_keys(shop_as(tmp_path, _three), size=WIDE) as hands:
        beside = hands.screen.query_one("#beside", LineTable)
        assert "Fenwright LC 500, serial 4711" in _words(beside)
        assert "intake hall, bay 1" in _words(beside)
        await hands.press("down", "down")
        await hands.until(lambda: "intake hall, bay 2" in _words(beside))
        assert hands.app.focused is hands.table(), "it is to be read; the keys stay with the list"
        await hands.app_resized(119, 40)
        assert beside.has_class("hidden")


def _words(table: LineTable) -> str:
    return " ".join(" ".join(row.cells) for row in table.rows)


@in_terminal
async def test_the_list_is_found_by_state_and_kind_of_inspection_too(tmp_path: Path) -> None:
    async with at_the_keys(shop_as(tmp_path, _three)) as hands:
        for typed, found in (
            ("overdue", 1),
            ("first use", 1),
            ("frequent", 2),
            ("out of service", 1),
            ("4711", 3),
        ):
            await hands.type(f"/<ctrl+u>{typed}")
            assert len(_rows(hands)) == found, typed


@in_terminal
async def test_any_words_filter_at_every_key_and_escape_shows_all_again(tmp_path: Path) -> None:
    async with at_the_keys(shop_as(tmp_path, _three)) as hands:
        await hands.type("/hall")
        assert len(_rows(hands)) == 2
        await hands.type(" 2")
        assert len(_rows(hands)) == 1
        await hands.type("x")
        assert hands.message() == "No hoist has these words."
        await hands.press("backspace", "enter", "enter")
        assert hands.page == "HoistPage"
        await hands.press("escape", "escape")
        assert len(_rows(hands)) == 3


@in_terminal
async def test_an_empty_shop_says_how_to_begin(tmp_path: Path) -> None:
    async with at_the_keys(ready_shop(tmp_path)) as hands:
        assert hands.message() == "No hoist yet: press n for a new one."


@in_terminal
async def test_what_another_session_sealed_shows_on_looking_again_and_on_coming_back(tmp_path: Path) -> None:
    shop = shop_as(tmp_path, _three)
    other = open_shop(tmp_path)
    async with at_the_keys(shop) as hands:
        tag = next(row.key for row in hands.table().rows if "+ in service" in row.cells)
        withdraw(other, tag, {"reason": "hook bent"}, by=BERT, now=MORNING, today=TODAY)
        await hands.press("r")
        assert hands.row(tag).endswith("X OUT")
        with_hoist(other, serial="4799")
        await hands.press("d", "escape")
        assert hands.message().startswith("4 hoists")


@in_terminal
async def test_others_work_shows_by_itself_and_leaves_cursor_and_typed_words_alone(tmp_path: Path) -> None:
    shop = shop_as(tmp_path, _three)
    other = open_shop(tmp_path)
    async with at_the_keys(shop) as hands:
        await hands.type("/hall<enter><down>")
        tag = hands.table().current_key
        withdraw(other, tag, {"reason": "hook bent"}, by=BERT, now=MORNING, today=TODAY)
        await hands.until(lambda: hands.row(tag).endswith("X OUT"))
        assert (hands.table().current_key, hands.screen.query_one("#find").value) == (tag, "hall")


@in_terminal
async def test_the_day_turns_while_the_app_stays_open(tmp_path: Path) -> None:
    clock = Clock()
    async with at_the_keys(shop_as(tmp_path, _three), clock=clock) as hands:
        clock.forward(days=27)
        await hands.press("r")
        assert hands.heading() == "Saltmarsh Hoist Service   due list 2026-12-22   Ada Fenn"
        assert hands.message() == "3 hoists, 3 overdue, 1 out of service"
