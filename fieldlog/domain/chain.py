"""Geometry and wear of round-steel load chain: gauge length over n links, growth, verdict of a reading.

What is measured on one link (wire diameter, single pitch) stands in `wire`, and is given out here too.
"""

from dataclasses import dataclass
from decimal import Decimal

from fieldlog.domain import wire
from fieldlog.domain.criteria import Certainty, Finding, Limit, Source, Verdict, cite, guard_band, judge
from fieldlog.domain.records import Basis, BookValue, ChainReading, ChainSize, Drive
from fieldlog.domain.rules import ElongationRule, InstrumentType, Rulebook
from fieldlog.errors import InputError
from fieldlog.units import format_mm

ELONGATION = "load chain elongation"

DIAMETER = wire.DIAMETER
judge_diameter = wire.judge_diameter
mean_diameter = wire.mean_diameter
single_pitch_limit = wire.single_pitch_limit

BOOK_SOURCE = "the hoist maker's book, as entered"


@dataclass(frozen=True, slots=True, kw_only=True)
class Reference:
    """The length that growth is counted from, over `links` in `basis`, and where it comes from."""

    length_mm: Decimal
    links: int
    basis: Basis
    origin: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Unused:
    """A measured length of unused links of the same chain (at fitting, or kept beyond the stop)."""

    links: int
    basis: Basis
    length_mm: Decimal


@dataclass(frozen=True, slots=True, kw_only=True)
class Allowance:
    """How far the chain may grow over the gauge length, by which rule, from which source."""

    growth_mm: Decimal
    rule: str
    criterion: str
    source: str
    certainty: Certainty


@dataclass(frozen=True, slots=True, kw_only=True)
class ChainVerdict:
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


def inside_length(size: ChainSize, links: int) -> Decimal:
    """Inside length over n links of a taut chain: n pn [mm].

    Each link's inner end bears on its neighbour's, so contact points are one inside length apart.
    Example: 5 x 15 over 11 links is 165 mm.
    """
    return links * size.pn_mm


def outside_length(size: ChainSize, links: int) -> Decimal:
    """Outside length over n links: n pn + 2 dn [mm]. Example: 5 x 15 over 11 links is 175 mm."""
    return inside_length(size, links) + 2 * size.dn_mm


def nominal_length(size: ChainSize, links: int, basis: Basis) -> Decimal:
    """The computed length over n links in the given basis; a gauge is set to the inside length."""
    return outside_length(size, links) if basis is Basis.OUTSIDE else inside_length(size, links)


def _in_basis(length: Decimal, own: Basis, wanted: Basis, size: ChainSize) -> Decimal:
    """Growth is the same inside and outside, so an unworn length changes basis by 2 dn."""
    steps = {Basis.INSIDE: 0, Basis.GAUGE: 0, Basis.OUTSIDE: 2}
    return length + (steps[wanted] - steps[own]) * size.dn_mm


def reference_for(
    size: ChainSize, links: int, basis: Basis, book: BookValue | None = None, unused: Unused | None = None
) -> Reference:
    """The reference length: the maker's book, else a measured unused length, else n pn.

    A book or unused length over another number of links can not serve and is passed over.
    """
    if book is not None and book.length_mm is not None and book.links == links:
        length = _in_basis(book.length_mm, book.basis, basis, size)
        return Reference(length_mm=length, links=links, basis=basis, origin=f"maker's book ({book.document})")
    if unused is not None and unused.links == links:
        length = _in_basis(unused.length_mm, unused.basis, basis, size)
        return Reference(length_mm=length, links=links, basis=basis, origin="measured on unused links")
    return Reference(
        length_mm=nominal_length(size, links, basis),
        links=links,
        basis=basis,
        origin=f"computed from {format_mm(size.dn_mm)} x {format_mm(size.pn_mm)}",
    )


def elongation_rule(rulebook: Rulebook, drive: Drive) -> ElongationRule:
    """The rule that holds for this drive; the loader guarantees one for each."""
    for rule in rulebook.elongation:
        if drive in rule.drives:
            return rule
    raise InputError(f"rulebook {rulebook.name} has no elongation rule for {drive} hoists")


def _by_rule(size: ChainSize, links: int, rule: ElongationRule) -> Allowance:
    return Allowance(
        growth_mm=rule.percent / 100 * inside_length(size, links),
        rule=f"{format_mm(rule.percent)} % of {links} x {format_mm(size.pn_mm)} mm",
        criterion=rule.id,
        source=cite(rule.source),
        certainty=rule.source.certainty,
    )


def allowance_for(
    size: ChainSize,
    reference: Reference,
    rule: ElongationRule,
    book: BookValue | None = None,
    *,
    stricter_rule_governs: bool = False,
) -> Allowance:
    """The allowed growth: up to the book's discard length where there is one, else percent of n pn.

    The percentage is taken of the inside length whether the reading is inside or outside: the same
    growth is a smaller share of the outside length, and this is the stricter reading of the rule.
    A book limit governs unless the shop has chosen that a stricter rule does.
    """
    by_rule = _by_rule(size, reference.links, rule)
    if book is None or book.discard_mm is None or book.links != reference.links:
        return by_rule
    discard = _in_basis(book.discard_mm, book.basis, reference.basis, size)
    by_book = Allowance(
        growth_mm=discard - reference.length_mm,
        rule=f"discard length {format_mm(discard)} mm over {reference.links} links",
        criterion="book-discard-length",
        source=f"{BOOK_SOURCE}: {book.document}",
        certainty=Certainty.PUBLISHED,
    )
    if stricter_rule_governs and by_rule.growth_mm < by_book.growth_mm:
        return by_rule
    return by_book


def instrument_error(instrument: InstrumentType | None, length_mm: Decimal, basis: Basis) -> Decimal:
    """Maximum permissible error at this length; 0 where no instrument is named or a gauge is used."""
    if instrument is None or basis is Basis.GAUGE:
        return Decimal(0)
    for step in instrument.steps:
        if length_mm <= step.up_to_mm:
            extra = instrument.inside_extra_mm if basis is Basis.INSIDE else Decimal(0)
            return step.mpe_mm + extra
    longest = format_mm(instrument.steps[-1].up_to_mm)
    raise InputError(f"{instrument.title} measures up to {longest} mm, not {format_mm(length_mm)} mm")


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
    Raises InputError for a size or length that is not greater than 0, fewer links than 1, or a length
    that the instrument does not reach.
    Example: 5 x 15, 11 links inside, 167.475 mm on a powered hoist is exactly 1.5 %: discard
    (DOE-STD-1090-96 ch. 8: '1.5 percent longer ... replace').
    """
    _check(size, reading)
    reference = reference_for(size, reading.links, reading.basis, book, unused)
    rule = elongation_rule(rulebook, drive)
    allowance = allowance_for(size, reference, rule, book, stricter_rule_governs=stricter_rule_governs)
    growth, guard = None, Decimal(0)
    if reading.basis is not Basis.GAUGE and reading.value_mm is not None:
        growth = reading.value_mm - reference.length_mm
        guard = guard_band(instrument_error(instrument, reading.value_mm, reading.basis))
    judged = _judged(reading, growth, guard, allowance, rulebook)
    return ChainVerdict(
        reading=reading,
        reference=reference,
        allowance=allowance,
        limit_mm=reference.length_mm + allowance.growth_mm,
        growth_mm=growth,
        elongation_pct=_percent(growth, inside_length(size, reading.links)),
        used_pct=_percent(growth, allowance.growth_mm),
        guard_mm=guard,
        finding=_elongation_finding(reading, judged, growth, allowance, rulebook),
    )


def _elongation_finding(
    reading: ChainReading,
    judged: tuple[Verdict, str],
    growth: Decimal | None,
    allowance: Allowance,
    rulebook: Rulebook,
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
    )


def source_line(source: Source) -> str:
    """The citation with its certainty always said, for pages that explain a verdict."""
    return f"{cite(source)} [{source.certainty}]"
