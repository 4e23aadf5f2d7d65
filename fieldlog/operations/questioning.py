"""Questions about an inspection beside those about each reading: day, references, diameters, hooks, plate.

They are asked and may be confirmed, never a refusal. The bounds are common practice, no source.
"""

from collections.abc import Iterator
from datetime import date
from decimal import Decimal

from fieldlog.domain.gauge_length import Unused
from fieldlog.domain.plausibility import question_reference
from fieldlog.domain.records import ChainSize, DiameterReading, Entry, Hoist, HookReading, LabelPrinted
from fieldlog.errors import InputError
from fieldlog.operations.drafting import InspectionDraft
from fieldlog.operations.entering import read_chain_size, read_mass
from fieldlog.operations.gauging import Gauging
from fieldlog.operations.shop import OpenHoist
from fieldlog.units import format_mass, format_mm

# New wire is near its nominal diameter, and worn wire is discarded long before half of it.
WIRE_LEAST, WIRE_MOST = Decimal("0.5"), Decimal("1.1")
# A hook does not close under load, and is discarded long before it is half as wide again.
THROAT_LEAST, THROAT_MOST = Decimal("0.95"), Decimal("1.5")


def _work_of(entry: Entry) -> tuple[date, str] | None:
    """Day and name of what was done to the hoist; a registration or a printed label is no work on it."""
    day = getattr(entry.body, "done_on", None)
    if isinstance(entry.body, (Hoist, LabelPrinted)) or not isinstance(day, date):
        return None
    return day, entry.body.kind


def question_day(opened: OpenHoist, day: date) -> tuple[str, ...]:
    """A question where the day of an inspection lies before work that is sealed already."""
    done = [_work_of(entry) for entry in opened.history.entries if entry.line not in opened.history.struck]
    last = max((work for work in done if work is not None), default=None)
    if last is None or day >= last[0]:
        return ()
    return (f"{day.isoformat()} lies before the {last[1]} sealed for {last[0].isoformat()}: right day?",)


def question_diameter(reading: DiameterReading, dn_mm: Decimal) -> tuple[str, ...]:
    """A question for each diameter that no wire of this chain can have."""
    return tuple(_wire_questions(reading, dn_mm))


def _wire_questions(reading: DiameterReading, dn_mm: Decimal) -> Iterator[str]:
    for name, value in (("d1", reading.d1_mm), ("d2", reading.d2_mm)):
        if not WIRE_LEAST * dn_mm <= value <= WIRE_MOST * dn_mm:
            yield (
                f"{name} {format_mm(value)} mm on a chain of {format_mm(dn_mm)} mm:"
                " right place, unit and decimal point?"
            )


def question_hook(reading: HookReading, new_mm: Decimal | None) -> tuple[str, ...]:
    """A question where the throat is much narrower than new, or wider than a hook lives to be."""
    now = reading.throat_mm
    if now is None or new_mm is None or THROAT_LEAST * new_mm <= now <= THROAT_MOST * new_mm:
        return ()
    return (
        f"throat {format_mm(now)} mm, as new {format_mm(new_mm)} mm:"
        " measured between the same marks, right unit and decimal point?",
    )


def question_book(opened: OpenHoist, shared: Gauging, is_measured: bool) -> tuple[str, ...]:
    """A question where the reference known for this chain is over another number of links than measured.

    Asked of the maker's book, and of the length at fitting where the book has none; passed over in silence
    the reading would be judged by the computed length alone.
    """
    if not is_measured or shared.problem:
        return ()
    chain = opened.history.chain
    if shared.book is not None and (shared.book.length_mm or shared.book.discard_mm):
        whose, links = "the maker's book gives its figures", shared.book.links
    elif chain is not None and chain.baseline is not None:
        whose, links = "the length at fitting was taken", chain.baseline.links
    else:
        return ()
    if links == shared.links:
        return ()
    return (
        f"{whose} over {links} links, {shared.links} are measured, so it does not count: measure {links}?",
    )


def question_unused(opened: OpenHoist, unused: Unused | None, size: ChainSize) -> tuple[str, ...]:
    """Questions about unused links that were measured: shorter than new ones, or too long for unused."""
    if unused is None:
        return ()
    over = opened.rulebook.reference_over_share
    return question_reference(unused.length_mm, size, unused.links, unused.basis, most_over=over)


def question_plate(opened: OpenHoist, content: InspectionDraft) -> tuple[tuple[str, ...], str]:
    """Questions where rating or chain read today are unlike those registered, or why they can not be read."""
    hoist, questions = opened.hoist, []
    try:
        capacity, chain = plate_seen(content)
    except InputError as error:
        return (), str(error)
    if capacity is not None and capacity != hoist.capacity_kg:
        questions.append(
            f"the plate says {format_mass(capacity)}, registered are {format_mass(hoist.capacity_kg)}:"
            " right hoist, changed plate, or a wrong registration?"
        )
    if chain is not None and (chain.dn_mm, chain.pn_mm) != (hoist.chain.dn_mm, hoist.chain.pn_mm):
        questions.append(
            f"the chain is {_size(chain)}, the nameplate asks for {_size(hoist.chain)}: which is right?"
        )
    return tuple(questions), ""


def plate_seen(content: InspectionDraft) -> tuple[Decimal | None, ChainSize | None]:
    """Rating [kg] and chain size as read today, None where they were not; InputError if not readable."""
    capacity = content.capacity_seen.strip()
    chain = content.chain_seen.strip()
    return (
        read_mass("the rating on the plate")(capacity) if capacity else None,
        read_chain_size(chain) if chain else None,
    )


def _size(size: ChainSize) -> str:
    return f"{format_mm(size.dn_mm)} x {format_mm(size.pn_mm)} mm"
