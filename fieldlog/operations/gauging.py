"""What every chain reading of one inspection shares, and a reading as typed made into a value."""

from collections.abc import Mapping, Sequence
from datetime import date
from decimal import ROUND_CEILING, Decimal

from msgspec import Struct, field

from fieldlog.domain.chain import instrument_error
from fieldlog.domain.criteria import guard_band
from fieldlog.domain.records import Basis, BookValue, ChainReading, ChainSize
from fieldlog.domain.rules import InstrumentType
from fieldlog.errors import InputError
from fieldlog.operations.drafting import InspectionDraft, ReadingDraft
from fieldlog.operations.instruments import instrument_on, instrument_state, instrument_type
from fieldlog.operations.shop import OpenHoist, Shop, book_for_chain, current_size
from fieldlog.units import parse_date, parse_length, parse_whole

MOST_LINKS = 99
MOST_REPEATS = 10


class Gauging(Struct, frozen=True, kw_only=True):
    """What every reading of one inspection shares; read once while typing goes on.

    `last_guards_mm` holds the guard band of last time's instrument by place, where it is known.
    """

    size: ChainSize
    book: BookValue | None
    instrument: InstrumentType | None
    instrument_note: str
    links: int
    basis: Basis
    problem: str
    last_guards_mm: Mapping[str, Decimal] = field(default_factory=dict)


def work_day(content: InspectionDraft, today: date) -> date:
    """The day of the inspection; today while what stands there can not be it."""
    try:
        return min(parse_date(content.done_on, "the day"), today)
    except InputError:
        return today


def _instrument(shop: Shop, opened: OpenHoist, name: str, day: date) -> tuple[InstrumentType | None, str]:
    if not name:
        return None, ""
    found = instrument_type(shop, name, opened.rulebook)
    held = instrument_on(shop, name, day)
    return found, "not in the tool register" if held is None else instrument_state(held, day)


def gauging(shop: Shop, opened: OpenHoist, content: InspectionDraft, day: date) -> Gauging:
    """Links, basis, instrument and book value as they hold for this chain on the day it is measured."""
    links, problem = 0, ""
    instrument: InstrumentType | None = None
    note = ""
    try:
        links = parse_whole(content.links, "the number of links", 1, MOST_LINKS)
        if content.basis is not Basis.GAUGE:
            instrument, note = _instrument(shop, opened, content.instrument.strip(), day)
            if instrument is None:
                problem = "choose the instrument first: its error decides what it can tell"
    except InputError as error:
        problem = str(error)
    return Gauging(
        size=current_size(opened),
        book=book_for_chain(opened),
        instrument=instrument,
        instrument_note=note,
        links=links,
        basis=content.basis,
        problem=problem,
        last_guards_mm=_last_guards(shop, opened),
    )


def _last_guards(shop: Shop, opened: OpenHoist) -> dict[str, Decimal]:
    guards = {}
    for reading in opened.history.last_readings:
        if reading.value_mm is None or not reading.instrument:
            continue
        try:
            kind = instrument_type(shop, reading.instrument, opened.rulebook)
            guards[reading.place] = guard_band(instrument_error(kind, reading.value_mm, reading.basis))
        except InputError:
            continue  # an instrument that nobody knows any more: the present one's doubt stands for it
    return guards


def last_value(opened: OpenHoist, place: str, links: int, basis: Basis) -> Decimal | None:
    """Last time's reading of this chain at this place, taken the same way."""
    for reading in opened.history.last_readings:
        if (reading.place, reading.links, reading.basis) == (place, links, basis):
            return reading.value_mm
    return None


def typed_reading(draft: ReadingDraft, shared: Gauging) -> ChainReading | None:
    """The reading as a value, or None where nothing is typed; InputError for what can not be read."""
    if shared.basis is Basis.GAUGE:
        if draft.touch is None:
            return None
        return ChainReading(
            place=draft.place, links=shared.links, basis=shared.basis, both_ends_touch=draft.touch
        )
    if not draft.text.strip():
        return None
    values = read_repeats(draft.text)
    return ChainReading(
        place=draft.place,
        links=shared.links,
        basis=shared.basis,
        value_mm=mean_of(values),
        typed=draft.text.strip(),
        repeats=values if len(values) > 1 else (),
    )


def read_repeats(text: str) -> tuple[Decimal, ...]:
    """The readings [mm] at one place, one or several with ';' between them, as '165,4; 165,5'.

    InputError for one that can not be read or is not greater than 0, or for more than MOST_REPEATS.
    """
    parts = text.split(";")
    if len(parts) > MOST_REPEATS:
        raise InputError(f"{len(parts)} readings at one place: {MOST_REPEATS} at most")
    values = tuple(parse_length(part, "mm", "the reading").value for part in parts)
    if any(value <= 0 for value in values):
        raise InputError("a reading is greater than 0")
    return values


def mean_of(values: Sequence[Decimal]) -> Decimal:
    """The mean [mm], rounded up at the fourth decimal: a longer chain is the safe side."""
    if len(values) == 1:
        return values[0]
    mean = sum(values, Decimal(0)) / len(values)
    return mean.quantize(Decimal("0.0001"), rounding=ROUND_CEILING).normalize()
