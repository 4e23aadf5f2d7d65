"""The way through every screen by keys alone, each step from the screen before it."""

from collections.abc import AsyncIterator
from pathlib import Path

from textual.binding import Binding
from textual.widgets import Input

from fieldlog.domain.records import InspectionKind
from fieldlog.operations.drafting import begin_form, save_fields
from fieldlog.operations.shop import Shop, open_shop
from tests.tui.builder import BERT, MORNING, answer_all, finished_work, inspected, shop_as, with_hoist
from tests.tui.hands import Hands

PLACES = {
    "form.choice": {
        "RegisterPage": "#field-drive",
        "DefectPage": "#field-grade",
        "PrintPage": "#field-kind",
        "VisitPage": "#field-site",
        "ReportPage": "#field-kind",
        "ShopReportPage": "#field-kind",
        "PrintManyPage": "#field-kind",
    },
    "readings.choice": {"ReadingsPage": "#instrument"},
}
SIDE_FIELDS = ("tag-field", "find", "note")
WORKED_ON = "SW-0001-0"
HOME = "DueListPage"
WALK = {  # screen: the one it is opened from, and the keys there
    HOME: ("", ""),
    "RegisterPage": (HOME, "n"),
    "DraftsPage": (HOME, "d"),
    "VisitPage": (HOME, "v"),
    "PrintManyPage": (HOME, "b"),
    "ShopReportPage": (HOME, "o"),
    "VerifyPage": (HOME, "y"),
    "SettingsPage": (HOME, "e"),
    "ShopSettingPage": ("SettingsPage", "g<enter>"),
    "TerminalSettingPage": ("SettingsPage", "G<up><up><enter>"),
    "RegisterListPage": (HOME, "p"),
    "RegisterEntryPage": ("RegisterListPage", "n"),
    "HoistPage": (HOME, "<enter>"),
    "ServicePage": ("HoistPage", "w"),
    "DeedDraftsPage": ("HoistPage", "l"),
    "PrintPage": ("HoistPage", "p"),
    "ReportPage": ("HoistPage", "r"),
    "SparePage": ("HoistPage", "ps<f10>"),
    "TextPage": ("HoistPage", "<f1>"),
    "LinePage": ("HoistPage", "G<up><enter>"),
    "StrikePage": ("LinePage", "<f8>"),
    "KindsPage": ("HoistPage", "i"),
    "InspectionPage": ("KindsPage", "<enter>"),
    "DefectPage": ("InspectionPage", "gd"),
    "ReadingsPage": ("InspectionPage", "gm"),
    "SealPage": ("InspectionPage", "<f10>"),
}


def _work(shop: Shop) -> None:
    inspected(shop, with_hoist(shop))
    for number in range(2):
        with_hoist(shop, serial=f"48{number}", place=f"bay {number + 3}")
    finished_work(shop, WORKED_ON, InspectionKind.FREQUENT)
    idle = begin_form("idle", WORKED_ON, by=BERT, now=MORNING)
    save_fields(shop, idle, {"why": "no crane driver"}, now=MORNING)


def shop_with_work(root: Path) -> tuple[Shop, str]:
    """Three hoists; the first was inspected and has a finished inspection left open."""
    return shop_as(root, _work), WORKED_ON


async def each_screen(hands: Hands, tag: str) -> AsyncIterator[str]:
    """Every screen in turn, whatever was done on the one before."""
    for page in WALK:
        await come_back(hands, page, tag)
        assert hands.page == page, f"the keys led to {hands.page}, not to {page}"
        yield page


def _keys_to(page: str) -> str:
    """All keys from home to a screen."""
    parent, keys = WALK[page]
    return _keys_to(parent) + keys if parent else keys


async def come_back(hands: Hands, page: str, tag: str) -> None:
    """To this screen from wherever a key has led, by the shortest way."""
    if isinstance(hands.app.focused, Input) and hands.app.focused.id in SIDE_FIELDS:
        await hands.press("escape")
    if hands.page == page:
        return
    parent, keys = WALK[page]
    below = [type(screen).__name__ for screen in hands.app.screen_stack]
    wanted = next(name for name in (page, parent, HOME) if name in below)
    while hands.page != wanted:
        hands.app.pop_screen()
    await hands.settle()
    if wanted == HOME:
        hands.table().move_to(tag)
        await hands.type(_keys_to(page))
    elif wanted == parent:
        await hands.type(keys)
    await hands.until(lambda: getattr(hands.screen, "job", None) is None)


async def prepare(hands: Hands, page: str, binding: Binding) -> None:
    """Put the cursor where this key has something to do."""
    name = binding.id or ""
    if name.startswith("table."):
        hands.table().cursor = 1
        await hands.settle()
    if page == "HoistPage" and name == "table.choose":
        hands.table().action_edge(1)
    if page in PLACES.get(name, {}):
        hands.screen.query_one(PLACES[name][page]).focus()
        await hands.settle()
    if name.endswith(".previous"):
        await hands.press("down")
    if name.endswith((".send", ".next")):
        fields = hands.screen.query("#form Input")
        if fields:
            fields.first().focus()  # what is typed wrong there keeps the form from being taken
            await hands.settle()
        await hands.press("x")
    if name == "seal.seal":
        work = hands.screen.work
        work.content.defects.clear()
        del work.content.readings[3:]
        answer_all(hands.app.shop, work.opened.hoist.id, work.content)
        hands.screen.show_preview()
    if name == "verify.again":
        (hands.app.shop.root / "logbooks" / "stray.txt").write_text("", encoding="utf-8")
    if name == "page.back":
        await hands.type("/bay")
    if name == "due.refresh":
        with_hoist(open_shop(hands.app.shop.root), serial="from another session")
