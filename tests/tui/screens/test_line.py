"""A sealed line: it opens whole, can be struck out with a reason, and put right from there."""

from fieldlog.domain.records import Inspection, StruckOut
from fieldlog.operations.shop import open_hoist
from tests.tui.builder import at_the_keys, in_terminal, inspected, records, shop_as, with_hoist


def _one_inspected(shop):
    inspected(shop, with_hoist(shop))


async def _open_newest_line(hands):
    await hands.press("enter")
    newest = next(row.key for row in hands.table().rows if row.key.startswith("line-"))
    hands.table().move_to(newest)
    await hands.press("enter")


@in_terminal
async def test_a_line_opens_whole_with_both_hashes(tmp_path):
    shop = shop_as(tmp_path, _one_inspected)
    (tag,) = shop.logbooks.hoist_names()
    entry = shop.logbooks.read(tag).entries[-1]
    async with at_the_keys(shop) as hands:
        await _open_newest_line(hands)
        assert hands.page == "LinePage"
        assert entry.line in hands.flat()
        assert entry.prev in hands.flat()


@in_terminal
async def test_striking_out_needs_a_reason_and_leaves_both_lines(tmp_path):
    shop = shop_as(tmp_path, _one_inspected)
    (tag,) = shop.logbooks.hoist_names()
    async with at_the_keys(shop) as hands:
        await _open_newest_line(hands)
        await hands.press("f8")
        await hands.press("f10")
        assert "say why the line is struck out" in hands.message()
        await hands.fill(why="wrong hoist", again="no")
        await hands.press("f10")
        assert hands.page == "HoistPage"
        assert "is struck out" in hands.message()
        assert "(struck out)" in hands.row("line-2")
    last = records(shop, tag)[-1]
    assert isinstance(last, StruckOut)
    assert last.why == "wrong hoist"
    assert any(isinstance(body, Inspection) for body in records(shop, tag))
    assert not open_hoist(shop, tag).history.inspections


@in_terminal
async def test_putting_it_right_opens_the_inspection_with_all_that_it_said(tmp_path):
    shop = shop_as(tmp_path, _one_inspected)
    async with at_the_keys(shop) as hands:
        await _open_newest_line(hands)
        await hands.press("f8")
        await hands.fill(why="165.4 was 166.4", again="yes")
        await hands.press("f10")
        assert hands.page == "InspectionPage"
        content = hands.app.screen.work.content
        assert [reading.text for reading in content.readings] == ["165.4", "165.5", "165.6"]
        assert not hands.app.screen._open()
