"""What is measured on one link of a load chain: the wire diameter where it is worn most, and the pitch."""

from decimal import Decimal

from msgspec.structs import replace

from fieldlog.domain.criteria import Finding, Limit, Verdict, cite, guard_band, judge
from fieldlog.domain.doubt import guard_step, instrument_error
from fieldlog.domain.records import Basis, ChainSize, DiameterReading, PitchReading
from fieldlog.domain.rules import DiameterRule, InstrumentType, Rulebook, SinglePitchRule
from fieldlog.errors import InputError
from fieldlog.units import format_mm

DIAMETER = "load chain diameter"
PITCH = "load chain single pitch"
TOO_COARSE = "; the instrument can not tell within {} mm: measure again with a finer tool"
SINGLE_PITCH_FACTOR = Decimal("1.05")


def mean_diameter(d1_mm: Decimal, d2_mm: Decimal) -> Decimal:
    """Mean of two diameters taken at right angles in one plane [mm]."""
    return (d1_mm + d2_mm) / 2


def judge_diameter(
    reading: DiameterReading,
    size: ChainSize,
    rule: DiameterRule,
    rulebook: Rulebook,
    *,
    instrument: InstrumentType | None = None,
) -> Finding:
    """Mean diameter at or below the rule's share of dn is discard; one diameter alone below it is watch.

    A mean that lies above the limit by no more than the instrument's guard band is undecided. The mean of
    two readings with one instrument is as doubtful as each of them: its error goes the same way in both.
    Raises InputError for a diameter that is not greater than 0, or one that the instrument does not reach.
    Source: DGUV Information 209-021 (mean thickness reduced by more than 10 %); 'at the limit' is
    decided to the safe side.
    Example: dn 10, d1 8.5, d2 9.6: mean 9.05 over 9.0, and the single 8.5 is watch.
    """
    if min(reading.d1_mm, reading.d2_mm, size.dn_mm) <= 0:
        raise InputError("diameters are greater than 0")
    limit_mm = rule.share * size.dn_mm
    mean = mean_diameter(reading.d1_mm, reading.d2_mm)
    mpe = instrument_error(instrument, mean, Basis.OUTSIDE)
    guard = guard_band(mpe)
    verdict, why = _diameter_verdict(reading, mean, limit_mm, guard)
    return Finding(
        criterion=rule.id,
        component=DIAMETER,
        verdict=verdict,
        value=mean,
        limit=limit_mm,
        margin=mean - limit_mm,
        unit="mm",
        why=why,
        source=cite(rule.source),
        certainty=rule.source.certainty,
        rulebook=rulebook.name,
        edition=rulebook.edition,
        steps=_diameter_steps(reading, mean, f"{format_mm(rule.share)} x {format_mm(size.dn_mm)}", limit_mm)
        + tuple(filter(None, [guard_step(mpe, guard)])),
    )


def _diameter_verdict(
    reading: DiameterReading, mean: Decimal, limit_mm: Decimal, guard: Decimal
) -> tuple[Verdict, str]:
    verdict = judge(mean, Limit(value=limit_mm, unit="mm", above=False), guard)
    why = f"at {reading.place}: mean {format_mm(mean)} mm, limit {format_mm(limit_mm)} mm"
    if verdict is Verdict.UNDECIDED:
        why += TOO_COARSE.format(format_mm(guard))
    if verdict is Verdict.KEEP and min(reading.d1_mm, reading.d2_mm) < limit_mm:
        verdict = Verdict.WATCH
        why += "; one diameter alone is below it: local damage or abrasion"
    return verdict, why


def _diameter_steps(
    reading: DiameterReading, mean: Decimal, share_of: str, limit_mm: Decimal
) -> tuple[str, ...]:
    both = f"{format_mm(reading.d1_mm)} + {format_mm(reading.d2_mm)}"
    return (f"({both}) / 2 = {format_mm(mean)} mm", f"limit {share_of} = {format_mm(limit_mm)} mm")


def with_little_elongation(finding: Finding, used_pct: Decimal | None, watch_share: Decimal) -> Finding:
    """A diameter that fails while the chain has grown little, told as such; others as they are.

    Evenly worn chain meets the limit of length long before that of diameter. 'Little' is a used share of the
    allowed growth under the one from which a chain is watched (common practice, no source).
    """
    if finding.verdict is not Verdict.DISCARD or used_pct is None or used_pct >= watch_share * 100:
        return finding
    used = used_pct.quantize(Decimal("0.1"))
    note = f"; with little elongation ({used} % of what is allowed): local damage or abrasion from outside"
    return replace(finding, why=finding.why + note)


def single_pitch_limit(
    t0_mm: Decimal, d0_mm: Decimal, d_mm: Decimal, factor: Decimal = SINGLE_PITCH_FACTOR
) -> Decimal:
    """The pitch t [mm] of one link above which it is discard: t > 1.05 t0 + (d0 - d).

    t0 and d0 are pitch and diameter as new and d the diameter now, all in mm; the wire worn away is
    allowed on top of 5 % plastic elongation. Valid for one link of round-steel chain; even wear of both
    links that touch lengthens a pitch by twice what the formula allows for it, so it lies on the safe
    side. A rule for slings and galvanising, shown as such on hoists.
    Raises InputError for a figure that is not greater than 0.
    Source: DGUV Regel 109-004, section 7 (published).
    Example: t0 30, d0 10, d 9.5: 1.05 x 30 + (10 - 9.5) = 32.
    """
    if min(t0_mm, d0_mm, d_mm) <= 0:
        raise InputError("pitch and diameters of a link are greater than 0")
    return factor * t0_mm + (d0_mm - d_mm)


def judge_pitch(
    reading: PitchReading,
    size: ChainSize,
    rule: SinglePitchRule,
    rulebook: Rulebook,
    *,
    instrument: InstrumentType | None = None,
) -> Finding:
    """The pitch of one link: over the limit of single_pitch_limit is discard, at it not yet.

    Where the wire was not measured it is taken as unworn, which gives the lower limit. Nearer to the limit
    than the instrument's guard band is undecided.
    Raises InputError as single_pitch_limit does, or for a length that the instrument does not reach.
    """
    now = size.dn_mm if reading.diameter_mm is None else reading.diameter_mm
    limit_mm = single_pitch_limit(size.pn_mm, size.dn_mm, now, rule.factor)
    if reading.pitch_mm <= 0:
        raise InputError("pitch and diameters of a link are greater than 0")
    mpe = instrument_error(instrument, reading.pitch_mm, Basis.INSIDE)
    guard = guard_band(mpe)
    verdict, why = _pitch_verdict(reading, limit_mm, guard)
    step = (
        f"limit {format_mm(rule.factor)} x {format_mm(size.pn_mm)} + ({format_mm(size.dn_mm)}"
        f" - {format_mm(now)}) = {format_mm(limit_mm)} mm"
    )
    return Finding(
        criterion=rule.id,
        component=PITCH,
        verdict=verdict,
        value=reading.pitch_mm,
        limit=limit_mm,
        margin=limit_mm - reading.pitch_mm,
        unit="mm",
        why=why,
        source=cite(rule.source),
        certainty=rule.source.certainty,
        rulebook=rulebook.name,
        edition=rulebook.edition,
        steps=tuple(filter(None, [step, guard_step(mpe, guard)])),
    )


def _pitch_verdict(reading: PitchReading, limit_mm: Decimal, guard: Decimal) -> tuple[Verdict, str]:
    verdict = judge(reading.pitch_mm, Limit(value=limit_mm, unit="mm", inclusive=False), guard)
    why = f"at {reading.place}: pitch {format_mm(reading.pitch_mm)} mm, limit {format_mm(limit_mm)} mm"
    if verdict is Verdict.UNDECIDED:
        why += TOO_COARSE.format(format_mm(guard))
    return verdict, why
