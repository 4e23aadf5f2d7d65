"""Load spectrum and the used share of a powered hoist's design life."""

from collections.abc import Sequence
from decimal import Decimal

from msgspec import Struct

from fieldlog.domain.rules import MechanismGroup, SpectrumClass
from fieldlog.errors import InputError
from fieldlog.units import format_mm

# Shares typed to three decimals may fall short of 1 by as much: three parts of 0.333 are thirds.
SHARES_OFF_BY = Decimal("0.001")


class LoadPart(Struct, frozen=True, kw_only=True):
    """A part of the work: load as a share of the rated load, time as a share of the running time."""

    load_share: Decimal
    time_share: Decimal


class Use(Struct, frozen=True, kw_only=True):
    """Running hours of a period, their load spectrum factor km, and the factor f by how they are known."""

    hours: Decimal
    km: Decimal
    factor: Decimal


class LifeShare(Struct, frozen=True, kw_only=True):
    """Used and designed full-load hours; `remaining_h` is negative where more than all is used."""

    used_h: Decimal
    design_h: Decimal
    share_pct: Decimal
    remaining_h: Decimal


def spectrum_factor(parts: Sequence[LoadPart]) -> Decimal:
    """Load spectrum factor km = sum of (t/T) (P/Pmax)^3 [-], from 0 to 1.

    Each part gives the share t/T of the running time at the share P/Pmax of the rated load; time without
    load counts too, with a load share of 0, so the time shares add up to 1 (to 0.001; km is taken over
    their sum). Valid for hoisting mechanisms.
    Raises InputError for no parts, a share outside 0 to 1, or time shares that do not add up.
    Source: ISO 4301-1:1986 and FEM 9.755:06.1993 (from memory).
    Example: half the rated load all the time is 0.125, the bound of the lightest class, whose cubic
    mean FEM 9.511 gives as 0.5 (published).
    """
    if not parts:
        raise InputError("a load spectrum has at least one part")
    for part in parts:
        _within(part.load_share, "a load share", Decimal(1))
        _within(part.time_share, "a time share", Decimal(1))
    total = sum((part.time_share for part in parts), Decimal(0))
    if abs(total - 1) > SHARES_OFF_BY:
        raise InputError(f"the time shares add up to {format_mm(total)}, not 1: is a part missing?")
    return sum((part.time_share * part.load_share**3 for part in parts), Decimal(0)) / total


def spectrum_class(km: Decimal, classes: Sequence[SpectrumClass]) -> SpectrumClass:
    """The lightest class whose load spectrum factor, its upper bound included, holds `km`.

    Bounds 0.125, 0.25, 0.5 and 1. The cubic means 0.63 and 0.8 printed beside them are rounded: a load
    share of 0.8 all the time is 0.512 and falls in the class above, which is the safe side.
    Raises InputError for km outside 0 to 1.
    Example: 0.25 is the second class, 0.251 the third.
    Source: ISO 4301-1:1986, FEM 9.755 (from memory); FEM 9.511 for the cubic means (published).
    """
    _within(km, "km", Decimal(1))
    fitting = [entry for entry in classes if km <= entry.km_up_to]
    if not fitting:
        raise InputError(f"no class of load spectrum holds km {format_mm(km)}")
    return min(fitting, key=lambda entry: entry.km_up_to)


def find_group(name: str, groups: Sequence[MechanismGroup]) -> MechanismGroup:
    """The group of mechanism by its ISO or its FEM name, as M4 or 1Am; InputError names those known."""
    wanted = name.strip().lower()
    for group in groups:
        if wanted in (group.id.lower(), group.fem.lower()):
            return group
    known = ", ".join(f"{group.id} ({group.fem})" for group in groups)
    raise InputError(f"'{name.strip()[:20]}' is not a group of mechanism: one of {known}")


def life_share(uses: Sequence[Use], group: MechanismGroup) -> LifeShare:
    """Used share of the design life: S = sum of km T f [full-load hours], share = S / D.

    T running hours, km load spectrum factor, f by how the hours are known (1.0 counted, up to 1.5 unknown
    history); D full-load hours of the group; what remains is D - S. For powered hoists. At a share of 1
    the hoist goes out of service until an expert's conditions are recorded.
    Raises InputError for hours under 0, km outside 0 to 1 or f outside 1 to 1.5.
    Source: S and D FEM 9.755:06.1993 (from memory); f ISO 12482:2014, table 1 (published); the duty to
    find the share DGUV Vorschrift 54, 23(4), and to stop at its end 35a (published).
    Example: group 1Bm has 400 h (from memory), 3200 h in a light spectrum of 0.125 with counted hours
    use all of them, as the class table of FEM has it (V1, L1: 1Bm; published).
    """
    for use in uses:
        _within(use.hours, "running hours", None)
        _within(use.km, "km", Decimal(1))
        _within(use.factor, "the factor f", Decimal("1.5"), lowest=Decimal(1))
    used = sum((use.km * use.hours * use.factor for use in uses), Decimal(0))
    design = group.full_load_hours
    return LifeShare(used_h=used, design_h=design, share_pct=used / design * 100, remaining_h=design - used)


def is_used_up(share: LifeShare) -> bool:
    """Whether all of the design life is used; at the end itself it is."""
    return share.remaining_h <= 0


def _within(value: Decimal, what: str, highest: Decimal | None, lowest: Decimal = Decimal(0)) -> None:
    if value.is_finite() and lowest <= value and (highest is None or value <= highest):
        return
    span = f"{lowest} or more" if highest is None else f"from {lowest} to {highest}"
    shown = format_mm(value) if value.is_finite() else value
    raise InputError(f"{what} is {span}, not {shown}")
