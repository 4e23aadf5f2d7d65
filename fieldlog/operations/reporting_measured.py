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
from fieldlog.operations.reporting_words import mm
from fieldlog.units import format_mass, format_mm


def tools_words(readings: Iterable[ChainReading]) -> Iterator[str]:
    """Each tool that readings were taken with, and its state then."""
    for reading in readings:
        if reading.instrument:
            yield reading.instrument + (f", {reading.instrument_state}" if reading.instrument_state else "")


def reading_words(reading: ChainReading) -> str:
    """A chain reading: place, length or what the gauge did, links, and what was asked about it."""
    value = mm(reading.value_mm)
    if reading.value_mm is None:
        value = "both ends touch" if reading.both_ends_touch else "gap"
    # A number typed plainly says the same; one with a unit or a fraction shows how it was read.
    has_unit = any(character.isalpha() or character in "/\"'" for character in reading.typed)
    typed = f" (typed '{reading.typed}')" if has_unit else ""
    repeats = f", mean of {', '.join(map(mm, reading.repeats))}" if reading.repeats else ""
    asked = "".join(f", asked and confirmed: {question}" for question in reading.questions_confirmed)
    return f"{reading.place}: {value} over {reading.links} links {reading.basis}{repeats}{typed}{asked}"


def diameter_words(reading: DiameterReading) -> str:
    """Two diameters at one place."""
    tool = f", {reading.instrument}" if reading.instrument else ""
    return f"{reading.place}: {mm(reading.d1_mm)} and {mm(reading.d2_mm)}{tool}"


def hook_words(reading: HookReading) -> str:
    """A hook: throat, twist, section and cracks."""
    throat = mm(reading.throat_mm) or "not measured"
    new = f" (as new {mm(reading.new_mm)})" if reading.new_mm is not None else ""
    crack = ", CRACK" if reading.crack else ""
    tool = f", {reading.instrument}" if reading.instrument else ""
    section = section_words(reading)
    twist = f"twist {format_mm(reading.twist_deg)}°"
    return f"{reading.which}: throat {throat}{new}, {twist}{section}{crack}{tool}"


def section_words(reading: HookReading) -> str:
    """The height of a hook's section in the saddle, where it was measured."""
    if reading.section_mm is None:
        return ""
    new = f" of {mm(reading.section_new_mm)} as new" if reading.section_new_mm is not None else ""
    return f", section {mm(reading.section_mm)}{new}"


def pitch_words(reading: PitchReading) -> str:
    """One link: pitch and wire."""
    wire = f", wire {mm(reading.diameter_mm)}" if reading.diameter_mm is not None else ""
    tool = f", {reading.instrument}" if reading.instrument else ""
    return f"{reading.place}: pitch {mm(reading.pitch_mm)}{wire}{tool}"


def unused_words(links: UnusedLinks) -> str:
    """A length over links that never ran."""
    tool = f", {links.instrument}" if links.instrument else ""
    return f"{mm(links.length_mm)} over {links.links} links {links.basis}{tool}"


def seen_words(body: Inspection) -> str:
    """What nameplate and chain said on the day, where they were read."""
    capacity = "" if body.capacity_seen_kg is None else f"capacity {format_mass(body.capacity_seen_kg)}"
    chain = ""
    if body.chain_seen is not None:
        size = f"{format_mm(body.chain_seen.dn_mm)} x {format_mm(body.chain_seen.pn_mm)} mm"
        chain = f"chain {size}, {body.chain_seen.grade}" if body.chain_seen.grade else f"chain {size}"
    return ", ".join(filter(None, [capacity, chain]))
