"""Wear of round-steel load chain: the verdict on a gauge length over n links.

Geometry, reference and allowed growth stand in `gauge_length`, what is measured on one link (wire diameter,
single pitch) in `wire`; both are given out here too.
"""

from decimal import Decimal

from msgspec import Struct

from fieldlog.domain import wire
from fieldlog.domain.criteria import Finding, Limit, Verdict, guard_band, judge
from fieldlog.domain.doubt import guard_step, instrument_error
from fieldlog.domain.gauge_length import (
    BOOK_SOURCE,
    Allowance,
    Reference,
    Unused,
    allowance_for,
    elongation_rule,
    inside_length,
    nominal_length,
    outside_length,
    reference_for,
)
from fieldlog.domain.records import Basis, BookValue, ChainReading, ChainSize, Drive
from fieldlog.domain.rules import InstrumentType, Rulebook
from fieldlog.errors import InputError
from fieldlog.units import format_mm

__all__ = [
    "BOOK_SOURCE",
    "DIAMETER",
    "ELONGATION",
    "PITCH",
    "Allowance",
    "ChainVerdict",
    "Reference",
    "Unused",
    "allowance_for",
    "elongation_rule",
    "inside_length",
    "instrument_error",
    "judge_diameter",
    "judge_reading",
    "mean_diameter",
    "nominal_length",
    "outside_length",
    "reference_for",
    "single_pitch_limit",
]

ELONGATION = "load chain elongation"

DIAMETER = wire.DIAMETER
PITCH = wire.PITCH
judge_diameter = wire.judge_diameter
mean_diameter = wire.mean_diameter
single_pitch_limit = wire.single_pitch_limit


class ChainVerdict(Struct, frozen=True, kw_only=True):
    """All that a screen or a page shows about one reading. Lengths in mm, shares in percent.

    The figures are None for a go/no-go gauge, which tells only whether both ends touch.
    """

    reading: ChainReading
    reference: Reference
    allowance: Allowance
    limit_mm: Decimal
    growth_mm: Decimal | None
    elongation_pct: Decimal | None
    used_pct: Decimal | None
    guard_mm: Decimal
    finding: Finding


def _judged(
    reading: ChainReading, growth: Decimal | None, guard: Decimal, allowance: Allowance, rulebook: Rulebook
) -> tuple[Verdict, str]:
    if reading.basis is Basis.GAUGE:
        return _gauge_verdict(reading.both_ends_touch)
    if growth is None:
        return Verdict.UNDECIDED, "not measured"
    limit = Limit(value=allowance.growth_mm, unit="mm")
    verdict = judge(growth, limit, guard, rulebook.watch_share * allowance.growth_mm)
    why = f"grown {format_mm(growth)} of {format_mm(allowance.growth_mm)} mm allowed"
    if verdict is Verdict.UNDECIDED:
        why += f"; the instrument can not tell within {format_mm(guard)} mm: measure again with a finer tool"
    if verdict is Verdict.WATCH:
        why += "; most of the allowed growth is used"
    return verdict, why


def _gauge_verdict(both_ends_touch: bool | None) -> tuple[Verdict, str]:
    if both_ends_touch is None:
        return Verdict.UNDECIDED, "say whether both ends of the gauge touch"
    if both_ends_touch:
        return Verdict.DISCARD, "both ends of the go/no-go gauge touch"
    return Verdict.KEEP, "the go/no-go gauge leaves a gap"


def _check(size: ChainSize, reading: ChainReading) -> None:
    if reading.links < 1:
        raise InputError("the number of links is at least 1")
    if size.dn_mm <= 0 or size.pn_mm <= 0:
        raise InputError("chain diameter and pitch are greater than 0")
    if reading.value_mm is not None and reading.value_mm <= 0:
        raise InputError("a measured length is greater than 0")


def _percent(part: Decimal | None, whole: Decimal) -> Decimal | None:
    """Part in percent of whole; where nothing is allowed, all of it is used."""
    if part is None:
        return None
    return part / whole * 100 if whole > 0 else Decimal(100)


def judge_reading(
    reading: ChainReading,
    size: ChainSize,
    rulebook: Rulebook,
    drive: Drive,
    *,
    book: BookValue | None = None,
    unused: Unused | None = None,
    instrument: InstrumentType | None = None,
    stricter_rule_governs: bool = False,
) -> ChainVerdict:
    """One reading against its reference and allowed growth, with the instrument's doubt.

    growth >= allowed is discard; growth + w >= allowed is undecided; from the rulebook's watch share
    of the allowed growth on it is watch. A gauge has no figure, whatever else the reading holds.
    A reading taken several times is the mean of its repeats, whose scatter adds to the doubt.
    Raises InputError for a size or length that is not greater than 0, fewer links than 1, or a length
    that the instrument does not reach.
    Example: 5 x 15, 11 links inside, 167.475 mm on a powered hoist is exactly 1.5 %: discard
    (DOE-STD-1090-96 ch. 8: '1.5 percent longer ... replace').
    """
    _check(size, reading)
    reference = reference_for(size, reading.links, reading.basis, book, unused)
    rule = elongation_rule(rulebook, drive)
    allowance = allowance_for(size, reference, rule, book, stricter_rule_governs=stricter_rule_governs)
    growth, guard, guard_words = _grown(reading, reference, instrument)
    judged = _judged(reading, growth, guard, allowance, rulebook)
    steps = _steps(reading, reference, allowance, growth, guard_words)
    return ChainVerdict(
        reading=reading,
        reference=reference,
        allowance=allowance,
        limit_mm=reference.length_mm + allowance.growth_mm,
        growth_mm=growth,
        elongation_pct=_percent(growth, inside_length(size, reading.links)),
        used_pct=_percent(growth, allowance.growth_mm),
        guard_mm=guard,
        finding=_elongation_finding(reading, judged, growth, allowance, rulebook, steps=steps),
    )


def _grown(
    reading: ChainReading, reference: Reference, instrument: InstrumentType | None
) -> tuple[Decimal | None, Decimal, str]:
    """Growth [mm], None where no length was read, the guard band around it [mm], and the band in words."""
    growth, guard, mpe = None, Decimal(0), Decimal(0)
    if reading.basis is not Basis.GAUGE and reading.value_mm is not None:
        growth = reading.value_mm - reference.length_mm
        mpe = instrument_error(instrument, reading.value_mm, reading.basis)
        guard = guard_band(mpe, reading.repeats)
    return growth, guard, guard_step(mpe, guard, reading.repeats)


def _elongation_finding(
    reading: ChainReading,
    judged: tuple[Verdict, str],
    growth: Decimal | None,
    allowance: Allowance,
    rulebook: Rulebook,
    *,
    steps: tuple[str, ...],
) -> Finding:
    verdict, why = judged
    return Finding(
        criterion=allowance.criterion,
        component=ELONGATION,
        verdict=verdict,
        value=growth,
        limit=allowance.growth_mm,
        margin=None if growth is None else allowance.growth_mm - growth,
        unit="mm",
        why=f"at {reading.place}: {why}",
        source=allowance.source,
        certainty=allowance.certainty,
        rulebook=rulebook.name,
        edition=rulebook.edition,
        steps=steps,
    )


def _steps(
    reading: ChainReading, reference: Reference, allowance: Allowance, growth: Decimal | None, guard: str
) -> tuple[str, ...]:
    """The arithmetic with the numbers filled in, so that the record explains itself for ever."""
    allowed = format_mm(allowance.growth_mm)
    steps = [
        f"reference over {reference.links} links {reference.basis}:"
        f" {format_mm(reference.length_mm)} mm, {reference.origin}",
        f"allowed growth: {allowance.rule} = {allowed} mm",
    ]
    if growth is not None and reading.value_mm is not None:
        if reading.repeats:
            steps.append(_mean_step(reading.repeats, reading.value_mm))
        steps.append(
            f"{format_mm(reading.value_mm)} - {format_mm(reference.length_mm)} = {format_mm(growth)} mm grown"
        )
        used = _percent(growth, allowance.growth_mm)
        if used is not None and allowance.growth_mm > 0:
            steps.append(f"{format_mm(growth)} / {allowed} = {used.quantize(Decimal('0.1'))} % used")
    return tuple(step for step in (*steps, guard) if step)


def _mean_step(repeats: tuple[Decimal, ...], mean: Decimal) -> str:
    total = " + ".join(format_mm(value) for value in repeats)
    return f"({total}) / {len(repeats)} = {mean.normalize():f} mm"
