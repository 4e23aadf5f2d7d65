"""Keys of one packet are handled one after the other, scans are told from typing, faults are not lost."""

from pathlib import Path

import pytest
from textual.events import Key

from fieldlog.operations.shop import open_shop
from fieldlog.tui.key_queue import as_pressed
from fieldlog.tui.screens.setup import SetupPage
from tests.tui.builder import at_the_keys, in_terminal, ready_shop, with_hoist


@in_terminal
async def test_a_form_typed_in_one_packet_lands_in_its_fields(tmp_path: Path) -> None:
    async with at_the_keys(open_shop(tmp_path), by="", login="ada") as hands:
        await hands.type(
            "Saltmarsh Hoists<enter>sx<backspace>w<enter>u<down>Ada Fenn<up>s<down><enter>fitter"
        )
        assert hands.screen.current_texts() == {
            "shop": "Saltmarsh Hoists",
            "prefix": "sw",
            "rulebook": "s",
            "person": "Ada Fenn",
            "qualification": "fitter",
            "units": "mm, kg",
            "opens": "me alone",
        }


@in_terminal
async def test_readings_typed_in_one_packet_land_at_their_places(tmp_path: Path) -> None:
    shop = ready_shop(tmp_path)
    with_hoist(shop)
    async with at_the_keys(shop) as hands:
        await hands.type("<enter>i<down><down><enter>m")
        await hands.type("<f3><enter><enter><enter>165.4<enter>165.41<backspace>5<enter>165,6")
        content = hands.screen.work.content
    assert [reading.text for reading in content.readings] == ["165.4", "165.45", "165,6"]


@in_terminal
async def test_a_scan_opens_the_hoist_and_leaves_no_letter_in_the_field_with_the_cursor(
    tmp_path: Path,
) -> None:
    shop = ready_shop(tmp_path)
    tag = with_hoist(shop)
    async with at_the_keys(shop) as hands:
        await hands.type("nLC 500")
        await hands.type(f"FL:{tag}<enter>")
        assert hands.page == "HoistPage"
        assert hands.heading().startswith(tag)
        await hands.type("<escape>d<enter>")
        assert hands.screen.current_texts()["maker"] == "LC 500"


@in_terminal
async def test_forty_scans_in_one_packet_all_arrive_and_the_last_one_stays(tmp_path: Path) -> None:
    shop = ready_shop(tmp_path)
    tags = [with_hoist(shop, serial=str(number)) for number in range(4)]
    async with at_the_keys(shop) as hands:
        await hands.type("".join(f"FL:{tags[count % 4]}<enter>" for count in range(40)))
        assert hands.heading().startswith(tags[3])
        assert len(hands.app.screen_stack) == 3


@in_terminal
async def test_a_scan_of_no_hoist_says_so_and_stays_on_the_screen(tmp_path: Path) -> None:
    shop = ready_shop(tmp_path)
    with_hoist(shop)
    async with at_the_keys(shop) as hands:
        await hands.type("nLC<enter>")
        await hands.type("FL:SW-0001-1<enter>")
        assert hands.page == "RegisterPage"
        assert "no such tag: check the last character" in hands.message()
        assert "SW-0001-0" in hands.message()
        assert hands.screen.current_texts()["maker"] == "LC"


@in_terminal
async def test_a_scan_in_mid_inspection_keeps_the_draft_and_says_so(tmp_path: Path) -> None:
    shop = ready_shop(tmp_path)
    first, second = with_hoist(shop), with_hoist(shop, serial="4712")
    async with at_the_keys(shop) as hands:
        await hands.type(f"FL:{first}<enter>i<down><down><enter>oo")
        await hands.type(f"FL:{second}<enter>")
        assert hands.heading().startswith(second)
        assert f"inspection of {first} is kept as a draft" in hands.message()


@in_terminal
async def test_text_that_only_begins_like_a_scan_is_typed_as_it_stands(tmp_path: Path) -> None:
    async with at_the_keys(open_shop(tmp_path), by="", login="ada") as hands:
        await hands.type("FL<enter>F<enter>FLx")
        texts = hands.screen.current_texts()
    assert [texts[name] for name in ("shop", "prefix", "rulebook")] == ["FL", "F", "FLx"]


@pytest.mark.parametrize(
    ("key", "becomes"),
    [
        (Key("alt+d", "d"), ["escape", "d"]),
        (Key("alt+shift+g", "G"), ["escape", "G"]),
        (Key("circumflex_accent", "^"), ["escape"]),
        (Key("escape", "\x1b"), ["escape"]),
        (Key("d", "d"), ["d"]),
        (Key("f10", None), ["f10"]),
    ],
)
def test_escape_and_a_key_soon_after_it_are_two_keys(key: Key, becomes: list[str]) -> None:
    assert [pressed.key for pressed in as_pressed(key)] == becomes


@in_terminal
async def test_a_fault_in_what_a_key_sets_off_reaches_the_app(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def broken(self: SetupPage, texts: dict[str, str]) -> None:
        raise RuntimeError("broken on purpose")

    monkeypatch.setattr(SetupPage, "send", broken)
    with pytest.raises(RuntimeError, match="broken on purpose"):
        async with at_the_keys(open_shop(tmp_path), by="", login="ada") as hands:
            await hands.press("f10")


@in_terminal
async def test_keys_after_a_screen_was_left_go_to_the_screen_below(tmp_path: Path) -> None:
    shop = ready_shop(tmp_path)
    tag = with_hoist(shop)
    async with at_the_keys(shop) as hands:
        await hands.type("n<escape><enter>w<escape><escape><enter>i")
        assert hands.page == "KindsPage"
        assert hands.heading().startswith(tag)
