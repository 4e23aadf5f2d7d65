"""What is measured on one link of a load chain: the wire diameter where it is worn most, and the pitch."""

from decimal import Decimal

from fieldlog.domain.criteria import Finding, Limit, Verdict, cite, judge
from fieldlog.domain.records import ChainSize, DiameterReading
from fieldlog.domain.rules import DiameterRule, Rulebook
from fieldlog.errors import InputError
from fieldlog.units import format_mm

DIAMETER = "load chain diameter"
SINGLE_PITCH_FACTOR = Decimal("1.05")


def mean_diameter(d1_mm: Decimal, d2_mm: Decimal) -> Decimal:
    """Mean of two diameters taken at right angles in one plane [mm]."""
    return (d1_mm + d2_mm) / 2


def judge_diameter(
    reading: DiameterReading, size: ChainSize, rule: DiameterRule, rulebook: Rulebook
) -> Finding:
    """Mean diameter at or below the rule's share of dn is discard; one diameter alone below it is watch.

    Raises InputError for a diameter that is not greater than 0.
    Source: DGUV Information 209-021 (mean thickness reduced by more than 10 %); 'at the limit' is
    decided to the safe side.
    Example: dn 10, d1 8.5, d2 9.6: mean 9.05 over 9.0, and the single 8.5 is watch.
    """
    if min(reading.d1_mm, reading.d2_mm, size.dn_mm) <= 0:
        raise InputError("diameters are greater than 0")
    limit_mm = rule.share * size.dn_mm
    mean = mean_diameter(reading.d1_mm, reading.d2_mm)
    verdict = judge(mean, Limit(value=limit_mm, unit="mm", above=False), Decimal(0))
    why = f"at {reading.place}: mean {format_mm(mean)} mm, limit {format_mm(limit_mm)} mm"
    if verdict is Verdict.KEEP and min(reading.d1_mm, reading.d2_mm) < limit_mm:
        verdict = Verdict.WATCH
        why += "; one diameter alone is below it: local damage or abrasion"
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
    )


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
