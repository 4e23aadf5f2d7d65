"""A fault of fieldlog itself ends it with words that say what is kept, where, and how to go on."""

import asyncio
import sys
import tempfile
from pathlib import Path

import pytest

from fieldlog.cli import FAULT_OF_OURS, crash_words
from fieldlog.operations.drafting import kept_drafts
from fieldlog.operations.shop import Shop
from fieldlog.tui.app import FieldlogApp
from tests.tui.builder import ADA, Clock, begun_work, inspected, ready_shop, shop_as, with_hoist
from tests.tui.hands import Hands
from tests.tui.terminal import F10, Terminal

TAG = "SW-0001-0"
PLANTED = """
import sys
from fieldlog.tui.screens.service import ServicePage

def fall(self, texts):
    raise ZeroDivisionError("planted")

ServicePage.seal = fall
from fieldlog.cli import main
sys.argv = ["fieldlog", "--store", {store!r}]
raise SystemExit(main())
"""


def _inspected(shop: Shop) -> None:
    inspected(shop, with_hoist(shop))


def test_the_draft_in_hand_the_file_with_details_and_the_command_to_go_on_are_named(tmp_path: Path) -> None:
    store = tmp_path / "store"
    shop = shop_as(store, _inspected)
    window = Terminal(
        [sys.executable, "-c", PLANTED.format(store=str(store))], cwd=tmp_path, TMPDIR=str(tmp_path)
    )
    window.until("due list", TAG)
    window.type("\rwhook bent")
    window.until("hook bent", "take out of service")
    window.type(F10)
    code = window.ended()
    said = " ".join(window.text().split())
    assert code == FAULT_OF_OURS
    (draft,) = kept_drafts(shop)
    assert draft.fields["reason"] == "hook bent"
    # A window of 80 columns breaks paths anywhere.
    joined = said.replace(" ", "")
    assert "nothingsealedislost,draftsarekept" in joined
    assert f"{draft.uid}.json" in joined
    (details,) = tmp_path.glob("fieldlog-crash-*.txt")
    assert details.name in joined
    assert f"fieldlog--store{store}" in joined
    assert "Traceback" not in said
    assert "planted" in details.read_text(encoding="utf-8")


def test_the_words_name_draft_details_and_command(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(tempfile, "tempdir", str(tmp_path))
    monkeypatch.setattr("sys.argv", ["fieldlog", "--store", "/srv/shop's own"])
    error = ZeroDivisionError("oil can")
    error.add_note("The draft in hand, fit a chain set of SW-0001-0, is in /srv/drafts/0.json.")
    first, draft, onward = crash_words(error).splitlines()
    assert first.startswith(
        "fieldlog: a fault in fieldlog itself (ZeroDivisionError); nothing sealed is lost"
    )
    assert str(next(tmp_path.iterdir())) in first
    assert draft == "The draft in hand, fit a chain set of SW-0001-0, is in /srv/drafts/0.json."
    assert onward.startswith("To go on: fieldlog --store '/srv/shop'")


def test_an_inspection_in_hand_is_found_below_the_page_of_its_figures(tmp_path: Path) -> None:
    shop = ready_shop(tmp_path)
    work = begun_work(shop, with_hoist(shop))

    async def run() -> None:
        app = FieldlogApp(shop, login="", clock=Clock(), by=ADA)
        async with app.run_test(size=(80, 24)) as pilot:
            hands = Hands(app, pilot)
            await hands.settle()
            assert app.draft_in_hand() is None
            app.open_inspection(work)
            await hands.settle()
            await hands.type("<f1>")
            assert app.draft_in_hand() == work.draft

    asyncio.run(run())
