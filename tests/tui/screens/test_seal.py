"""Before sealing: what is to settle, what follows; then one line, never over somebody else's."""

from pathlib import Path

import pytest

from fieldlog.domain.records import AnswerKind, DefectGrade, InspectionKind
from fieldlog.domain.rules import ChecklistItem
from fieldlog.operations.drafting import DefectDraft, kept_drafts
from fieldlog.operations.servicing import withdraw
from fieldlog.operations.shop import Shop, open_shop
from fieldlog.tui.marks import A_PERSON_DECIDES
from fieldlog.tui.work import InspectionWork
from tests.tui.builder import (
    ADA,
    BERT,
    MORNING,
    TODAY,
    at_the_keys,
    begun_work,
    finished_work,
    in_terminal,
    last_inspection,
    ready_shop,
    records,
    with_hoist,
)
from tests.tui.hands import Hands

FIRST_USE = InspectionKind.FIRST_USE


@pytest.fixture
def shop(tmp_path: Path) -> Shop:
    return ready_shop(tmp_path)


@pytest.fixture
def tag(shop: Shop) -> str:
    return with_hoist(shop)


async def _open(hands: Hands, work: InspectionWork) -> None:
    hands.app.open_inspection(work)
    await hands.settle()
    await hands.press("f10")
    assert hands.page == "SealPage"


def _rows(hands: Hands) -> list[str]:
    return [" ".join(cell for cell in row.cells if cell) for row in hands.table().rows]


def _item(work: InspectionWork, name: str) -> ChecklistItem:
    return next(item for item in work.assessment().items if item.id == name)


@in_terminal
async def test_what_is_open_is_listed_with_its_place_and_enter_leads_there(shop: Shop, tag: str) -> None:
    work = finished_work(shop, tag, FIRST_USE)
    del work.content.answers["brake"]
    work.content.readings[1].text = "180"
    work.keep()
    async with at_the_keys(shop) as hands:
        await _open(hands, work)
        assert hands.message() == "2 to settle first. Enter goes there, Escape to the items."
        assert "Brake holds, no drift: has no answer yet" in hands.text()
        assert "looks like 12 links, not 11: count again Confirm it or correct it." in hands.flat()
        await hands.press("f10")
        assert hands.page == "SealPage"
        place = next(row.key for row in hands.table().rows if "Brake" in row.cells[-1])
        hands.table().move_to(place)
        await hands.press("enter")
        assert (hands.page, hands.table().current_key) == ("InspectionPage", "brake")
    assert len(records(shop, tag)) == 1


@in_terminal
async def test_what_follows_is_shown_then_sealed_as_one_line_and_the_page_shows_it(
    shop: Shop, tag: str
) -> None:
    work = finished_work(shop, tag, FIRST_USE)
    async with at_the_keys(shop) as hands:
        await hands.press("enter")
        await _open(hands, work)
        rows = _rows(hands)
        assert rows[0] == "Afterwards + in service"
        assert any(row.startswith("Next due 2026-12-25 frequent") for row in rows)
        assert any(row.startswith("Next due 2027-11-25 periodic") for row in rows)
        assert "Record before first use: 67 items, 3 readings" in rows
        assert f"F10 seals it under the name of {ADA}." in hands.message()
        assert A_PERSON_DECIDES in hands.flat()
        assert len(records(shop, tag)) == 1
        await hands.press("f10")
        assert hands.page == "HoistPage"
        await hands.until(lambda: "nsigned" in hands.message())
        assert hands.message() == (
            "Sealed. p prints the due sticker."
            " Unsigned: no key of Ada Fenn is trusted here (fieldlog people trust)"
        )
        assert hands.row("fitness") == "State + in service"
    entry = shop.logbooks.read(tag).entries[-1]
    assert (entry.number, entry.by, entry.at) == (2, ADA, MORNING)
    sealed = last_inspection(shop, tag)
    assert entry.body == sealed
    assert [str(reading.value_mm) for reading in sealed.readings] == ["165.4", "165.5", "165.6"]
    assert [reading.typed for reading in sealed.readings] == ["165.4", "165.5", "165.6"]
    assert {answer.answer for answer in sealed.answers} == {AnswerKind.OK}
    assert kept_drafts(shop) == []


@in_terminal
async def test_a_stopping_defect_takes_the_hoist_out_of_service(shop: Shop, tag: str) -> None:
    work = finished_work(shop, tag, FIRST_USE)
    work.defect(_item(work, "lower-guide"), DefectDraft(what="cracked", grade=DefectGrade.STOPS_NOW))
    async with at_the_keys(shop) as hands:
        await hands.press("enter")
        await _open(hands, work)
        assert _rows(hands)[0] == "Afterwards X OUT OF SERVICE"
        assert "Defect D1 stops use now: cracked" in _rows(hands)
        assert any(row.startswith("Sticker refused: ") for row in _rows(hands))
        await hands.press("f10")
        assert hands.row("fitness") == "State X OUT OF SERVICE"
        assert hands.message().startswith("Sealed. No due sticker: ")
    (defect,) = last_inspection(shop, tag).defects
    assert (defect.id, defect.item, defect.what, defect.grade) == (
        "D1",
        "lower-guide",
        "cracked",
        DefectGrade.STOPS_NOW,
    )


@in_terminal
async def test_a_discard_verdict_takes_the_hoist_out_of_service_without_a_typed_defect(
    shop: Shop, tag: str
) -> None:
    work = finished_work(shop, tag, FIRST_USE, readings=("165.4", "167.475", "165.6"))
    async with at_the_keys(shop) as hands:
        await _open(hands, work)
        assert _rows(hands)[0] == "Afterwards X OUT OF SERVICE"
        await hands.press("f10")
    sealed = last_inspection(shop, tag)
    assert [(defect.item, defect.grade) for defect in sealed.defects] == [
        ("chain-elongation", DefectGrade.STOPS_NOW)
    ]


@in_terminal
async def test_not_seen_and_undecided_are_listed_and_limit_the_hoist(shop: Shop, tag: str) -> None:
    work = finished_work(shop, tag, FIRST_USE, readings=("165.4", "167.42", "165.6"))
    work.answer(_item(work, "brake"), AnswerKind.NOT_SEEN)
    async with at_the_keys(shop) as hands:
        await _open(hands, work)
        rows = _rows(hands)
        assert rows[0] == "Afterwards ! limited"
        assert {"Not seen Brake holds, no drift", "Not seen Elongation over n links"} <= set(rows)
        assert any(row.startswith("Sticker refused: not seen: Brake holds") for row in rows)


@in_terminal
async def test_what_somebody_else_sealed_meanwhile_is_shown_and_only_a_second_f10_seals_after_it(
    shop: Shop, tag: str
) -> None:
    work = finished_work(shop, tag, FIRST_USE)
    async with at_the_keys(shop) as hands:
        await _open(hands, work)
        withdraw(open_shop(shop.root), tag, {"reason": "hook bent"}, by=BERT, now=MORNING, today=TODAY)
        await hands.press("f10")
        assert hands.page == "SealPage"
        assert "See 'Meanwhile' above; F10 seals after it." in hands.message()
        meanwhile = f"Meanwhile {BERT} sealed: withdrawn: hook bent (2026-11-25 08:00)"
        assert meanwhile in _rows(hands)
        assert "hook bent" in hands.text()
        assert [body.kind for body in records(shop, tag)] == ["registration", "withdrawal"]
        assert len(kept_drafts(shop)) == 1
        await hands.press("f10")
        assert hands.row("fitness") == "State X OUT OF SERVICE", "the withdrawal still holds"
    assert [body.kind for body in records(shop, tag)] == ["registration", "withdrawal", "inspection"]
    assert kept_drafts(shop) == []


@in_terminal
async def test_two_f10_in_one_packet_do_not_seal_over_what_nobody_saw(shop: Shop, tag: str) -> None:
    work = finished_work(shop, tag, FIRST_USE)
    async with at_the_keys(shop) as hands:
        await _open(hands, work)
        withdraw(open_shop(shop.root), tag, {"reason": "hook bent"}, by=BERT, now=MORNING, today=TODAY)
        await hands.press("f10", "f10")
        assert hands.page == "SealPage"
        assert [body.kind for body in records(shop, tag)] == ["registration", "withdrawal"]


@in_terminal
async def test_after_one_conflict_what_a_third_one_seals_is_asked_about_as_well(
    shop: Shop, tag: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("fieldlog.tui.hearing.HEAR_EVERY_S", 60)  # nobody hears of it before F10
    work = finished_work(shop, tag, FIRST_USE)
    async with at_the_keys(shop) as hands:
        await _open(hands, work)
        for reason in ("hook bent", "chain kinked"):
            withdraw(open_shop(shop.root), tag, {"reason": reason}, by=BERT, now=MORNING, today=TODAY)
            await hands.press("f10")
            assert hands.page == "SealPage"
            assert f"withdrawn: {reason}" in hands.flat()
        await hands.press("f10")
        assert hands.page == "HoistPage"
    assert [body.kind for body in records(shop, tag)[1:]] == ["withdrawal", "withdrawal", "inspection"]


@in_terminal
async def test_two_technicians_seal_their_own_drafts_one_after_the_other(shop: Shop, tag: str) -> None:
    mine, theirs = finished_work(shop, tag, FIRST_USE), finished_work(shop, tag, by=BERT)
    async with at_the_keys(shop) as hands:
        await _open(hands, mine)
        await hands.press("f10")
    async with at_the_keys(shop, by=BERT) as hands:
        await _open(hands, theirs)
        assert any(row.startswith(f"Meanwhile {ADA} sealed: before first use") for row in _rows(hands))
        await hands.press("f10")
        await hands.press("f10")
    assert [entry.by for entry in shop.logbooks.read(tag).entries[1:]] == [ADA, BERT]
    occasions = [body.occasion.value for body in records(shop, tag)[1:]]
    assert occasions == ["before first use", "frequent"]


@in_terminal
async def test_an_empty_inspection_can_not_be_sealed(shop: Shop, tag: str) -> None:
    work = begun_work(shop, tag)
    async with at_the_keys(shop) as hands:
        await _open(hands, work)
        await hands.press("f10", "f10")
        assert hands.page == "SealPage"
        assert hands.message().startswith("23 to settle first.")
    assert len(records(shop, tag)) == 1


@in_terminal
async def test_a_key_that_came_before_the_page_stood_there_does_not_seal(shop: Shop, tag: str) -> None:
    work = finished_work(shop, tag, FIRST_USE)
    async with at_the_keys(shop) as hands:
        hands.app.open_inspection(work)
        await hands.settle()
        await hands.press("f10", "f10", "f10")
        assert hands.page == "SealPage"
        assert hands.message() == "That F10 came before this page could be read: F10 seals it now."
        assert len(records(shop, tag)) == 1
        await hands.press("f10")
        assert hands.message().startswith("Sealed.")
    assert len(records(shop, tag)) == 2


@in_terminal
async def test_what_another_session_sealed_from_the_same_draft_is_shown_before_it_is_sealed_again(
    shop: Shop, tag: str
) -> None:
    work = finished_work(shop, tag, FIRST_USE)
    async with at_the_keys(shop) as hands:
        await _open(hands, work)
        other = open_shop(shop.root)
        InspectionWork.taken_up(other, other.drafts.load(work.draft.uid), by=BERT, clock=work.clock).seal()
        await hands.press("f10")
        assert hands.page == "SealPage"
        assert "Another session sealed this draft or threw it away." in hands.message()
        assert any(row.startswith(f"Meanwhile {BERT} sealed") for row in _rows(hands))
        await hands.press("f10")
    assert [entry.by for entry in shop.logbooks.read(tag).entries[1:]] == [BERT, ADA]
