"""Single measurements in words, as lines of a logbook and notes under a table tell them."""

from collections.abc import Iterable, Iterator

from fieldlog.domain.records import (
    ChainReading,
    DiameterReading,
    HookReading,
    Inspection,
    PitchReading,
    UnusedLinks,
)
from fieldlog.operations.paper_units import METRIC, PaperUnits, shop_chain, shop_length, shop_mass
from fieldlog.units import format_mm


def tools_words(readings: Iterable[ChainReading]) -> Iterator[str]:
    """Each tool that readings were taken with, and its state then."""
    for reading in readings:
        if reading.instrument:
            yield reading.instrument + (f", {reading.instrument_state}" if reading.instrument_state else "")


def reading_words(reading: ChainReading, units: PaperUnits = METRIC) -> str:
    """A chain reading: place, length or what the gauge did, links, and what was asked about it."""
    value = shop_length(reading.value_mm, units)
    if reading.value_mm is None:
        value = "both ends touch" if reading.both_ends_touch else "gap"
    # A number typed plainly says the same; one with a unit or a fraction shows how it was read.
    has_unit = any(character.isalpha() or character in "/\"'" for character in reading.typed)
    typed = f" (typed '{reading.typed}')" if has_unit else ""
    each = ", ".join(shop_length(value_mm, units) for value_mm in reading.repeats)
    repeats = f", mean of {each}" if each else ""
    asked = "".join(f", asked and confirmed: {question}" for question in reading.questions_confirmed)
    return f"{reading.place}: {value} over {reading.links} links {reading.basis}{repeats}{typed}{asked}"


def diameter_words(reading: DiameterReading, units: PaperUnits = METRIC) -> str:
    """Two diameters at one place."""
    tool = f", {reading.instrument}" if reading.instrument else ""
    both = f"{shop_length(reading.d1_mm, units)} and {shop_length(reading.d2_mm, units)}"
    return f"{reading.place}: {both}{tool}"


def hook_words(reading: HookReading, units: PaperUnits = METRIC) -> str:
    """A hook: throat, twist, section and cracks."""
    throat = shop_length(reading.throat_mm, units) or "not measured"
    new = f" (as new {shop_length(reading.new_mm, units)})" if reading.new_mm is not None else ""
    crack = ", CRACK" if reading.crack else ""
    tool = f", {reading.instrument}" if reading.instrument else ""
    section = section_words(reading, units)
    twist = f"twist {format_mm(reading.twist_deg)}°"
    return f"{reading.which}: throat {throat}{new}, {twist}{section}{crack}{tool}"


def section_words(reading: HookReading, units: PaperUnits = METRIC) -> str:
    """The height of a hook's section in the saddle, where it was measured."""
    if reading.section_mm is None:
        return ""
    as_new = shop_length(reading.section_new_mm, units)
    return f", section {shop_length(reading.section_mm, units)}" + (f" of {as_new} as new" if as_new else "")


def pitch_words(reading: PitchReading, units: PaperUnits = METRIC) -> str:
    """One link: pitch and wire."""
    wire = f", wire {shop_length(reading.diameter_mm, units)}" if reading.diameter_mm is not None else ""
    tool = f", {reading.instrument}" if reading.instrument else ""
    return f"{reading.place}: pitch {shop_length(reading.pitch_mm, units)}{wire}{tool}"


def unused_words(links: UnusedLinks, units: PaperUnits = METRIC) -> str:
    """A length over links that never ran."""
    tool = f", {links.instrument}" if links.instrument else ""
    return f"{shop_length(links.length_mm, units)} over {links.links} links {links.basis}{tool}"


def seen_words(body: Inspection, units: PaperUnits = METRIC) -> str:
    """What nameplate and chain said on the day, where they were read."""
    seen_kg = body.capacity_seen_kg
    capacity = "" if seen_kg is None else f"capacity {shop_mass(seen_kg, units)}"
    chain = "" if body.chain_seen is None else f"chain {shop_chain(body.chain_seen, units)}"
    return ", ".join(filter(None, [capacity, chain]))
