"""The ways between screens: home and to a hoist from anywhere, and a signature that takes its time."""

import time
from collections.abc import Iterator
from pathlib import Path

import pytest

from fieldlog.operations.signing import Signed
from fieldlog.tui import ways
from tests.tui.builder import at_the_keys, finished_work, in_terminal, ready_shop, with_hoist
from tests.tui.journeys import shop_with_work

LONGEST_S = 10


@pytest.fixture
def slow_agent(monkeypatch: pytest.MonkeyPatch) -> Iterator[list[str]]:
    """An SSH agent that answers only after the test says so."""
    held = ["waiting"]

    def sign_sealed(shop: object, name: str, entry: object, **told: object) -> Signed:
        deadline = time.monotonic() + LONGEST_S
        while held and time.monotonic() < deadline:
            time.sleep(0.01)
        return Signed(entry=None)

    monkeypatch.setattr(ways, "sign_sealed", sign_sealed)
    yield held
    held.clear()


def test_keys_go_on_while_an_agent_takes_its_time_and_the_signature_is_told_afterwards(
    tmp_path: Path, slow_agent: list[str]
) -> None:
    @in_terminal
    async def seal_and_go_on() -> None:
        shop = ready_shop(tmp_path)
        tag = with_hoist(shop)
        finished_work(shop, tag)
        async with at_the_keys(shop) as hands:
            await hands.type("<enter>i<enter><f10>")
            hands.waits_for_signatures = False
            await hands.type("<f10>")
            assert hands.message().startswith("Sealed.")
            await hands.press("w")
            assert hands.page == "ServicePage", "a key is taken while the signature is still made"
            await hands.press("escape")
            slow_agent.clear()
            await hands.until(lambda: hands.message().endswith("Signed."))

    seal_and_go_on()


@in_terminal
async def test_home_and_to_a_hoist_from_the_depth_keeps_the_inspection_and_says_so(tmp_path: Path) -> None:
    shop, tag = shop_with_work(tmp_path)
    async with at_the_keys(shop) as hands:
        hands.table().move_to(tag)
        await hands.type("<enter>i<enter>")
        assert hands.page == "InspectionPage"
        hands.app.go_home()
        await hands.settle()
        assert (hands.page, hands.message()) == (
            "DueListPage",
            f"The inspection of {tag} is kept as a draft.",
        )
