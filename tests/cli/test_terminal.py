"""The application is opened with what its user chose, on a register that knows every logbook."""

import shutil
from pathlib import Path
from typing import Any

import pytest

from fieldlog.cli.terminal import open_terminal
from fieldlog.errors import DamagedError
from fieldlog.operations.shop import Shop, open_shop
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


@pytest.mark.parametrize("name", ["settings", "people"])
def test_over_damaged_records_of_the_shop_no_first_start_is_offered(
    shop: Shop, opened: list[dict[str, Any]], tmp_path: Path, name: str
) -> None:
    shutil.copytree(shop.root, tmp_path / "store")
    (tmp_path / "store" / "shop" / f"{name}.jsonl").write_bytes(b"")
    with pytest.raises(DamagedError, match=f"shop/{name}.jsonl is gone or empty"):
        open_terminal(open_shop(tmp_path / "store"), login="ada", clock=lambda: MOMENT, by="")
    assert opened == []
