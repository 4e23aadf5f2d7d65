"""The gauge length over n links of load chain: geometry, reference when unworn, and how far it may grow."""

from decimal import Decimal

from msgspec import Struct

from fieldlog.domain.criteria import Certainty, cite
from fieldlog.domain.records import Basis, BookValue, ChainSize, Drive
from fieldlog.domain.rules import ElongationRule, Rulebook
from fieldlog.errors import InputError
from fieldlog.units import format_mm

BOOK_SOURCE = "the hoist maker's book, as entered"


class Reference(Struct, frozen=True, kw_only=True):
    """The length that growth is counted from, over `links` in `basis`, and where it comes from."""

    length_mm: Decimal
    links: int
    basis: Basis
    origin: str


class Unused(Struct, frozen=True, kw_only=True):
    """A measured length of unused links of the same chain (at fitting, or kept beyond the stop)."""

    links: int
    basis: Basis
    length_mm: Decimal


class Allowance(Struct, frozen=True, kw_only=True):
    """How far the chain may grow over the gauge length, by which rule, from which source."""

    growth_mm: Decimal
    rule: str
    criterion: str
    source: str
    certainty: Certainty


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


def unused_for(links: int, *measured: Unused | None) -> Unused | None:
    """The measured unused length over this number of links; of several the shortest, the stricter side.

    They are the length at fitting and the links kept beyond the stop; a reference that is shorter shows
    more growth. Those over other numbers of links are passed over.
    """
    fitting = [length for length in measured if length is not None and length.links == links]
    return min(fitting, key=_inner, default=None)


def _inner(length: Unused) -> tuple[bool, Decimal]:
    # Two lengths of one basis compare as they are; of both bases the inside one is taken, the stricter by
    # nothing but the plainer, as 2 dn may differ by the wear of the end links.
    return length.basis is Basis.OUTSIDE, length.length_mm


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
