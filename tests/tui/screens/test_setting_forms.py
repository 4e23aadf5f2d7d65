"""Settings of this terminal are written to a file and shown at once; a faulty one is not replaced unasked."""

from pathlib import Path

from fieldlog.store.preferences import read_preferences
from tests.tui.builder import at_the_keys, in_terminal, ready_shop
from tests.tui.hands import Hands


async def _open(hands: Hands, row: str) -> None:
    if hands.page != "SettingsPage":
        await hands.press("e")
    hands.table().move_to(row)
    await hands.settle()
    await hands.press("enter")


async def _with_file(hands: Hands, file: Path) -> None:
    hands.app.take_preferences(read_preferences(file))
    await hands.settle()


@in_terminal
async def test_a_theme_is_written_to_the_file_and_shown_at_once(tmp_path: Path) -> None:
    file = tmp_path / "settings.toml"
    file.write_text('# mine\n[keys]\nhoist.inspect = "f6"\n', encoding="utf-8")
    async with at_the_keys(ready_shop(tmp_path / "store")) as hands:
        await _with_file(hands, file)
        await _open(hands, "theme")
        await hands.press("f3", "f10")
        assert hands.message() == "The theme is light from now on."
        assert hands.app.theme == "fieldlog-light"
        assert hands.row("theme").startswith("Theme light")
        await _open(hands, "signs")
        await hands.fill(signs="plain")
        await hands.press("f10")
        assert hands.app.plain
        await _open(hands, "keys")
        assert 'hoist.inspect = "f6"' in hands.text()
    chosen = read_preferences(file)
    assert (chosen.theme, chosen.signs, chosen.keys) == ("light", "plain", {"hoist.inspect": "f6"})
    assert file.read_text(encoding="utf-8").startswith("# mine")


@in_terminal
async def test_without_a_file_a_theme_holds_until_the_end(tmp_path: Path) -> None:
    async with at_the_keys(ready_shop(tmp_path)) as hands:
        await _open(hands, "theme")
        await hands.fill(theme="contrast")
        await hands.press("f10")
        assert hands.message() == "The theme is contrast until fieldlog ends: it has no settings file here."
        assert hands.app.theme == "fieldlog-contrast"


@in_terminal
async def test_a_file_that_can_not_be_read_is_named_and_put_aside_only_when_asked(tmp_path: Path) -> None:
    file = tmp_path / "settings.toml"
    file.write_text("theme = ", encoding="utf-8")
    async with at_the_keys(ready_shop(tmp_path / "store")) as hands:
        await _with_file(hands, file)
        await hands.press("e")
        assert "can not be read (Invalid value (at end of document)). The usual holds." in hands.row(
            "fault-0"
        )
        await _open(hands, "theme")
        await hands.fill(theme="light")
        await hands.press("f10")
        assert "can not be read" in hands.message()
        assert hands.message().endswith("F10 again puts it aside under another name and writes a fresh one.")
        assert file.read_text(encoding="utf-8") == "theme = "
        await hands.press("f10")
        assert hands.message().startswith("The theme is light from now on. The faulty file is ")
        assert not hands.row("fault-0")
    assert (tmp_path / "settings.toml.faulty").read_text(encoding="utf-8") == "theme = "
    assert read_preferences(file).theme == "light"


@in_terminal
async def test_a_file_with_a_wrong_word_is_asked_about_and_all_else_in_it_stays(tmp_path: Path) -> None:
    file = tmp_path / "settings.toml"
    file.write_text('theme = "neon"\ncolour = "red"\n', encoding="utf-8")
    async with at_the_keys(ready_shop(tmp_path / "store")) as hands:
        await _with_file(hands, file)
        await _open(hands, "signs")
        await hands.fill(signs="full")
        await hands.press("f10")
        assert hands.message().endswith("F10 again writes theme and signs into it; all else in it stays.")
        assert "neon" in file.read_text(encoding="utf-8")
        await hands.press("f10")
    assert 'colour = "red"' in file.read_text(encoding="utf-8")
    assert read_preferences(file).signs == "full"
