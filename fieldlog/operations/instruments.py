"""The shop's measuring instruments: as recorded, as they stood on a day, and their error tables."""

from datetime import date

from fieldlog.domain.due_dates import calendar_date
from fieldlog.domain.records import Instrument
from fieldlog.domain.rules import InstrumentType, Rulebook
from fieldlog.errors import InputError
from fieldlog.operations.shop import Shop, shop_bodies


def instruments(shop: Shop) -> dict[str, Instrument]:
    """The measuring instruments by name; the last record of a name holds."""
    bodies = shop_bodies(shop, "instruments")
    return {body.name: body for body in bodies if isinstance(body, Instrument)}


def instrument_on(shop: Shop, name: str, day: date) -> Instrument | None:
    """The instrument as it stood on a day: by the last record whose calibration is not later than it.

    Where all are later the last one is given, and `instrument_state` says so; None for an unknown name.
    """
    bodies = shop_bodies(shop, "instruments")
    held = [body for body in bodies if isinstance(body, Instrument) and body.name == name]
    then = [body for body in held if body.calibrated_on is None or body.calibrated_on <= day]
    known = then or held
    return known[-1] if known else None


def instrument_state(instrument: Instrument, day: date) -> str:
    """What the register says of an instrument on a day: in calibration, out of it, or not known."""
    if instrument.calibrated_on is not None and day < instrument.calibrated_on:
        return f"out of calibration: calibrated only on {instrument.calibrated_on.isoformat()}"
    if not instrument.passed:
        return f"failed calibration on {_iso(instrument.calibrated_on)}"
    if instrument.calibrated_on is None or instrument.interval_months is None:
        return "calibration not known"
    until = calendar_date(instrument.calibrated_on, instrument.interval_months)
    if day > until:
        return f"out of calibration since {until.isoformat()}"
    return f"in calibration until {until.isoformat()}"


def _iso(day: date | None) -> str:
    return "an unknown day" if day is None else day.isoformat()


def instrument_type(shop: Shop, name: str, rulebook: Rulebook) -> InstrumentType:
    """The error table for an instrument of the shop, or for a bare type such as caliper-0.05."""
    held = instruments(shop).get(name)
    wanted = held.type if held is not None else name
    for known in rulebook.instruments:
        if known.id == wanted:
            return known
    offered = ", ".join([*instruments(shop), *(known.id for known in rulebook.instruments)])
    raise InputError(f"no instrument {name!r}: choose one of {offered}")
