"""Readings that are not plausible are questioned: never silently taken, never silently dropped.

The bounds are common practice, no source.
"""

from collections.abc import Sequence
from decimal import Decimal

from fieldlog.domain.chain import Reference, inside_length, nominal_length
from fieldlog.domain.records import Basis, ChainSize
from fieldlog.units import format_mm

LOWEST_RATIO = Decimal("0.98")
HIGHEST_RATIO = Decimal("1.06")
INCH = Decimal("25.4")
NEAR = Decimal("0.06")
REFERENCE_MOST_OVER = Decimal("0.005")


def _near(ratio: Decimal, target: Decimal) -> bool:
    return abs(ratio / target - 1) <= NEAR


def _miscounted(value: Decimal, reference: Reference, size: ChainSize) -> int | None:
    """The number of links this length looks like, where that is one or two off the number stated."""
    for off in (1, -1, 2, -2):
        links = reference.links + off
        if links < 1:
            continue
        expected = reference.length_mm + off * size.pn_mm
        if abs(value - expected) <= size.pn_mm / 4:
            return links
    return None


def question_reading(
    value: Decimal,
    reference: Reference,
    size: ChainSize,
    *,
    last_mm: Decimal | None = None,
    doubt_mm: Decimal = Decimal(0),
) -> tuple[str, ...]:
    """Questions about one gauge length [mm] against its reference; an empty tuple if it is plausible.

    `last_mm` is the last reading of the same chain at this place, `doubt_mm` the doubt of both.
    """
    questions = _slip(value, reference, size)
    if not questions and last_mm is not None and value < last_mm - doubt_mm:
        questions = (
            f"shorter than last time ({format_mm(last_mm)} mm): was the chain changed, or is it the tool?",
        )
    return questions


def _slip(value: Decimal, reference: Reference, size: ChainSize) -> tuple[str, ...]:
    ratio = value / reference.length_mm
    counted = _miscounted(value, reference, size)
    new = format_mm(reference.length_mm)
    question = ""
    if counted is not None:
        question = f"looks like {counted} links, not {reference.links}: count again"
    elif _near(ratio, 1 / INCH):
        question = "looks like inches typed as millimetres: add 'in'"
    elif _near(ratio, INCH):
        question = "looks like millimetres typed as inches: add 'mm'"
    elif _near(ratio, Decimal(10)) or _near(ratio, Decimal("0.1")):
        question = "decimal point slipped?"
    elif LOWEST_RATIO <= ratio < 1:
        question = f"shorter than new ({new} mm): right chain, taut, all links?"
    elif not LOWEST_RATIO <= ratio <= HIGHEST_RATIO:
        share = (ratio * 100).quantize(Decimal(1))
        question = f"{share} % of the reference {new} mm: measured over {reference.links} links?"
    return (question,) if question else ()


def question_all(values: Sequence[Decimal]) -> tuple[str, ...]:
    """Questions about the readings together: three or more that are all the same."""
    if len(values) >= 3 and len(set(values)) == 1:
        return (f"all {len(values)} readings are the same: were they taken at different places?",)
    return ()


def question_reference(
    length_mm: Decimal,
    size: ChainSize,
    links: int,
    basis: Basis,
    *,
    most_over: Decimal = REFERENCE_MOST_OVER,
) -> tuple[str, ...]:
    """Questions about a measured or book reference: shorter than n links new, or too far over them.

    `most_over` is a share of n pn, inside and outside alike: the same growth is a smaller share of the
    outside length, and this is the stricter reading.
    """
    nominal = nominal_length(size, links, basis)
    measured = f"a reference of {format_mm(length_mm)} mm"
    new = f"{links} new links ({format_mm(nominal)} mm)"
    if length_mm < nominal:
        return (f"{measured} is shorter than {new}: right chain, taut, all links?",)
    if length_mm > nominal + most_over * inside_length(size, links):
        percent = format_mm(most_over * 100)
        return (f"{measured} is over {percent} % longer than {new}: worn links, or another chain?",)
    return ()
