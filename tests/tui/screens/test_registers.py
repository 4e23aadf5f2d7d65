"""Instruments, people and sites: each a list with a form, sealed as records of the shop."""

from datetime import date
from threading import Event

from fieldlog.domain.records import InspectionKind, Instrument
from fieldlog.operations.drafting import kept_drafts
from fieldlog.operations.inspecting import seal_inspection
from fieldlog.operations.instruments import instruments
from fieldlog.operations.setting_up import add_instrument, sites
from fieldlog.operations.shop import Shop, people
from tests.tui.builder import (
    ADA,
    BERT,
    MORNING,
    TODAY,
    answer_all,
    at_the_keys,
    draft_inspection,
    in_terminal,
    ready_shop,
    with_hoist,
)


@in_terminal
async def test_a_new_instrument_is_sealed_and_listed_with_its_state(tmp_path):
    shop = ready_shop(tmp_path)
    async with at_the_keys(shop) as hands:
        await hands.press("t")
        assert hands.message() == "Nothing here yet: n adds one."
        await hands.press("n")
        await hands.fill(name="caliper 7", type="caliper-0.05", calibrated_on="2026-03-01", interval="12")
        await hands.press("f10")
        assert hands.page == "RegisterListPage"
        assert hands.row("caliper 7") == "caliper 7 caliper-0.05 in calibration until 2027-03-01"
    held = instruments(shop)["caliper 7"]
    assert (held.type, held.interval_months, held.passed) == ("caliper-0.05", 12, True)


@in_terminal
async def test_an_instrument_out_of_calibration_says_so(tmp_path):
    shop = ready_shop(tmp_path)
    async with at_the_keys(shop) as hands:
        await hands.type("tn")
        await hands.fill(name="rule 1", type="rule-ii", calibrated_on="2025-11-24", interval="12")
        await hands.press("f10")
        assert hands.row("rule 1") == "rule 1 rule-ii out of calibration since 2026-11-24"


@in_terminal
async def test_readings_in_doubt_are_asked_of_instruments_only(tmp_path):
    shop = ready_shop(tmp_path)
    async with at_the_keys(shop) as hands:
        await hands.press("t", "v")
        assert hands.message() == "No instrument is here yet."
        await hands.press("escape", "p")
        assert not any(binding.id == "register.trace" for binding in hands.bindings())


def _calibrated(shop: Shop, day: str, *, passed: bool) -> None:
    on = date.fromisoformat(day)
    body = Instrument(name="caliper 7", type="caliper-0.05", calibrated_on=on, passed=passed)
    add_instrument(shop, body, by=ADA, now=MORNING)


@in_terminal
async def test_readings_in_doubt_are_looked_for_aside_and_told_on_a_page_of_their_own(tmp_path):
    shop = ready_shop(tmp_path)
    tag = with_hoist(shop)
    _calibrated(shop, "2026-11-01", passed=True)
    draft, content = draft_inspection(shop, tag, InspectionKind.FIRST_USE)
    content.instrument = "caliper 7"
    answer_all(shop, tag, content)
    seal_inspection(shop, draft, content, by=ADA, now=MORNING, today=TODAY)
    _calibrated(shop, TODAY.isoformat(), passed=False)
    async with at_the_keys(shop) as hands:
        await hands.press("t", "v")
        await hands.until(lambda: hands.page == "TextPage")
        assert f"caliper 7 failed its calibration on {TODAY}; good on 2026-11-01." in hands.flat()
        assert "3 readings are in doubt" in hands.flat()


@in_terminal
async def test_whoever_goes_on_to_a_form_is_not_interrupted_by_what_was_looked_for(tmp_path, monkeypatch):
    shop = ready_shop(tmp_path)
    with_hoist(shop)
    _calibrated(shop, "2026-11-01", passed=True)
    reached, go_on = Event(), Event()

    def slowly(*_given):
        reached.set()
        go_on.wait(10)
        return ["what was found"]

    monkeypatch.setattr("fieldlog.tui.screens.registers.doubt_lines", slowly)
    async with at_the_keys(shop) as hands:
        await hands.press("t", "v")
        await hands.until(reached.is_set)
        await hands.type("nnew one")
        go_on.set()
        await hands.until(lambda: hands.app.screen_stack[-2].job is None)
        assert hands.page == "RegisterEntryPage"
        assert hands.field("name").value == "new one"


@in_terminal
async def test_a_person_who_may_no_longer_seal_is_listed_so(tmp_path):
    shop = ready_shop(tmp_path)
    async with at_the_keys(shop) as hands:
        await hands.press("p")
        assert hands.row(BERT).endswith("may seal")
        hands.table().move_to(BERT)
        await hands.press("enter")
        await hands.fill(until="2026-11-24")
        await hands.press("f10")
        assert hands.row(BERT).endswith("may not seal until 2026-11-24")
    assert str(people(shop)[BERT].until) == "2026-11-24"
    assert people(shop)[ADA].until is None


@in_terminal
async def test_a_site_keeps_its_address(tmp_path):
    shop = ready_shop(tmp_path)
    async with at_the_keys(shop) as hands:
        await hands.type("sn")
        await hands.fill(name="intake hall", address="1 Marsh Lane")
        await hands.press("f10")
        assert "1 Marsh Lane" in hands.row("intake hall")
    assert sites(shop)["intake hall"].address == "1 Marsh Lane"


@in_terminal
async def test_an_entry_half_typed_is_kept_listed_and_taken_up_where_it_was(tmp_path):
    shop = ready_shop(tmp_path)
    async with at_the_keys(shop) as hands:
        await hands.type("tncaliper 7<down>cal<escape>")
        assert (
            hands.message() == "Instrument caliper 7 is kept as a draft: d on the due list takes it up again."
        )
        await hands.press("n")
        assert hands.field("type").value == "cal"
        await hands.press("escape", "escape", "d")
        assert "instrument caliper 7" in hands.text()
        await hands.press("enter")
        assert hands.field("name").value == "caliper 7"
        await hands.fill(type="caliper-0.05")
        await hands.press("f10")
        assert hands.message() == "Sealed as a record of the shop."
    assert (list(instruments(shop)), kept_drafts(shop)) == (["caliper 7"], [])


@in_terminal
async def test_an_entry_that_is_only_looked_at_leaves_no_draft(tmp_path):
    shop = ready_shop(tmp_path)
    async with at_the_keys(shop) as hands:
        await hands.type("p<enter><down><escape>n<escape>")
        assert hands.page == "RegisterListPage"
    assert kept_drafts(shop) == []


@in_terminal
async def test_a_new_person_with_a_known_name_in_other_letters_is_asked_about(tmp_path):
    shop = ready_shop(tmp_path)
    async with at_the_keys(shop) as hands:
        await hands.type("pn")
        await hands.fill(name="ada fenn")
        await hands.press("f10")
        assert hands.message() == (
            f"There is a person {ADA} already: is it the same? F10 again seals it as one more."
        )
        await hands.press("f10")
    assert {ADA, BERT, "ada fenn"} == set(people(shop))
