"""A hoist's page: may it be used and why, what is due, its chain, its defects, its logbook."""

from datetime import timedelta
from decimal import Decimal
from pathlib import Path
from types import SimpleNamespace
from typing import Any

from fieldlog.domain.records import InspectionKind
from fieldlog.operations.servicing import withdraw
from fieldlog.operations.shop import Shop, open_shop
from fieldlog.tui.screens.hoist import wear_bar
from tests.tui.builder import (
    ADA,
    BERT,
    MORNING,
    TODAY,
    WIDE,
    Clock,
    at_the_keys,
    begun_work,
    finished_work,
    in_terminal,
    inspected,
    ready_shop,
    shop_as,
    with_hoist,
)


def _one_inspected(shop: Shop) -> None:
    inspected(shop, with_hoist(shop))


@in_terminal
async def test_a_new_hoist_is_out_of_service_until_it_was_inspected_before_first_use(tmp_path: Path) -> None:
    shop = ready_shop(tmp_path)
    tag = with_hoist(shop)
    async with at_the_keys(shop) as hands:
        await hands.press("enter")
        assert hands.heading() == f"{tag}   2026-11-25   {ADA}   X OUT OF SERVICE"
        assert hands.row("fitness") == "State X OUT OF SERVICE"
        assert hands.row("why-0") == "not in use yet: the inspection before first use is missing"
        assert "before first use" in hands.row("due-FIRST_USE")


@in_terminal
async def test_state_dues_chain_wear_plate_and_logbook_of_an_inspected_hoist(tmp_path: Path) -> None:
    """Worst of 165.4, 165.5 and 165.6 mm: grown 0.6 of the 2.475 mm that 1.5 % of 165 mm allow
    (DOE-STD-1090-96, chapter 8), which is 24.2 %."""
    shop = shop_as(tmp_path, _one_inspected)
    async with at_the_keys(shop) as hands:
        await hands.press("enter")
        assert hands.row("fitness") == "State + in service"
        assert hands.row("due-FREQUENT").startswith(
            "Due 2026-12-25 frequent in 30 days".replace(" in", "  in", 1)
        )
        assert hands.row("due-PERIODIC").startswith("Due 2027-11-25 periodic")
        assert hands.row("chain") == "Chain 5 x 15 mm T"
        rule = hands.row("chain-rule")
        assert rule.startswith("11 links inside: 165 mm (computed from 5 x 15), discard at 167.475 mm")
        assert "DOE-STD-1090-96" in rule
        assert hands.row("wear") == "Wear [####................] 24.2 % grown 0.6 of 2.475 mm on 2026-11-25"
        assert hands.row("plate") == "Plate Fenwright LC 500, serial 4711, 2019"
        assert hands.row("rating") == "Rating electric, 500 kg, 1 fall, lift 6 m"
        assert "intake hall, bay 2" in hands.row("where")
        head = shop.logbooks.read("SW-0001-0").head
        assert f"Logbook, 2 lines, head {head[:10]}" in hands.text()
        lines = [row for row in hands.table().rows if row.key.startswith("line-")]
        assert [row.key for row in lines] == ["line-2", "line-1"]
        assert lines[0].cells == ("2026-11-25", f"before first use: 67 items, 3 readings   {ADA}")
        hands.table().move_to("line-2")
        await hands.press("enter")
        assert hands.heading() == "SW-0001-0   line 2 of the logbook"


@in_terminal
async def test_the_page_says_the_same_in_a_wide_window_and_after_a_resize(tmp_path: Path) -> None:
    shop = shop_as(tmp_path, _one_inspected)
    async with at_the_keys(shop, size=WIDE) as hands:
        await hands.press("enter")
        wide = {key: hands.row(key) for key in ("fitness", "chain-rule", "due-FREQUENT", "wear")}
        assert wide["chain-rule"] in hands.flat()
        await hands.pilot.resize_terminal(80, 24)
        await hands.settle()
        assert {key: hands.row(key) for key in wide} == wide
        assert wide["chain-rule"] in hands.flat()


@in_terminal
async def test_overdue_is_said_with_the_days(tmp_path: Path) -> None:
    shop = shop_as(tmp_path, _one_inspected)
    async with at_the_keys(shop, clock=Clock(MORNING + timedelta(days=31))) as hands:
        await hands.press("enter")
        assert "1 day late" in hands.row("due-FREQUENT")


@in_terminal
async def test_a_discard_and_an_open_defect_stand_on_the_page_with_reason_and_grade(tmp_path: Path) -> None:
    shop = shop_as(tmp_path, _one_inspected)
    finished_work(shop, "SW-0001-0", readings=("165.6", "167.6", "165.7")).seal()
    async with at_the_keys(shop) as hands:
        await hands.press("enter")
        assert hands.row("fitness") == "State X OUT OF SERVICE"
        assert "grown 2.6 of 2.475 mm" in hands.row("why-0")
        assert hands.row("defect-D1").startswith(
            "Defect D1 stops use now: load chain elongation: at hook end"
        )
        assert hands.row("finding-0").startswith(
            "X discard: load chain elongation, at hook end: grown 2.6 of 2.475"
        )
        assert "[####################]" in hands.row("wear")


@in_terminal
async def test_what_another_session_seals_shows_on_coming_back(tmp_path: Path) -> None:
    shop = shop_as(tmp_path, _one_inspected)
    async with at_the_keys(shop) as hands:
        await hands.type("<enter>w")
        withdraw(open_shop(tmp_path), "SW-0001-0", {"reason": "hook bent"}, by=BERT, now=MORNING, today=TODAY)
        await hands.press("escape")
        assert hands.row("why-0").endswith("hook bent")
        assert hands.row("line-3").endswith(f"withdrawn: hook bent   {BERT}")


@in_terminal
async def test_an_inspection_left_open_is_told(tmp_path: Path) -> None:
    shop = shop_as(tmp_path, _one_inspected)
    begun_work(shop, "SW-0001-0", InspectionKind.FREQUENT, by=BERT)
    async with at_the_keys(shop) as hands:
        await hands.press("enter")
        assert hands.message() == (f"Left open: inspection of 2026-11-25 by {BERT}. i takes it up again.")


def test_the_wear_bar_is_plain_ascii_and_full_at_the_limit_and_past_it() -> None:
    def bar(used: Decimal | None) -> str:
        facts: Any = SimpleNamespace(summary=SimpleNamespace(used_pct=used))
        return wear_bar(facts, width=10)

    assert bar(None) == ""
    assert bar(Decimal("-3")).startswith("[..........]")
    assert bar(Decimal("44.4")) == "[####......] 44.4 %"
    assert bar(Decimal("99.9")).startswith("[#########.]")
    assert bar(Decimal("100")).startswith("[##########]")
    assert bar(Decimal("240")).startswith("[##########]")
