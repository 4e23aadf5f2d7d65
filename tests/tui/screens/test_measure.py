"""Wire diameter and hook: judged while typed, with limit, rule and source.

dn 5 mm: the mean of two diameters reduced by 10 %, to 4.5 mm, is discard (DGUV Information 209-021). Caliper
0.05: error 0.05 mm (DIN 862), so w = 1.645 * 0.05 / sqrt(3) = 0.0475 mm (ISO 14253-1, JCGM 106, from memory).
Hook throat 30 mm as new: opened by 10 %, to 33 mm, is discard (Korea, OSH Standards Rule, article 96).
"""

from pathlib import Path

import pytest

from fieldlog.domain.records import InspectionKind
from fieldlog.operations.drafting import kept_drafts, read_inspection
from fieldlog.operations.shop import Shop
from fieldlog.tui.work import InspectionWork
from tests.tui.builder import at_the_keys, begun_work, in_terminal, ready_shop, with_hoist
from tests.tui.hands import Hands


@pytest.fixture
def shop(tmp_path: Path) -> Shop:
    return ready_shop(tmp_path)


async def _open(hands: Hands, work: InspectionWork, item: str) -> None:
    hands.app.open_inspection(work)
    await hands.settle()
    await hands.go_to_item(item)
    await hands.press("m")


def _strip(hands: Hands) -> str:
    return str(hands.screen.query_one("#strip").content)


@in_terminal
async def test_a_diameter_just_over_at_and_under_its_limit(shop: Shop) -> None:
    work = begun_work(shop, with_hoist(shop), InspectionKind.PERIODIC)
    async with at_the_keys(shop) as hands:
        await _open(hands, work, "chain-diameter")
        assert hands.page == "DiameterPage"
        assert _strip(hands) == ""
        for d1, d2, mark in (
            ("4,55", "4.55", "+ KEEP"),
            ("4.54", "4.54", "? UNDECIDED"),
            ("4.5", "4.5", "X DISCARD"),
            ("4.49", "4.5", "X DISCARD"),
            ("4.4", "4.8", "! WATCH"),
        ):
            await hands.fill(d1=d1, d2=d2)
            assert _strip(hands).startswith(f"{mark}   load chain diameter   Limit 4.5 mm"), (d1, d2)
            assert "DGUV Information 209-021" in _strip(hands)
        assert "one diameter alone is below it: local damage or abrasion" in _strip(hands)
        await hands.fill(d2="thin")
        assert "thin" in _strip(hands)
        await hands.fill(d1="3/16 in", d2="4.8")
        await hands.press("f10")
        assert hands.row("chain-diameter").startswith("+ keep")
    kept = read_inspection(kept_drafts(shop)[0])
    assert (kept.d1, kept.d2) == ("3/16 in", "4.8")


@in_terminal
async def test_a_hook_by_throat_twist_and_crack(shop: Shop) -> None:
    work = begun_work(shop, with_hoist(shop), InspectionKind.PERIODIC)
    async with at_the_keys(shop) as hands:
        await _open(hands, work, "hook-throat")
        assert hands.page == "HookPage"
        assert hands.heading().endswith("throat as new: 30 mm")
        for throat, mark in (("32.9", "+ KEEP"), ("33", "X DISCARD"), ("33.1", "X DISCARD")):
            await hands.fill(throat=throat)
            assert _strip(hands).startswith(f"{mark}   lower hook   Limit 33 mm"), throat
        assert "art" in _strip(hands)
        await hands.fill(throat="31", crack="yes")
        assert _strip(hands).startswith("X DISCARD   lower hook")
        assert "any crack is discard" in _strip(hands)
        await hands.fill(crack="no")
        await hands.press("escape")
        assert hands.row("hook-throat").startswith("+ keep")


@in_terminal
async def test_a_throat_whose_new_value_is_not_known_is_undecided_and_never_a_pass(shop: Shop) -> None:
    work = begun_work(shop, with_hoist(shop, hook_throat=""), InspectionKind.PERIODIC)
    async with at_the_keys(shop) as hands:
        await _open(hands, work, "hook-throat")
        assert hands.heading().endswith("throat as new: not known")
        await hands.fill(throat="31")
        assert _strip(hands).startswith("? UNDECIDED   lower hook")
        await hands.press("f10")
        assert hands.row("hook-throat").startswith("? undecided")
