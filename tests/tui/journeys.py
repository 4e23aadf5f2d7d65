"""The way through every screen by keys alone, each step from the screen before it."""

from collections.abc import AsyncIterator
from pathlib import Path

from fieldlog.domain.records import InspectionKind
from fieldlog.operations.shop import Shop
from tests.tui.builder import Hands, finished_work, inspected, shop_as, with_hoist

WORKED_ON = "SW-0001-0"
WALK = (
    ("DueListPage", ""),
    ("RegisterPage", "n"),
    ("DraftsPage", "<escape>d"),
    ("HoistPage", "<escape><enter>"),
    ("ServicePage", "w"),
    ("PrintPage", "<escape>p"),
    ("TextPage", "<escape><f1>"),
    ("KindsPage", "<escape>i"),
    ("InspectionPage", "<enter>"),
    ("DefectPage", "gd"),
    ("ReadingsPage", "<escape>gm"),
    ("SealPage", "<escape><f10>"),
)


def _work(shop: Shop) -> None:
    inspected(shop, with_hoist(shop))
    for number in range(2):
        with_hoist(shop, serial=f"48{number}", place=f"bay {number + 3}")
    finished_work(shop, WORKED_ON, InspectionKind.FREQUENT)


def shop_with_work(root: Path) -> tuple[Shop, str]:
    """Three hoists; the first was inspected and has a finished inspection left open."""
    return shop_as(root, _work), WORKED_ON


async def each_screen(hands: Hands, tag: str) -> AsyncIterator[str]:
    """Every screen in turn; whoever takes a step away must come back to the screen before going on."""
    hands.table().move_to(tag)
    await hands.settle()
    for page, keys in WALK:
        await hands.type(keys)
        assert hands.page == page
        yield page
        assert hands.page == page


def keys_to(page: str) -> str:
    """The shortest keys from the due list to a screen: without the side steps that Escape takes back."""
    steps: list[str] = []
    for name, step in WALK:
        if step.startswith("<escape>"):
            steps.pop()
        steps.append(step.removeprefix("<escape>"))
        if name == page:
            return "".join(steps)
    raise AssertionError(f"no way leads to {page}")
