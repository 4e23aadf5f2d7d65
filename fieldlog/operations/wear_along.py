"""The wear along a hoist's chain, place by place, at the last measured inspection and the one before it."""

from collections import Counter
from datetime import date
from decimal import Decimal

from msgspec import Struct

from fieldlog.domain.corrections import day_of_work
from fieldlog.domain.criteria import Finding, Verdict
from fieldlog.domain.history import ChainLife
from fieldlog.domain.records import Basis, ChainReading, Inspection
from fieldlog.operations.reporting_chain import paired, used_percent
from fieldlog.operations.reporting_words import fitted_entry
from fieldlog.operations.shop import OpenHoist, Shop, open_hoist
from fieldlog.units import format_mm


class Wear(Struct, frozen=True, kw_only=True):
    """Growth over one gauge length [mm] and its share of what is allowed [percent], on a day."""

    day: date
    growth_mm: Decimal
    allowed_mm: Decimal
    used_pct: Decimal


class PlaceWear(Struct, frozen=True, kw_only=True):
    """One place of the working length: `wear` is None where no length was read, and `words` say what was.

    `before` is the same place at the inspection before, None where it was not measured there.
    """

    place: str
    wear: Wear | None
    verdict: Verdict | None
    words: str = ""
    before: Wear | None = None


class WearAlong(Struct, frozen=True, kw_only=True):
    """The places in the order in which they were read, and what they say in a sentence or two.

    Without places, `sentence` says why there is nothing to draw.
    """

    sentence: str
    places: tuple[PlaceWear, ...] = ()


def on_this_chain(opened: OpenHoist) -> list[Inspection]:
    """The inspections since this chain hangs there; on the day of fitting, those sealed after it."""
    fitted = fitted_entry(opened)
    since = (date.min, 0) if fitted is None else (day_of_work(fitted), fitted.number)
    return [body for entry, body in opened.history.inspections if (body.done_on, entry.number) > since]


def wear_along(shop: Shop, hoist_id: str) -> WearAlong:
    """The last measured inspection of the chain that hangs there now; struck records are left out.

    NotFoundError for a hoist that is not there.
    """
    opened = open_hoist(shop, hoist_id)
    measured = [body for body in on_this_chain(opened) if body.readings]
    if not measured:
        return WearAlong(sentence=_nothing(opened.history.chain))
    last = measured[-1]
    earlier = {} if len(measured) == 1 else _by_place(measured[-2])
    places = tuple(
        PlaceWear(
            place=reading.place,
            wear=_wear(last, found),
            verdict=None if found is None else found.verdict,
            words=_gauged(reading),
            before=earlier.get(key),
        )
        for key, reading, found in _keyed(last)
    )
    before = None if len(measured) == 1 else measured[-2]
    return WearAlong(sentence=_sentence(last, before, places), places=places)


def _nothing(chain: ChainLife | None) -> str:
    if chain is None:
        return "Nothing to draw: no chain is recorded."
    return f"Nothing to draw yet: this chain was not measured since {chain.fitted_on.isoformat()}."


def _keyed(body: Inspection) -> list[tuple[tuple[str, int], ChainReading, Finding | None]]:
    """Readings with a key that names the place, also where a place was read twice."""
    seen: Counter[str] = Counter()
    keyed = []
    for reading, found in paired(body):
        name = " ".join(reading.place.lower().split())
        keyed.append(((name, seen[name]), reading, found))
        seen[name] += 1
    return keyed


def _by_place(body: Inspection) -> dict[tuple[str, int], Wear]:
    found = {key: _wear(body, finding) for key, _, finding in _keyed(body)}
    return {key: wear for key, wear in found.items() if wear is not None}


def _wear(body: Inspection, found: Finding | None) -> Wear | None:
    used = None if found is None else used_percent(found)
    if found is None or used is None or found.value is None or found.limit is None:
        return None
    return Wear(day=body.done_on, growth_mm=found.value, allowed_mm=found.limit, used_pct=used)


def _gauged(reading: ChainReading) -> str:
    if reading.basis is not Basis.GAUGE:
        return ""
    return "gauge: both ends touch" if reading.both_ends_touch else "gauge: gap"


def _sentence(last: Inspection, before: Inspection | None, places: tuple[PlaceWear, ...]) -> str:
    when = f"On {last.done_on.isoformat()} ({last.occasion})"
    known = [(place.place, place.wear) for place in places if place.wear is not None]
    if not known:
        return f"{when}: read without a length, so there is no bar to draw."
    name, worst = max(known, key=lambda pair: pair[1].used_pct)
    of = f"{format_mm(worst.growth_mm)} of {format_mm(worst.allowed_mm)} mm"
    text = f"{when} worst at {name}: grown {of}, {worst.used_pct:.0f} %."
    if before is None:
        return f"{text} It was not measured before."
    return f"{text} {_before(before)}"


def _before(body: Inspection) -> str:
    found = [wear.used_pct for wear in _by_place(body).values()]
    worst = f" (worst {max(found):.0f} %)" if found else " (no length read)"
    return f"Last time: {body.done_on.isoformat()}{worst}."
