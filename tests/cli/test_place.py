"""The store is where the command line says, else the environment, else the user's own data folder."""

from pathlib import Path

import platformdirs
import pytest

from fieldlog.cli.place import store_at
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
