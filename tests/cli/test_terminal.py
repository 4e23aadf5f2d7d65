"""The application is opened with what its user chose, on a register that knows every logbook."""

from pathlib import Path
from typing import Any

import pytest

from fieldlog.cli.terminal import open_terminal
from fieldlog.operations.shop import Shop
from fieldlog.tui import app
from tests.demo.written import MOMENT


@pytest.fixture
def opened(monkeypatch: pytest.MonkeyPatch) -> list[dict[str, Any]]:
    """Instead of a terminal: what the application was opened with."""
    found: list[dict[str, Any]] = []

    def run(shop: Shop, **told: Any) -> int:
        found.append({"rows": len(shop.register.rows()), **told})
        return 7

    monkeypatch.setattr(app, "run", run)
    return found


def test_theme_and_keys_come_from_the_settings_file_and_the_code_from_the_application(
    shop: Shop, opened: list[dict[str, Any]], monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    file = tmp_path / "settings.toml"
    file.write_text('theme = "light"\n[keys]\nhoist.inspect = "f6"\n', encoding="utf-8")
    monkeypatch.setenv("FIELDLOG_SETTINGS", str(file))
    assert open_terminal(shop, login="ada", clock=lambda: MOMENT, by="Ada Fenn") == 7
    (told,) = opened
    assert (told["login"], told["by"], told["preferences"].theme) == ("ada", "Ada Fenn", "light")
    assert told["preferences"].keys == {"hoist.inspect": "f6"}
    assert told["rows"] == len(shop.logbooks.hoist_names()), "the first screen has to read none"
