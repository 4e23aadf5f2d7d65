"""Every figure that an inspection sealed comes back as it was typed, so that a correction loses none."""

from pathlib import Path

from fieldlog.domain.records import InspectionKind
from fieldlog.operations.assessing_parts import typed_diameter, typed_hook, typed_pitches, typed_upper_hook
from fieldlog.operations.drafting import HookDraft, InspectionDraft, PitchDraft
from fieldlog.operations.inspecting import seal_inspection
from fieldlog.operations.questioning import plate_seen
from fieldlog.operations.retyping import retype_parts
from tests.operations.builder import ADA, CALIPER, NOW, TODAY, begin, body_of, fill, ready_shop, register

FIRST = InspectionKind.FIRST_USE


def test_nothing_measured_is_lost(tmp_path: Path) -> None:
    shop = ready_shop(tmp_path)
    opened, draft, content = begin(shop, register(shop).id, FIRST)
    fill(shop, opened, content)
    content.diameter_instrument = CALIPER
    content.hook = HookDraft(throat="30.5", twist="2", section_new="20", section="19.5", instrument="C1")
    content.upper_hook = HookDraft(throat="40.2", new="40")
    content.pitches = [PitchDraft(pitch="15.1", diameter="4.9", instrument=CALIPER), PitchDraft(pitch="15.2")]
    content.unused, content.capacity_seen, content.chain_seen = "165.2", "500", "5x15"
    body = body_of(seal_inspection(shop, draft, content, by=ADA, now=NOW, today=TODAY))
    typed = InspectionDraft(occasion=FIRST, done_on=TODAY.isoformat())
    retype_parts(typed, body)
    assert typed_diameter(typed) == body.diameters[0]
    assert (typed_hook(typed), typed_upper_hook(typed)) == body.hooks
    assert typed_pitches(typed) == body.pitches
    assert (typed.unused, plate_seen(typed)) == ("165.2", (body.capacity_seen_kg, body.chain_seen))


def test_what_was_not_measured_stays_empty(tmp_path: Path) -> None:
    shop = ready_shop(tmp_path)
    opened, draft, content = begin(shop, register(shop).id, FIRST)
    fill(shop, opened, content)
    body = body_of(seal_inspection(shop, draft, content, by=ADA, now=NOW, today=TODAY))
    typed = InspectionDraft(occasion=FIRST, done_on=TODAY.isoformat(), unused="1", capacity_seen="2")
    retype_parts(typed, body)
    assert (typed.upper_hook, typed.pitches) == (HookDraft(), [])
    assert (typed.unused, typed.capacity_seen, typed.chain_seen) == ("", "", "")
