"""Withdrawing, mending, fitting a chain set, testing and returning: what each asks, seals and refuses."""

from decimal import Decimal
from pathlib import Path

from fieldlog.domain.records import DefectGrade
from fieldlog.operations.drafting import DefectDraft
from fieldlog.operations.shop import Shop
from fieldlog.tui.screens.service import SERVICES
from tests.tui.builder import (
    ADA,
    at_the_keys,
    finished_work,
    in_terminal,
    inspected,
    records,
    shop_as,
    with_hoist,
)

TAG = "SW-0001-0"


def _inspected(shop: Shop) -> None:
    inspected(shop, with_hoist(shop))


def _with_cracked_guide(shop: Shop) -> None:
    _inspected(shop)
    work = finished_work(shop, TAG)
    item = next(item for item in work.assessment().items if item.id == "lower-guide")
    work.defect(item, DefectDraft(what="cracked", grade=DefectGrade.STOPS_NOW))
    work.seal()


@in_terminal
async def test_withdrawing_asks_a_reason_and_takes_the_hoist_out_of_service(tmp_path: Path) -> None:
    shop = shop_as(tmp_path, _inspected)
    async with at_the_keys(shop) as hands:
        await hands.type("<enter>w")
        caution = SERVICES["withdraw"][0]
        assert hands.heading() == f"{TAG}   take out of service   {ADA}"
        assert caution in hands.flat()
        assert hands.field("done_on").value == "2026-11-25"
        await hands.press("f10")
        assert hands.message() == "Not saved: 1 field needs a look. Reason: Reason is missing"
        await hands.type("hook bent<enter>L-7<enter>")
        assert hands.page == "HoistPage"
        assert hands.message().startswith(f"Sealed as line 3 of {TAG}.")
        assert hands.row("fitness") == "State X OUT OF SERVICE"
        assert "hook bent" in hands.row("why-0")
    assert (records(shop, TAG)[-1].reason, records(shop, TAG)[-1].lock) == ("hook bent", "L-7")


@in_terminal
async def test_a_return_is_refused_with_what_is_missing_and_taken_once_it_is_mended_and_inspected(
    tmp_path: Path,
) -> None:
    shop = shop_as(tmp_path, _with_cracked_guide)
    async with at_the_keys(shop) as hands:
        await hands.type("<enter>u")
        await hands.fill(guards="yes")
        await hands.press("f10")
        assert hands.page == "ServicePage"
        assert "D1 is not mended: cracked" in hands.message()
        await hands.type("<escape>m")
        assert hands.field("defects").value == "D1"
        await hands.fill(work="new guide", checked_by=ADA, load_path="no")
        await hands.press("f10")
        assert hands.page == "HoistPage"
        await hands.press("u")
        await hands.fill(guards="yes")
        await hands.press("f10")
        assert hands.page == "HoistPage"
        assert hands.row("fitness") == "State + in service"
    assert [body.kind for body in records(shop, TAG)[3:]] == ["mending", "return"]


@in_terminal
async def test_a_chain_unlike_the_plate_needs_a_reason_and_starts_a_new_life(tmp_path: Path) -> None:
    shop = shop_as(tmp_path, _inspected)
    async with at_the_keys(shop) as hands:
        await hands.type("<enter>c")
        await hands.fill(chain="6x18", certificate="C 77", length="12.5", baseline="198.2")
        await hands.press("f10")
        assert "the nameplate says 5" in hands.beside("chain")
        await hands.fill(chain="5x15", baseline="165.2")
        await hands.press("f10")
        assert hands.page == "HoistPage"
        assert "chain no. 2 since 2026-11-25" in hands.row("chain")
        assert "165.2 mm (measured on unused links)" in hands.row("chain-rule")
    fitted = records(shop, TAG)[-1]
    assert (fitted.certificate, fitted.length_mm) == ("C 77", Decimal(12500))
    assert fitted.baseline_mm == Decimal("165.2")


@in_terminal
async def test_a_load_test_is_sealed_with_its_loads(tmp_path: Path) -> None:
    shop = shop_as(tmp_path, _inspected)
    async with at_the_keys(shop) as hands:
        await hands.type("<enter>t")
        await hands.fill(required="625", reached="0,63 t", passed="yes")
        await hands.press("f10")
        assert hands.page == "HoistPage"
    test = records(shop, TAG)[-1]
    assert (test.required_kg, test.reached_kg, test.passed) == (Decimal(625), Decimal(630), True)


@in_terminal
async def test_a_move_is_sealed_and_asks_for_the_inspection_after_it(tmp_path: Path) -> None:
    shop = shop_as(tmp_path, _inspected)
    async with at_the_keys(shop) as hands:
        await hands.type("<enter>v<f10>")
        asked = "It hangs at bay 2 now, and no new place is given: is there none?"
        assert hands.message() == f"{asked} F10 again takes it as it stands."
        await hands.fill(place="bay 2")
        await hands.press("f10")
        assert hands.beside("place") == "the hoist hangs there already. Name the new site or place."
        await hands.fill(site="workshop", place="bench 1")
        await hands.press("f10")
        assert hands.message().startswith(f"Sealed as line 3 of {TAG}. Due now: after a move.")
        assert "workshop, bench 1" in hands.row("where")
    assert (records(shop, TAG)[-1].site, records(shop, TAG)[-1].place) == ("workshop", "bench 1")


@in_terminal
async def test_who_was_told_of_a_defect_is_sealed_and_without_a_defect_there_is_nothing_to_tell(
    tmp_path: Path,
) -> None:
    shop = shop_as(tmp_path, _with_cracked_guide)
    async with at_the_keys(shop) as hands:
        await hands.type("<enter>n")
        assert hands.field("defects").value == "D1"
        await hands.fill(whom="Mor Quill, works manager", how="on the spot")
        await hands.press("f10")
        assert hands.message().startswith("Sealed as line ")
    notice = records(shop, TAG)[-1]
    assert (notice.defects, notice.whom, notice.how) == (("D1",), "Mor Quill, works manager", "on the spot")


@in_terminal
async def test_a_hoist_without_a_defect_has_nothing_to_tell(tmp_path: Path) -> None:
    async with at_the_keys(shop_as(tmp_path, _inspected)) as hands:
        await hands.type("<enter>n")
        assert (hands.page, hands.message()) == ("HoistPage", f"{TAG} has no defect that could be told")


@in_terminal
async def test_a_retired_hoist_is_not_retired_again_and_moves_back_into_use_only_when_asked_twice(
    tmp_path: Path,
) -> None:
    shop = shop_as(tmp_path, _inspected)
    async with at_the_keys(shop) as hands:
        await hands.type("<enter>z")
        await hands.fill(why="sold", went_to="Dunmere Quay")
        await hands.press("f10")
        assert hands.message().startswith(f"Sealed as line 3 of {TAG}.")
        await hands.press("z")
        assert hands.message() == f"{TAG} is retired since 2026-11-25: v moves it back into use"
        await hands.press("v")
        await hands.fill(place="bench 1")
        await hands.press("f10")
        assert hands.message() == (
            f"{TAG} is retired since 2026-11-25: it is put to use again? F10 again takes it as it stands."
        )
        assert [body.kind for body in records(shop, TAG)][-1] == "retired"
        await hands.press("f10")
        assert hands.page == "HoistPage"
    assert records(shop, TAG)[-1].place == "bench 1"
