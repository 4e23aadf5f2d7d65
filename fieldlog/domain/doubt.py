"""What an instrument can not tell: its error at a length, and the guard band that follows from it."""

from collections.abc import Sequence
from decimal import Decimal

from fieldlog.domain.criteria import guard_band
from fieldlog.domain.records import Basis
from fieldlog.domain.rules import InstrumentType
from fieldlog.errors import InputError
from fieldlog.units import format_mm


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


def guard_of(
    instrument: InstrumentType | None, length_mm: Decimal, basis: Basis, repeats: Sequence[Decimal] = ()
) -> Decimal:
    """The guard band [mm] of a length read with this instrument, once or several times; see guard_band."""
    return guard_band(instrument_error(instrument, length_mm, basis), repeats)


def guard_step(mpe_mm: Decimal, guard_mm: Decimal, repeats: Sequence[Decimal] = ()) -> str:
    """How the guard band comes about, with the numbers filled in; empty where there is none."""
    if not guard_mm:
        return ""
    error = f"{mpe_mm.normalize():f}"
    shown = f"{guard_mm.normalize():f} mm"
    if len(repeats) > 1:
        return f"guard 1.645 x sqrt({error}^2 / 3 + s^2 / n) = {shown}, s and n of {len(repeats)} readings"
    return f"guard 1.645 x {error} / sqrt 3 = {shown}"
