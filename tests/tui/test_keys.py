"""The help of a screen lists the keys that work there, and every one of them does something."""

import pytest
from textual.binding import Binding
from textual.widgets import Input

from fieldlog.operations.shop import open_shop
from fieldlog.tui.keys import ALWAYS, help_lines, key_words
from fieldlog.tui.widgets.line_table import LineTable
from tests.tui.builder import Hands, at_the_keys, in_terminal, with_hoist
from tests.tui.journeys import WALK, each_screen, keys_to, shop_with_work

COMMON = ("table", "page", "app")
LEAVES_THE_TERMINAL = ("ctrl+q", "ctrl+z")  # test_app and test_real_terminal press these
WIDTH = 80
PLACES = {
    "form.choice": {"RegisterPage": "#field-drive", "DefectPage": "#field-grade", "PrintPage": "#field-kind"},
    "readings.choice": {"ReadingsPage": "#instrument"},
}


@pytest.mark.parametrize(
    ("key", "words"),
    [
        ("f10", "F10"),
        ("f1", "F1"),
        ("f", "f"),
        ("G", "G"),
        ("slash", "/"),
        ("escape", "Esc"),
        ("enter", "Enter"),
        ("pagedown", "PgDn"),
        ("ctrl+q", "Ctrl-Q"),
        ("ctrl+z", "Ctrl-Z"),
    ],
)
def test_a_key_is_named_as_it_stands_on_the_keyboard(key, words):
    assert key_words(Binding(key, "do", "Do")) == words


def _bindings(hands: Hands) -> list[Binding]:
    held = hands.app.screen.active_bindings.values()
    return [h.binding for h in held if h.enabled and h.binding.id is not None]


def _state(hands: Hands) -> tuple[object, ...]:
    """All that a person could see change: screens, cursor, text."""
    cursors = [table.cursor for table in hands.app.screen.query(LineTable)]
    return [id(screen) for screen in hands.app.screen_stack], hands.app.focused, cursors, hands.text()


async def _come_back(hands: Hands, page: str, tag: str) -> None:
    """To the screen under test, where the last key has led away from it."""
    if hands.page == page:
        if isinstance(hands.app.focused, Input) and hands.app.focused.id == "tag-field":
            await hands.press("escape")
        return
    below = [type(screen).__name__ for screen in hands.app.screen_stack]
    wanted = page if page in below else "DueListPage"
    while hands.page != wanted:
        hands.app.pop_screen()
    await hands.settle()
    if wanted != page:
        hands.table().move_to(tag)
        await hands.type(keys_to(page))


async def _prepare(hands: Hands, page: str, binding: Binding) -> None:
    """Put the cursor where this key has something to do."""
    if (binding.id or "").startswith("table."):
        hands.table().cursor = 1
        await hands.settle()
    if page == "HoistPage" and binding.id == "table.choose":
        hands.table().action_edge(1)
    if binding.id in PLACES and page in PLACES[binding.id]:
        hands.app.screen.query_one(PLACES[binding.id][page]).focus()
        await hands.settle()
    if binding.id in ("form.previous", "readings.previous"):
        await hands.press("down")
    if page == "DueListPage" and binding.id == "page.back":
        await hands.type("/bay")
    if binding.id == "due.refresh":
        with_hoist(open_shop(hands.app.shop.root), serial="from another session")


@pytest.mark.parametrize("page", [page for page, _ in WALK])
def test_every_key_in_the_help_does_something(page, tmp_path):
    """Keys that all screens share are pressed on the due list, its own on every screen."""
    shop, tag = shop_with_work(tmp_path)
    tried: list[str] = []

    @in_terminal
    async def try_all() -> None:
        async with at_the_keys(shop) as hands:
            hands.table().move_to(tag)
            await hands.type(keys_to(page))
            for binding in _bindings(hands):
                group = (binding.id or "").split(".")[0]
                if binding.key in LEAVES_THE_TERMINAL or (group in COMMON and page != "DueListPage"):
                    continue
                await _come_back(hands, page, tag)
                await _prepare(hands, page, binding)
                before = _state(hands)
                await hands.press(binding.key)
                assert _state(hands) != before, f"{binding.key} ({binding.description}) is dead on {page}"
                tried.append(binding.key)

    try_all()
    assert tried or page in ("KindsPage", "TextPage")


@in_terminal
async def test_help_and_footer_name_the_keys_of_each_screen_whole_at_80_columns(tmp_path):
    shop, tag = shop_with_work(tmp_path)
    async with at_the_keys(shop) as hands:
        async for page in each_screen(hands, tag):
            lines, footer = help_lines(hands.app.screen), hands.lines()[-1]
            assert lines[-len(ALWAYS) :] == list(ALWAYS)
            assert len(footer) <= WIDTH
            for binding in _bindings(hands):
                named = [line for line in lines if line.endswith(binding.description)]
                assert any(key_words(binding) in line.split() for line in named), (page, binding)
                if binding.show:
                    assert f"{key_words(binding)} {binding.description}" in footer, (page, footer)


@in_terminal
async def test_f1_shows_the_keys_of_the_screen_one_is_on(tmp_path):
    shop, tag = shop_with_work(tmp_path)
    async with at_the_keys(shop) as hands:
        hands.table().move_to(tag)
        await hands.type("<enter>i<enter><f1>")
        assert hands.heading() == "Keys of this screen"
        lines = [" ".join(line.split()) for line in hands.lines()]
        for line in ("o ok", "s Not seen", "F10 Seal", "Ctrl-Q Leave"):
            assert line in lines
        await hands.press("end")
        assert "Ctrl-Q leaves." in hands.text()
        await hands.press("escape")
        assert hands.page == "InspectionPage"
