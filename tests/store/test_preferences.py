"""What a user chose for the terminal comes from a small file; its faults are named and it is never lost."""

import tomllib
from pathlib import Path

import pytest
from msgspec.structs import replace

from fieldlog.errors import FieldlogError
from fieldlog.store.preferences import (
    SIGNS,
    THEMES,
    Preferences,
    read_preferences,
    set_aside,
    write_preferences,
)


@pytest.fixture
def file(tmp_path: Path) -> Path:
    return tmp_path / "deeper" / "settings.toml"


def _file(file: Path, text: str) -> Path:
    file.parent.mkdir(exist_ok=True)
    file.write_text(text, encoding="utf-8")
    return file


def test_without_a_file_the_usual_holds_and_nothing_is_written(file: Path) -> None:
    assert read_preferences(file) == Preferences(theme="dark", signs="auto", keys={}, file=file)
    assert not file.parent.exists()


def test_theme_signs_and_keys_are_read(file: Path) -> None:
    text = 'theme = "contrast"\nsigns = "plain"\n[keys]\nhoist.inspect = "f6"\n"hoist.print" = " f7 "\n'
    chosen = read_preferences(_file(file, text))
    assert (chosen.theme, chosen.signs, chosen.faults) == ("contrast", "plain", ())
    assert chosen.keys == {"hoist.inspect": "f6", "hoist.print": "f7"}


@pytest.mark.parametrize(
    ("text", "fault"),
    [
        ('theme = "neon"', "theme: 'neon' is none of dark, light, contrast"),
        ("theme = 3", "theme: '3' is none of dark, light, contrast"),
        ('signs = "few"', "signs: 'few' is none of auto, full, plain"),
        ('colour = "red"', "colour: fieldlog knows theme, signs and keys only"),
        ("keys = 3", "keys: write a table, [keys]"),
        ("[keys]\nhoist.inspect = 6", 'keys: hoist.inspect needs a key in quotes, as "f6"'),
        ('[keys]\nhoist.inspect = " "', 'keys: hoist.inspect needs a key in quotes, as "f6"'),
    ],
)
def test_what_is_wrong_is_named_and_the_usual_holds_instead(text: str, fault: str, file: Path) -> None:
    chosen = read_preferences(_file(file, text))
    assert chosen.faults == (fault,)
    assert (chosen.theme, chosen.signs, chosen.keys, chosen.unreadable) == ("dark", "auto", {}, False)


@pytest.mark.parametrize("content", [b"theme = ", b"\xff\xfe", b"theme"], ids=["half", "no text", "no TOML"])
def test_a_file_that_can_not_be_read_is_named_in_one_sentence(content: bytes, file: Path) -> None:
    file.parent.mkdir()
    file.write_bytes(content)
    chosen = read_preferences(file)
    assert chosen.unreadable
    (fault,) = chosen.faults
    assert fault.startswith(f"{file} can not be read (")
    assert "\n" not in fault


def test_a_folder_in_its_place_is_a_fault_too(tmp_path: Path) -> None:
    assert read_preferences(tmp_path).unreadable


@pytest.mark.parametrize("theme", THEMES)
@pytest.mark.parametrize("signs", SIGNS)
def test_what_is_written_is_read_again(theme: str, signs: str, file: Path) -> None:
    write_preferences(Preferences(theme=theme, signs=signs), file)
    chosen = read_preferences(file)
    assert (chosen.theme, chosen.signs, chosen.faults) == (theme, signs, ())


def test_a_fresh_file_says_how_to_write_a_key(file: Path) -> None:
    write_preferences(Preferences(), file)
    assert "[keys]" in file.read_text(encoding="utf-8").splitlines()[0]


def test_comments_keys_and_what_is_not_known_stay(file: Path) -> None:
    _file(file, '# mine\ntheme = "neon" # bright\ncolour = "red"\n[keys]\nhoist.inspect = "f6"\n')
    write_preferences(replace(read_preferences(file), theme="light"), file)
    text = file.read_text(encoding="utf-8")
    assert tomllib.loads(text) == {
        "theme": "light",
        "colour": "red",
        "signs": "auto",
        "keys": {"hoist": {"inspect": "f6"}},
    }
    assert "# mine" in text
    assert "# bright" in text


def test_a_file_that_is_no_toml_is_not_written_over(file: Path) -> None:
    _file(file, "theme = ")
    with pytest.raises(FieldlogError, match="mend it by hand first"):
        write_preferences(Preferences(theme="light"), file)
    assert file.read_text(encoding="utf-8") == "theme = "


def test_a_place_that_can_not_be_written_is_told(tmp_path: Path) -> None:
    (tmp_path / "taken").write_text("", encoding="utf-8")
    with pytest.raises(FieldlogError, match="can not be written"):
        write_preferences(Preferences(), tmp_path / "taken" / "settings.toml")


def test_faulty_files_are_put_aside_under_names_of_their_own(file: Path) -> None:
    asides = [set_aside(_file(file, text)) for text in ("one", "two")]
    assert [aside.name for aside in asides] == ["settings.toml.faulty", "settings.toml.faulty2"]
    assert [aside.read_text(encoding="utf-8") for aside in asides] == ["one", "two"]
    assert not file.exists()
    with pytest.raises(FieldlogError, match="can not be put aside"):
        set_aside(file)
