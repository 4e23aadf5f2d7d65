"""Proves that each measurement is told with its place, its unit and the tool it was taken with."""

from datetime import date

from fieldlog.domain.records import Basis, ChainSize, HookReading, PitchReading, UnusedLinks
from fieldlog.operations.reporting_measured import (
    hook_words,
    pitch_words,
    reading_words,
    seen_words,
    tools_words,
    unused_words,
)
from tests.domain.build import D, inspection, reading


def test_a_reading_typed_with_a_unit_shows_how_it_was_read() -> None:
    """6 1/2 in = 165.1 mm exactly (1 in = 25.4 mm, international yard and pound agreement, 1959)."""
    assert reading_words(reading("165.1", typed="6 1/2 in")) == (
        "hook: 165.1 mm over 11 links inside (typed '6 1/2 in')"
    )
    assert reading_words(reading("165.1", typed="165,1")) == "hook: 165.1 mm over 11 links inside"


def test_readings_taken_again_stand_beside_their_mean() -> None:
    told = reading_words(reading("165.2", repeats=(D("165.1"), D("165.3"))))
    assert told == "hook: 165.2 mm over 11 links inside, mean of 165.1 mm, 165.3 mm"


def test_a_gauge_tells_what_it_did() -> None:
    assert "both ends touch" in reading_words(reading(None, basis=Basis.GAUGE, both_ends_touch=True))
    assert "gap over 11 links gauge" in reading_words(reading(None, basis=Basis.GAUGE, both_ends_touch=False))


def test_what_was_questioned_and_confirmed_is_told() -> None:
    told = reading_words(reading("151", questions_confirmed=("one link too few?",)))
    assert told.endswith(", asked and confirmed: one link too few?")


def test_a_tool_is_told_with_its_state() -> None:
    taken = reading("165.1", instrument="caliper 2", instrument_state="out of calibration since 2026-01-02")
    assert list(tools_words([taken, reading("165")])) == ["caliper 2, out of calibration since 2026-01-02"]


def test_hooks_links_and_plates() -> None:
    hook = HookReading(
        which="upper",
        throat_mm=D("31"),
        new_mm=D("30"),
        twist_deg=D("2"),
        crack=True,
        section_mm=D("18.5"),
        section_new_mm=D("20"),
        instrument="caliper 1",
    )
    assert hook_words(hook) == (
        "upper: throat 31 mm (as new 30 mm), twist 2°, section 18.5 mm of 20 mm as new, CRACK, caliper 1"
    )
    link = PitchReading(place="third link", pitch_mm=D("15.4"), diameter_mm=D("4.8"), instrument="caliper 1")
    assert pitch_words(link) == "third link: pitch 15.4 mm, wire 4.8 mm, caliper 1"
    kept = UnusedLinks(links=11, length_mm=D("165.05"), instrument="caliper 1")
    assert unused_words(kept) == "165.05 mm over 11 links inside, caliper 1"
    seen = inspection(
        date(2026, 2, 27),
        capacity_seen_kg=D("500"),
        chain_seen=ChainSize(dn_mm=D("5"), pn_mm=D("15"), grade="T"),
    )
    assert seen_words(seen) == "capacity 500 kg, chain 5 x 15 mm, T"
    assert seen_words(inspection(date(2026, 2, 27))) == ""
