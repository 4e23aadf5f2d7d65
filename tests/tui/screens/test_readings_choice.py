"""F3 on the page of readings steps where there is a choice, and says so where there is none."""

from pathlib import Path

from fieldlog.tui.widgets.reading_row import ReadingRow
from tests.tui.builder import at_the_keys, begun_work, in_terminal, ready_shop, with_hoist

TYPED = "This field is typed; F3 steps where there is a choice."


@in_terminal
async def test_a_figure_a_place_and_the_links_are_typed(tmp_path: Path) -> None:
    shop = ready_shop(tmp_path)
    work = begun_work(shop, with_hoist(shop))
    async with at_the_keys(shop) as hands:
        hands.app.measure_chain(work)
        await hands.settle()
        row = next(iter(hands.screen.query(ReadingRow)))
        for field in (row.value, row.name_field, hands.screen.query_one("#links")):
            field.focus()
            await hands.settle()
            before = field.value
            await hands.press("f3")
            assert (hands.message(), field.value) == (TYPED, before)
        hands.screen.query_one("#basis").focus()
        await hands.settle()
        await hands.press("f3")
        assert hands.message() != TYPED
