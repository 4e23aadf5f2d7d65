"""The store is where the command line says, else the environment, else the user's own data folder."""

from pathlib import Path

import platformdirs
import pytest

from fieldlog.cli.place import preferences_file, store_at
from fieldlog.errors import InputError


def test_the_nearest_word_holds(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv("FIELDLOG_STORE", raising=False)
    assert store_at(None) == Path(platformdirs.user_data_dir("fieldlog", appauthor=False))
    monkeypatch.setenv("FIELDLOG_STORE", str(tmp_path / "a"))
    assert store_at("") == tmp_path / "a"
    assert store_at(str(tmp_path / "b")) == tmp_path / "b"
    assert store_at("~/x") == Path.home() / "x"


def test_a_file_is_no_store(tmp_path: Path) -> None:
    (tmp_path / "file").touch()
    with pytest.raises(InputError, match="is a file: name a folder"):
        store_at(str(tmp_path / "file"))


def test_what_the_user_of_a_terminal_chose_is_where_the_environment_says_else_in_the_own_folder(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    monkeypatch.delenv("FIELDLOG_SETTINGS", raising=False)
    folder = Path(platformdirs.user_config_dir("fieldlog", appauthor=False))
    assert preferences_file() == folder / "settings.toml"
    monkeypatch.setenv("FIELDLOG_SETTINGS", str(tmp_path / "mine.toml"))
    assert preferences_file() == tmp_path / "mine.toml"
