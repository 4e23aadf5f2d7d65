"""A store that takes nothing: what begins, keeps or drops work says so in a sentence, and the app goes on."""

import errno
import os
from pathlib import Path

import pytest

from fieldlog.errors import NotSavedError
from fieldlog.operations.drafting import begin_form, kept_drafts, save_fields
from fieldlog.operations.shop import Shop
from fieldlog.store.files import FileCalls
from tests.tui.builder import (
    ADA,
    MORNING,
    at_the_keys,
    begun_work,
    in_terminal,
    inspected,
    ready_shop,
    with_hoist,
)

TAG = "SW-0001-0"
SENTENCES = {
    errno.EROFS: "was not saved: the store can only be read from here (Read-only file system); "
    "ask whoever looks after it for the right to write",
    errno.ENOSPC: "was not saved: the disk is full (No space left on device); make room and save again",
}
DEEDS = "wctuhlxvz"  # the keys of the hoist's page


@pytest.fixture
def shop(tmp_path: Path) -> Shop:
    shop = ready_shop(tmp_path)
    inspected(shop, with_hoist(shop))
    return shop


def _refuse(refusing: pytest.MonkeyPatch, number: int) -> None:
    """From here on no file is made, written or put in the place of another."""

    def refuse(*_: object, **__: object) -> None:
        raise OSError(number, os.strerror(number))

    for call in ("write", "replace"):
        refusing.setattr(FileCalls, call, refuse)


@pytest.mark.parametrize("number", SENTENCES)
@in_terminal
async def test_an_inspection_is_not_begun(shop: Shop, number: int, monkeypatch: pytest.MonkeyPatch) -> None:
    async with at_the_keys(shop) as hands:
        await hands.type("<enter>i")
        with monkeypatch.context() as refusing:
            _refuse(refusing, number)
            await hands.press("enter")
            assert hands.page == "KindsPage"
            assert hands.message() == f"Not begun: the draft {SENTENCES[number]}"
        await hands.press("enter")
        assert hands.page == "InspectionPage"


@pytest.mark.parametrize("number", SENTENCES)
@in_terminal
async def test_an_inspection_in_hand_goes_on(
    shop: Shop, number: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    work = begun_work(shop, TAG)
    _refuse(monkeypatch, number)
    async with at_the_keys(shop) as hands:
        hands.app.open_inspection(work)
        await hands.settle()
        await hands.type("o")
        await hands.until(lambda: hands.message() == f"The draft {SENTENCES[number]}")
        assert " 1 of " in hands.heading()
        await hands.type("m1")
        await hands.until(lambda: hands.message() == f"The draft {SENTENCES[number]}")
        await hands.type("<f10><f8><f8>")
        assert hands.page in ("InspectionPage", "HoistPage", "DueListPage")


@pytest.mark.parametrize("number", SENTENCES)
@pytest.mark.parametrize("key", DEEDS)
@in_terminal
async def test_a_form_goes_on(shop: Shop, key: str, number: int, monkeypatch: pytest.MonkeyPatch) -> None:
    _refuse(monkeypatch, number)
    async with at_the_keys(shop) as hands:
        await hands.type(f"<enter>{key}")
        assert hands.page == "ServicePage"
        await hands.type("7")
        assert hands.message() == f"The draft {SENTENCES[number]}"
        await hands.type("<f10><escape>")
        assert hands.page == "HoistPage"
    assert kept_drafts(shop) == []


@pytest.mark.parametrize("number", SENTENCES)
@in_terminal
async def test_what_can_not_be_sealed_is_said(
    shop: Shop, number: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    _refuse(monkeypatch, number)
    async with at_the_keys(shop) as hands:
        await hands.type("<enter>wrust<f10>")
        assert hands.page == "ServicePage"
        assert hands.message() == f"{TAG} {SENTENCES[number]}"


@pytest.mark.parametrize("keys", ["d<f8><f8>", "<enter>w<f8><f8>"])
@in_terminal
async def test_a_draft_that_can_not_be_removed_stays_and_that_is_said(
    shop: Shop, keys: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    draft = begin_form("withdraw", TAG, by=ADA, now=MORNING)
    save_fields(shop, draft, {"reason": "rust"}, now=MORNING)
    refused = NotSavedError("this draft was not saved: the disk refused it")

    def refuse(*_: object) -> None:
        raise refused

    monkeypatch.setattr("fieldlog.store.drafts.Drafts.remove", refuse)
    async with at_the_keys(shop) as hands:
        await hands.type(keys)
        assert hands.message() == f"Not thrown away: {refused}"
    assert kept_drafts(shop)[0].fields["reason"] == "rust"


@in_terminal
async def test_an_inspection_that_can_not_be_thrown_away_stays_open(
    shop: Shop, monkeypatch: pytest.MonkeyPatch
) -> None:
    work = begun_work(shop, TAG)
    refused = NotSavedError("this draft was not saved: the disk refused it")

    def refuse(*_: object) -> None:
        raise refused

    monkeypatch.setattr("fieldlog.store.drafts.Drafts.remove", refuse)
    async with at_the_keys(shop) as hands:
        hands.app.open_inspection(work)
        await hands.settle()
        await hands.type("<f8><f8>")
        assert (hands.page, hands.message()) == ("InspectionPage", f"Not thrown away: {refused}")


@in_terminal
async def test_a_key_that_the_store_refuses_in_a_way_nobody_thought_of_is_said_too(
    shop: Shop, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(*_: object) -> None:
        raise NotSavedError("the oil can was not saved")

    monkeypatch.setattr("fieldlog.tui.screens.hoist.HoistPage.action_print", refuse)
    async with at_the_keys(shop) as hands:
        await hands.type("<enter>p")
        assert (hands.page, hands.message()) == ("HoistPage", "the oil can was not saved")
