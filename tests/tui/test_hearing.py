"""On every working page it is heard who sealed into the same hoist; cursor and typing stay as they are."""

from pathlib import Path

import pytest

from fieldlog.domain.records import AnswerKind, Inspection, InspectionKind
from fieldlog.operations.drafting import kept_drafts, read_inspection
from fieldlog.operations.servicing import withdraw
from fieldlog.operations.shop import Shop, new_uid, open_shop
from tests.tui.builder import (
    BERT,
    MORNING,
    TODAY,
    at_the_keys,
    begun_work,
    finished_work,
    in_terminal,
    inspected,
    ready_shop,
    records,
    with_hoist,
)
from tests.tui.hands import Hands

TAG = "SW-0001-0"
HEARD = f"Sealed meanwhile by {BERT}: withdrawal, line 3."
KEPT = f"{HEARD} Your draft is kept; look before you seal."


@pytest.fixture
def shop(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Shop:
    monkeypatch.setattr("fieldlog.tui.hearing.HEAR_EVERY_S", 0.05)
    shop = ready_shop(tmp_path)
    assert inspected(shop, with_hoist(shop)).number == 2
    return shop


def _others_withdraw(shop: Shop) -> None:
    """From another session, which has its own eyes on the store."""
    texts = {"reason": "hook bent", "lock": "", "done_on": TODAY.isoformat()}
    withdraw(open_shop(shop.logbooks.root), TAG, texts, by=BERT, now=MORNING, today=TODAY, uid=new_uid())


async def _hears(hands: Hands, shop: Shop, words: str = KEPT) -> None:
    before = (hands.page, hands.app.focused, hands.heading())
    _others_withdraw(shop)
    await hands.until(lambda: hands.message() == words)
    assert (hands.page, hands.app.focused, hands.heading()) == before


@in_terminal
async def test_on_the_checklist(shop: Shop) -> None:
    work = begun_work(shop, TAG)
    async with at_the_keys(shop) as hands:
        hands.app.open_inspection(work)
        await hands.settle()
        row = hands.table().cursor
        await _hears(hands, shop)
        assert hands.table().cursor == row
        await hands.type("o")
    (draft,) = kept_drafts(shop)
    assert [held.answer for held in read_inspection(draft).answers.values()] == [AnswerKind.OK]


@in_terminal
async def test_at_the_chain_readings_in_the_middle_of_a_figure(shop: Shop) -> None:
    work = begun_work(shop, TAG)
    async with at_the_keys(shop) as hands:
        hands.app.open_inspection(work)
        await hands.settle()
        await hands.type("m165")
        await _hears(hands, shop)
        await hands.type(".4")
    assert read_inspection(kept_drafts(shop)[0]).readings[0].text == "165.4"


@in_terminal
async def test_before_sealing_it_stands_in_the_list_and_is_sealed_after_by_a_second_f10(shop: Shop) -> None:
    work = finished_work(shop, TAG)
    async with at_the_keys(shop) as hands:
        hands.app.open_inspection(work)
        await hands.settle()
        await hands.type("<f10>j")
        row = hands.table().cursor
        await _hears(hands, shop)
        assert f"{BERT} sealed: withdrawn: hook bent" in hands.flat()
        assert "Afterwards X OUT OF SERVICE" in hands.flat(), "as it will be after both"
        assert hands.table().cursor == row == 1
        await hands.press("f10")
        assert "F10 seals after it" in hands.message()
        _others_withdraw(shop)
        await hands.until(lambda: "withdrawal, line 4" in hands.message())
        await hands.press("f10")
        assert "F10 seals after it" in hands.message(), "asked once more after what was heard"
        await hands.press("f10")
        assert hands.page == "HoistPage"
    assert isinstance(records(shop, TAG)[-1], Inspection)


@in_terminal
async def test_before_sealing_a_logbook_that_is_gone_leaves_no_state_on_the_page(shop: Shop) -> None:
    work = finished_work(shop, TAG)
    async with at_the_keys(shop) as hands:
        hands.app.open_inspection(work)
        await hands.settle()
        await hands.press("f10")
        assert "+ in service" in hands.text()
        (shop.root / "logbooks" / f"{TAG}.jsonl").unlink()
        await hands.until(lambda: hands.message().startswith("The logbook of this hoist is gone"))
        assert "in service" not in hands.text()
        assert f"to settle {TAG}: logbooks/{TAG}.jsonl: it no longer holds the line" in hands.flat()
    assert len(kept_drafts(shop)) == 1


@in_terminal
async def test_before_sealing_a_cut_logbook_shows_the_stop_and_one_that_is_back_shows_none(
    shop: Shop,
) -> None:
    work = finished_work(shop, TAG)
    path = shop.root / "logbooks" / f"{TAG}.jsonl"
    whole = path.read_bytes()
    async with at_the_keys(shop) as hands:
        hands.app.open_inspection(work)
        await hands.settle()
        await hands.press("f10")
        path.write_bytes(b"".join(whole.splitlines(keepends=True)[:-1]))
        await hands.until(lambda: "can not be trusted" in hands.message())
        assert "+ in service" not in hands.text()
        path.write_bytes(whole)
        await hands.until(lambda: hands.message().startswith("The logbook of this hoist reads again"))
        assert "Afterwards + in service" in hands.flat()


@in_terminal
async def test_before_sealing_a_tool_register_that_does_not_read_is_told_and_ends_nothing(shop: Shop) -> None:
    work = finished_work(shop, TAG)
    async with at_the_keys(shop) as hands:
        hands.app.open_inspection(work)
        await hands.settle()
        await hands.press("f10")
        _others_withdraw(shop)
        (shop.root / "shop" / "instruments.jsonl").write_bytes(b"spoilt\n")
        await hands.until(lambda: "does not read as a record" in hands.flat())
        assert hands.page == "SealPage"


@pytest.mark.parametrize("page", ["DiameterPage", "HookPage"])
@in_terminal
async def test_at_other_figures(shop: Shop, page: str) -> None:
    work = begun_work(shop, TAG, InspectionKind.PERIODIC)
    async with at_the_keys(shop) as hands:
        hands.app.open_inspection(work)
        await hands.settle()
        measure = page.removesuffix("Page").lower()
        item = next(item for item in work.assessment().items if item.measure == measure)
        hands.app.measure(work, item)
        await hands.settle()
        assert hands.page == page
        await _hears(hands, shop)


@in_terminal
async def test_while_a_defect_is_described(shop: Shop) -> None:
    async with at_the_keys(shop) as hands:
        hands.app.open_inspection(begun_work(shop, TAG))
        await hands.settle()
        await hands.type("dworn")
        await _hears(hands, shop)
        await hands.type(" out")
        assert hands.field("what").value == "worn out"


@in_terminal
async def test_in_a_form_that_is_half_typed_and_in_one_that_is_untouched(shop: Shop) -> None:
    async with at_the_keys(shop) as hands:
        await hands.type("<enter>t")
        await _hears(hands, shop, f"{HEARD} Look before you seal.")
    async with at_the_keys(shop) as hands:
        await hands.type("<enter>ccert")
        _others_withdraw(shop)
        words = f"Sealed meanwhile by {BERT}: withdrawal, line 4. Your draft is kept; look before you seal."
        await hands.until(lambda: hands.message() == words)
        assert hands.field("certificate").value.endswith("cert")


@in_terminal
async def test_it_is_said_again_after_a_key_until_it_could_be_read_and_then_no_more(shop: Shop) -> None:
    """A message that the next key wipes away was not heard by anybody."""
    work = begun_work(shop, TAG)
    async with at_the_keys(shop) as hands:
        hands.app.open_inspection(work)
        await hands.settle()
        work.meanwhile.unheard = KEPT
        await hands.until(lambda: hands.message() == KEPT)
        hands.screen.say("something else")
        work.meanwhile.unheard = KEPT
        await hands.until(lambda: hands.message() == KEPT)
        await hands.until(lambda: work.meanwhile.unheard == "")
        hands.screen.say("something else")
        await hands.screen._hear()
        assert hands.message() == "something else"


@in_terminal
async def test_a_page_below_another_one_stays_silent(shop: Shop) -> None:
    async with at_the_keys(shop) as hands:
        hands.app.open_inspection(begun_work(shop, TAG))
        await hands.settle()
        below = hands.screen
        await hands.type("<f1>")
        _others_withdraw(shop)
        await below._hear()
        assert "meanwhile" not in str(below.query_one("#message").content)
        await hands.press("escape")
        await hands.until(lambda: hands.message() == KEPT)
