"""Chain readings: the verdict follows every key, slips are questioned, everything is kept as typed.

Chain 5 x 15 over 11 links inside, powered: new 165 mm; discard at 1.5 % longer, 167.475 mm
(DOE-STD-1090-96, chapter 8: '1.5 percent longer ... replace'). Watch from 80 % of the allowed growth on
(common practice, no source). Caliper 0.05: error 0.05 mm to 300 mm (DIN 862) and 0.02 mm inside, so
w = 1.645 * 0.07 / sqrt(3) = 0.0665 mm (ISO 14253-1 and JCGM 106, from memory). An inch is 25.4 mm exactly
(international yard and pound agreement, 1959).
"""

from pathlib import Path

import pytest
from textual.widgets import Input

from fieldlog.domain.records import Basis
from fieldlog.operations.drafting import InspectionDraft, kept_drafts, read_inspection
from fieldlog.operations.shop import Shop
from fieldlog.tui.widgets.reading_row import ReadingRow
from fieldlog.tui.work import InspectionWork
from tests.tui.builder import (
    at_the_keys,
    begun_work,
    finished_work,
    in_terminal,
    inspected,
    last_inspection,
    ready_shop,
    with_hoist,
)
from tests.tui.hands import Hands

SOURCE = "DOE-STD-1090-96"


def _says(hands: Hands, place: int = 0) -> str:
    row = list(hands.screen.query(ReadingRow))[place]
    return str(row.query_one(".place-says").content)


def _strip(hands: Hands) -> str:
    return str(hands.screen.query_one("#strip").content)


def _kept(shop: Shop) -> InspectionDraft:
    return read_inspection(kept_drafts(shop)[0])


async def _open(hands: Hands, work: InspectionWork) -> None:
    hands.app.measure_chain(work)
    await hands.settle()


@pytest.fixture
def shop(tmp_path: Path) -> Shop:
    return ready_shop(tmp_path)


@pytest.fixture
def work(shop: Shop) -> InspectionWork:
    return begun_work(shop, with_hoist(shop))


@in_terminal
async def test_each_verdict_stands_in_word_and_mark_with_growth_limit_rule_and_source(
    shop: Shop, work: InspectionWork
) -> None:
    cases = [
        ("165,4", "+ keep", "+0.40 mm  16 %", "Growth 0.4 mm = 0.242 %"),
        ("166.98", "! watch", "+1.98 mm  80 %", "Growth 1.98 mm = 1.200 %"),
        ("167.42", "? undecided", "+2.42 mm  98 %", "Growth 2.42 mm = 1.467 %"),
        ("167.475", "X discard", "+2.48 mm  100 %", "Growth 2.475 mm = 1.500 %"),
    ]
    async with at_the_keys(shop) as hands:
        await _open(hands, work)
        for typed, mark, share, growth in cases:
            await hands.type(f"<ctrl+u>{typed}")
            says, strip = _says(hands), _strip(hands)
            assert says.startswith(mark)
            assert share in says
            assert strip.startswith(f"{mark.upper()}   usual working height")
            assert "Reference 165 mm (computed from 5 x 15)   Limit 167.475 mm" in strip
            assert growth in strip
            assert "of the allowed 2.475 mm used   doubt 0.06" in strip
            assert "Rule: 1.5 % of 11 x 15 mm; " + SOURCE in strip
            for words in (mark, mark.upper(), "167.475", SOURCE):
                assert words in hands.flat(), "readable on the screen itself"


@in_terminal
async def test_just_below_at_and_above_each_border(shop: Shop, work: InspectionWork) -> None:
    """Keep | 166.98 watch | 167.475 - 0.0665 = 167.4085 undecided | 167.475 discard."""
    async with at_the_keys(shop) as hands:
        await _open(hands, work)
        for typed, mark in (
            ("166.97", "+ keep"),
            ("166.98", "! watch"),
            ("167.40", "! watch"),
            ("167.41", "? undecided"),
            ("167.474", "? undecided"),
            ("167.475", "X discard"),
            ("167.476", "X discard"),
        ):
            await hands.type(f"<ctrl+u>{typed}")
            assert _says(hands).startswith(mark), typed


@in_terminal
async def test_metric_comma_decimal_inches_and_fractions_of_an_inch_get_the_right_growth(
    shop: Shop, work: InspectionWork
) -> None:
    cases = [
        ("165,4", "0.4"),
        ("165.4 mm", "0.4"),
        ("16.54 cm", "0.4"),
        ("6.52 in", "0.608"),
        ("6 1/2 in", "0.1"),
        ('6 1/2"', "0.1"),
        ("6-17/32 in", "0.894"),
    ]
    async with at_the_keys(shop) as hands:
        await _open(hands, work)
        for typed, growth in cases:
            await hands.type(f"<ctrl+u>{typed}")
            assert f"Growth {growth} mm" in _strip(hands), typed
            assert _says(hands).startswith("+ keep")


@in_terminal
async def test_what_can_not_be_read_says_so_in_place_and_is_kept_as_typed(
    shop: Shop, work: InspectionWork
) -> None:
    async with at_the_keys(shop) as hands:
        await _open(hands, work)
        for typed in ("165.4.1", "1,165.4", "5 m/s", "12 mm + 1 in", "nan", "-165", "0"):
            await hands.type(f"<ctrl+u>{typed}")
            assert _says(hands) == hands.message() != "", typed
            assert not _says(hands).startswith(("+", "!", "X")), typed
            assert _kept(shop).readings[0].text == typed


@in_terminal
async def test_the_verdict_follows_every_key(shop: Shop, work: InspectionWork) -> None:
    async with at_the_keys(shop) as hands:
        await _open(hands, work)
        seen = []
        for key in ("1", "6", "7", "full_stop", "0", "backspace", "4", "8"):
            await hands.press("." if key == "full_stop" else key)
            seen.append(_says(hands)[:1])
    assert [seen[place] for place in (0, 1, 2, 4, 6, 7)] == ["?", "?", "!", "!", "!", "X"]
    assert seen[3] not in "+!?X", "half a figure has no verdict"


@in_terminal
async def test_twelve_links_are_questioned_until_enter_takes_them_as_they_stand(
    shop: Shop, work: InspectionWork
) -> None:
    """180 mm is 12 x 15 mm, one link more than the 11 stated."""
    async with at_the_keys(shop) as hands:
        await _open(hands, work)
        await hands.type("180")
        assert hands.message() == "? looks like 12 links, not 11: count again   Enter takes it as it stands"
        assert _strip(hands).startswith("? QUESTIONED   usual working height")
        await hands.press("enter")
        assert _says(hands).startswith("X discard")
        assert _kept(shop).readings[0].confirmed == ["looks like 12 links, not 11: count again"]
        await hands.press("enter")
        assert hands.app.focused is list(hands.screen.query(ReadingRow))[1].value
        await hands.press("up", "ctrl+u")
        await hands.type("180")
        assert hands.message().startswith("? looks like 12 links"), "another figure is asked about anew"


@in_terminal
async def test_other_slips_are_questioned_at_once(shop: Shop, work: InspectionWork) -> None:
    """The bounds are common practice, no source."""
    async with at_the_keys(shop) as hands:
        await _open(hands, work)
        for typed, question in (
            ("150", "looks like 10 links, not 11"),
            ("6.52", "looks like inches typed as millimetres"),
            ("16.54", "decimal point slipped?"),
            ("164", "shorter than new (165 mm)"),
            ("200", "measured over 11 links?"),
        ):
            await hands.type(f"<ctrl+u>{typed}")
            assert question in hands.message(), typed
            assert _says(hands).startswith("? ")


@in_terminal
async def test_last_time_stands_beside_and_a_shorter_reading_is_questioned(shop: Shop) -> None:
    tag = with_hoist(shop)
    inspected(shop, tag)
    work = begun_work(shop, tag)
    async with at_the_keys(shop) as hands:
        await _open(hands, work)
        says = [_says(hands, place) for place in range(3)]
        assert says == ["last time 165.4", "last time 165.5", "last time 165.6"]
        await hands.type("165.1")
        assert "shorter than last time (165.4 mm)" in hands.message()
        await hands.type("<ctrl+u>165.5")
        assert _says(hands).endswith("last 165.4")


@in_terminal
async def test_the_worst_place_and_the_spread_are_told_and_identical_readings_questioned(
    shop: Shop, work: InspectionWork
) -> None:
    async with at_the_keys(shop) as hands:
        await _open(hands, work)
        await hands.type("165.4<enter>166.9<enter>165.2")
        assert hands.message() == "Worst: hook end   spread 1.7 mm"
        await hands.type("<up><up><ctrl+u>165.2<enter><ctrl+u>165.2")
        assert "all 3 readings are the same" in hands.message()


@in_terminal
async def test_a_steel_rule_can_not_decide_over_2_mm(shop: Shop, work: InspectionWork) -> None:
    """Steel rule class II: error 0.5 mm up to 1 m (UK SI 2016/1153, schedule 1I), w = 0.4749 mm."""
    async with at_the_keys(shop) as hands:
        work.content.instrument = "rule-ii"
        await _open(hands, work)
        await hands.type("167.0")
        assert _says(hands).startswith("! watch")
        await hands.type("1")
        assert _says(hands).startswith("? undecided")
        assert "doubt 0.47" in _strip(hands)


@in_terminal
async def test_without_an_instrument_nothing_is_judged_and_f3_offers_those_known(
    shop: Shop, work: InspectionWork
) -> None:
    work.content.instrument = ""
    async with at_the_keys(shop) as hands:
        await _open(hands, work)
        field: Input = hands.screen.query_one("#instrument", Input)
        assert hands.app.focused is field
        assert "choose the instrument first: its error decides what it can tell" in hands.text()
        await hands.press("f3")
        first = field.value
        await hands.press("f3")
        assert first
        assert field.value not in ("", first)
        assert _kept(shop).instrument == field.value
        await hands.type("<end><ctrl+u>ruler")
        assert "no instrument 'ruler': choose one of" in hands.flat()


@in_terminal
async def test_a_go_no_go_gauge_is_answered_with_t_and_g(shop: Shop, work: InspectionWork) -> None:
    async with at_the_keys(shop) as hands:
        work.content.basis = Basis.GAUGE
        await _open(hands, work)
        assert "type t if both ends touch, g if there is a gap" in hands.text()
        await hands.type("g<enter>t")
        assert _says(hands, 0).startswith("+ keep")
        assert _says(hands, 1).startswith("X discard")


@in_terminal
async def test_f5_adds_a_place_that_can_be_named_and_f10_goes_back_with_all_of_it(
    shop: Shop, work: InspectionWork
) -> None:
    async with at_the_keys(shop) as hands:
        hands.app.open_inspection(work)
        await _open(hands, work)
        await hands.type("165.4<f5>165.9")
        assert [reading.text for reading in _kept(shop).readings] == ["165.4", "", "", "165.9"]
        hands.screen.query(ReadingRow).last().name_field.focus()
        await hands.settle()
        await hands.type("<ctrl+u>below the block")
        assert _kept(shop).readings[3].place == "below the block"
        await hands.press("f10")
        assert hands.page == "InspectionPage"
        assert "below the block: grown 0.9 of 2.475 mm allowed" in hands.row("chain-elongation")


@in_terminal
async def test_a_confirmed_question_goes_into_the_sealed_record(shop: Shop) -> None:
    tag = with_hoist(shop)
    inspected(shop, tag)
    work = finished_work(shop, tag, readings=("165.5", "", "165.7"))
    async with at_the_keys(shop) as hands:
        hands.app.open_inspection(work)
        await _open(hands, work)
        await hands.type("165.1<enter><f10>")
        await hands.press("f10")
        await hands.press("f10")
    sealed = last_inspection(shop, tag).readings[1]
    assert sealed.typed == "165.1"
    assert sealed.questions_confirmed == (
        "shorter than last time (165.5 mm): was the chain changed, or is it the tool?",
    )
