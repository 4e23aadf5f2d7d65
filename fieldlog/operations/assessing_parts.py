"""What is measured beside the gauge lengths, judged while it is typed: diameter, hooks, single pitches."""

from collections.abc import Callable, Sequence
from decimal import Decimal

from msgspec import Struct
from msgspec.structs import replace

from fieldlog.domain.chain import ChainVerdict
from fieldlog.domain.criteria import SEVERITY, Finding, Verdict
from fieldlog.domain.gauge_length import Unused
from fieldlog.domain.hook import judge_hook
from fieldlog.domain.records import ChainSize, DiameterReading, HookReading, PitchReading, UnusedLinks
from fieldlog.domain.rules import ChecklistItem, InstrumentType
from fieldlog.domain.wire import judge_diameter, judge_pitch, with_little_elongation
from fieldlog.errors import InputError
from fieldlog.operations.drafting import HookDraft, InspectionDraft, PitchDraft
from fieldlog.operations.gauging import Gauging
from fieldlog.operations.instruments import instrument_type
from fieldlog.operations.questioning import question_diameter, question_hook
from fieldlog.operations.shop import OpenHoist, Shop
from fieldlog.units import parse_decimal, parse_length

NO_DOUBT = "; no instrument is named, so its doubt is not counted"
UPPER, LOWER = "upper", "lower"


class Judged(Struct, frozen=True, kw_only=True):
    """A finding, or why there is none, and the questions about its figures."""

    finding: Finding | None = None
    problem: str = ""
    questions: tuple[str, ...] = ()


def _length(text: str, what: str) -> Decimal | None:
    return parse_length(text, "mm", what).value if text.strip() else None


def typed_diameter(content: InspectionDraft) -> DiameterReading | None:
    """Both diameters as values, or None where nothing is typed; InputError for what can not be read."""
    if not content.d1.strip() and not content.d2.strip():
        return None
    return DiameterReading(
        place=content.diameter_place,
        d1_mm=parse_length(content.d1, "mm", "d1").value,
        d2_mm=parse_length(content.d2, "mm", "d2").value,
        instrument=content.diameter_instrument.strip(),
    )


def typed_hook(content: InspectionDraft) -> HookReading | None:
    """The lower hook as a value, or None where nothing is typed; InputError for what can not be read."""
    return _hook_value(content.hook, LOWER)


def typed_upper_hook(content: InspectionDraft) -> HookReading | None:
    """The upper hook as a value, as `typed_hook`."""
    return _hook_value(content.upper_hook, UPPER)


def _hook_value(hook: HookDraft, which: str) -> HookReading | None:
    measured = (hook.throat, hook.twist, hook.section_new, hook.section)
    if not any(text.strip() for text in measured) and not hook.crack:
        return None
    return HookReading(
        which=which,
        throat_mm=_length(hook.throat, "the throat"),
        twist_deg=parse_decimal(hook.twist, "the twist") if hook.twist.strip() else Decimal(0),
        crack=hook.crack,
        new_mm=_length(hook.new, "the throat as new"),
        section_new_mm=_length(hook.section_new, "the section unworn"),
        section_mm=_length(hook.section, "the section where it is worn"),
        instrument=hook.instrument.strip(),
    )


def typed_pitches(content: InspectionDraft) -> tuple[PitchReading, ...]:
    """The single pitches that are typed; InputError for what can not be read."""
    return tuple(_pitch_value(draft) for draft in content.pitches if draft.pitch.strip())


def _pitch_value(draft: PitchDraft) -> PitchReading:
    return PitchReading(
        place=draft.place,
        pitch_mm=parse_length(draft.pitch, "mm", "the pitch").value,
        diameter_mm=_length(draft.diameter, "the diameter"),
        instrument=draft.instrument.strip(),
    )


def typed_unused(content: InspectionDraft, shared: Gauging) -> UnusedLinks | None:
    """The unused links measured on this visit, over as many links as the readings, or None."""
    length = _length(content.unused, "the unused length")
    if length is None:
        return None
    if length <= 0:
        raise InputError("a measured length is greater than 0")
    instrument = content.instrument.strip()
    return UnusedLinks(links=shared.links, basis=shared.basis, length_mm=length, instrument=instrument)


def _named(shop: Shop, opened: OpenHoist, name: str) -> InstrumentType | None:
    return instrument_type(shop, name, opened.rulebook) if name else None


def _judge(judge: Callable[[], Judged]) -> Judged:
    try:
        return judge()
    except InputError as error:
        return Judged(problem=str(error))


def judged_diameter(shop: Shop, opened: OpenHoist, content: InspectionDraft, size: ChainSize) -> Judged:
    """The wire diameter as it stands."""

    def judge() -> Judged:
        reading = typed_diameter(content)
        if reading is None:
            return Judged()
        rulebook, tool = opened.rulebook, _named(shop, opened, reading.instrument)
        found = judge_diameter(reading, size, rulebook.diameter, rulebook, instrument=tool)
        if tool is None:
            found = replace(found, why=found.why + NO_DOUBT)
        return Judged(finding=found, questions=question_diameter(reading, size.dn_mm))

    return _judge(judge)


def judged_hook(opened: OpenHoist, content: InspectionDraft, which: str) -> Judged:
    """One of the two hooks as it stands; the registered throat as new is the lower one's."""

    def judge() -> Judged:
        reading = typed_hook(content) if which == LOWER else typed_upper_hook(content)
        if reading is None:
            return Judged()
        known = opened.hoist.hook_throat_mm if which == LOWER else None
        new = known if reading.new_mm is None else reading.new_mm
        found = judge_hook(reading, new, opened.rulebook.hook, opened.rulebook)
        return Judged(finding=found, questions=question_hook(reading, new))

    return _judge(judge)


class JudgedPitches(Struct, frozen=True, kw_only=True):
    """The findings on single pitches, the gravest first, or why there are none."""

    findings: tuple[Finding, ...] = ()
    problem: str = ""


def judged_pitches(shop: Shop, opened: OpenHoist, content: InspectionDraft, size: ChainSize) -> JudgedPitches:
    """The single pitches as they stand; nothing where the rulebook has no rule for them."""
    rule, rulebook = opened.rulebook.single_pitch, opened.rulebook
    if rule is None:
        return JudgedPitches()
    try:
        found = [
            judge_pitch(reading, size, rule, rulebook, instrument=_named(shop, opened, reading.instrument))
            for reading in typed_pitches(content)
        ]
    except InputError as error:
        return JudgedPitches(problem=str(error))
    return JudgedPitches(findings=tuple(sorted(found, key=lambda one: -SEVERITY[one.verdict])))


def gravest(findings: Sequence[Finding]) -> Finding:
    """The gravest of one or more findings, the first among equals."""
    return max(findings, key=lambda found: SEVERITY[found.verdict])


def findings_for(
    item: ChecklistItem,
    worst: ChainVerdict | None,
    diameter: Finding | None,
    hooks: Sequence[Finding],
    pitches: Sequence[Finding],
) -> tuple[Finding, ...]:
    """The findings that answer a measured item.

    A single pitch that is discard speaks for the chain's length too; one that is not can not stand for it.
    """
    if item.measure == "hook":
        return tuple(hooks)
    if item.measure == "diameter":
        return () if diameter is None else (diameter,)
    if item.measure != "elongation":
        return ()
    long_links = tuple(found for found in pitches if found.verdict is Verdict.DISCARD)
    return long_links if worst is None else (worst.finding, *long_links)


class Parts(Struct, frozen=True, kw_only=True):
    """All that figures tell beside the gauge lengths."""

    diameter: Judged
    lower: Judged
    upper: Judged
    pitches: JudgedPitches

    @property
    def hooks(self) -> tuple[Finding, ...]:
        """The findings on both hooks."""
        return tuple(one.finding for one in (self.lower, self.upper) if one.finding is not None)

    @property
    def questions(self) -> tuple[str, ...]:
        """All questions about the figures."""
        return self.diameter.questions + self.lower.questions + self.upper.questions


def judge_parts(
    shop: Shop, opened: OpenHoist, content: InspectionDraft, size: ChainSize, worst: ChainVerdict | None
) -> Parts:
    """Diameter, hooks and single pitches as they stand; `worst` is the worst gauge length."""
    diameter = judged_diameter(shop, opened, content, size)
    if diameter.finding is not None:
        used = None if worst is None else worst.used_pct
        told = with_little_elongation(diameter.finding, used, opened.rulebook.watch_share)
        diameter = replace(diameter, finding=told)
    return Parts(
        diameter=diameter,
        lower=judged_hook(opened, content, LOWER),
        upper=judged_hook(opened, content, UPPER),
        pitches=judged_pitches(shop, opened, content, size),
    )


def measured_unused(content: InspectionDraft, shared: Gauging) -> tuple[Unused | None, str]:
    """The unused links measured on this visit, or why they can not be taken."""
    try:
        typed = typed_unused(content, shared)
    except InputError as error:
        return None, str(error)
    if typed is None:
        return None, ""
    return Unused(links=typed.links, basis=typed.basis, length_mm=typed.length_mm), ""
