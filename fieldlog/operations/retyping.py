"""What a sealed inspection measured beside the gauge lengths, as if it had been typed just now."""

from decimal import Decimal

from fieldlog.domain.records import ChainSize, HookReading, Inspection
from fieldlog.operations.drafting import HookDraft, InspectionDraft, PitchDraft


def retype_parts(typed: InspectionDraft, body: Inspection) -> None:
    """Put diameter, both hooks, single pitches, unused links and the nameplate of `body` into the draft."""
    if body.diameters:
        held = body.diameters[0]
        typed.diameter_place, typed.diameter_instrument = held.place, held.instrument
        typed.d1, typed.d2 = _text(held.d1_mm), _text(held.d2_mm)
    for hook in body.hooks:
        if hook.which == "upper":
            typed.upper_hook = _hook(hook)
        else:
            typed.hook = _hook(hook)
    typed.pitches = [
        PitchDraft(
            place=pitch.place,
            pitch=_text(pitch.pitch_mm),
            diameter=_text(pitch.diameter_mm),
            instrument=pitch.instrument,
        )
        for pitch in body.pitches
    ]
    typed.unused = "" if body.unused is None else _text(body.unused.length_mm)
    typed.capacity_seen = _text(body.capacity_seen_kg)
    typed.chain_seen = _size(body.chain_seen)


def _text(value: Decimal | None) -> str:
    return "" if value is None else f"{value:f}"


def _size(size: ChainSize | None) -> str:
    return "" if size is None else f"{size.dn_mm:f}x{size.pn_mm:f}"


def _hook(hook: HookReading) -> HookDraft:
    return HookDraft(
        throat=_text(hook.throat_mm),
        twist=_text(hook.twist_deg) if hook.twist_deg else "",
        crack=hook.crack,
        new=_text(hook.new_mm),
        section_new=_text(hook.section_new_mm),
        section=_text(hook.section_mm),
        instrument=hook.instrument,
    )
