"""Whole screens as pictures, colours and all: what a technician sees must not change by accident.

`pytest tests/tui/test_snapshots.py --snapshot-update` takes them anew; look at each one before it is kept.
"""

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from textual.pilot import Pilot

from fieldlog.store.preferences import Preferences
from fieldlog.tui.app import FieldlogApp
from tests.tui.builder import ADA, NARROW, WIDE, Clock
from tests.tui.hands import Hands
from tests.tui.journeys import shop_with_work

READINGS = "<enter>i<enter>gm"
SCREENS: dict[str, tuple[str, tuple[int, int], str]] = {
    "due-list": ("", NARROW, "dark"),
    "due-list-wide-light": ("", (119, 30), "light"),
    "due-list-contrast": ("", NARROW, "contrast"),
    "checklist": ("<enter>i<enter>", NARROW, "dark"),
    "readings": (READINGS, NARROW, "dark"),
    "readings-discard-light": (f"{READINGS}<ctrl+u>168", WIDE, "light"),
    "readings-discard-contrast": (f"{READINGS}<ctrl+u>168", NARROW, "contrast"),
    "registration": ("nFenwright<enter>", NARROW, "dark"),
    "calendar": ("c", NARROW, "dark"),
    "commands": ("<f9>in", NARROW, "dark"),
}


@pytest.mark.parametrize("name", SCREENS)
def test_the_screen_looks_as_it_was_last_seen(
    name: str, tmp_path: Path, snap_compare: Callable[..., bool], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("LC_ALL", "C.UTF-8")
    monkeypatch.setenv("TERM", "xterm-256color")
    monkeypatch.delenv("NO_COLOR", raising=False)
    keys, size, theme = SCREENS[name]
    shop, tag = shop_with_work(tmp_path)
    app = FieldlogApp(shop, login="", clock=Clock(), by=ADA, preferences=Preferences(theme=theme))

    async def there(pilot: Pilot[Any]) -> None:
        hands = Hands(app, pilot)
        await hands.settle()
        hands.table().move_to(tag)
        await hands.type(keys)

    assert snap_compare(app, terminal_size=size, run_before=there)
