"""The work list of a visit and the due list say the same of an overdue hoist, on the screen and on paper."""

from datetime import UTC, datetime
from pathlib import Path

from fieldlog.operations.shop import Shop
from tests.tui.builder import Clock, at_the_keys, in_terminal, inspected, shop_as, with_hoist
from tests.tui.printed import in_its_own_folder, press_print, words_of  # noqa: F401 (the fixture)

LATER = datetime(2027, 1, 20, 8, 0, tzinfo=UTC)
"""The monthly inspection was due on 2026-12-25."""


def _one_inspected(shop: Shop) -> None:
    inspected(shop, with_hoist(shop))


@in_terminal
async def test_overdue_and_nothing_else_is_told_as_such(tmp_path: Path) -> None:
    async with at_the_keys(shop_as(tmp_path, _one_inspected), clock=Clock(LATER)) as hands:
        assert hands.row("SW-0001-0").endswith("! overdue")
        await hands.press("v")
        await hands.until(lambda: hands.screen.visit is not None and hands.screen.job is None)
        assert "! overdue" in hands.row("SW-0001-0")
        assert "in service" not in hands.text()
        await hands.fill(file="visit.pdf")
        await press_print(hands)
        text = words_of("visit.pdf")
        assert "! OVERDUE" in text
        assert "IN SERVICE" not in text
