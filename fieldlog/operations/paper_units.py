"""The units that a shop's paper speaks in: a converted value, and beside it always the one in the record.

Converted is in `units.py` alone. A length is shown to 0.0001 in, a long one to 0.01 ft, a mass to 0.1 lb,
halves to the even digit; what stands in brackets behind it is the record and governs.
"""

from collections.abc import Callable
from decimal import Decimal

from msgspec import Struct

from fieldlog.domain.records import ChainSize, ShopSettings
from fieldlog.errors import InputError
from fieldlog.units import format_exact, format_length, format_mass, format_mm, unit_named

LENGTH_UNITS, MASS_UNITS = ("mm", "in"), ("kg", "lb")
INCH_DECIMALS, FOOT_DECIMALS, POUND_DECIMALS = 4, 2, 1
THE_RECORD_GOVERNS = (
    "Inches are rounded to 0.0001, feet to 0.01 and pounds to 0.1 (1 in is 25.4 mm, 1 lb is 0.45359237 kg);"
    " the value in brackets is the one that was recorded, and it governs."
)


class PaperUnits(Struct, frozen=True, kw_only=True):
    """What paper speaks in: 'mm' or 'in', 'kg' or 'lb'."""

    length: str = "mm"
    mass: str = "kg"


METRIC = PaperUnits()


def units_of(settings: ShopSettings | None) -> PaperUnits:
    """The units that a shop chose."""
    if settings is None:
        return METRIC
    return PaperUnits(length=settings.length_unit, mass=settings.mass_unit)


def read_unit(what: str, dimension: str, choices: tuple[str, ...]) -> Callable[[str], str]:
    """A reader for one of a few units of 'length' or 'mass' by any of its usual names; or InputError."""

    def read(text: str) -> str:
        name = unit_named(text, dimension)
        if name not in choices:
            raise InputError(f"{what} is one of {', '.join(choices)}, not {name}")
        return name

    return read


def shop_length(value_mm: Decimal | None, units: PaperUnits = METRIC) -> str:
    """'167.475 mm' or '6.5935 in (167.475 mm)'; an empty text for None."""
    if value_mm is None:
        return ""
    if units.length == "mm":
        return f"{format_mm(value_mm)} mm"
    return f"{format_length(value_mm, units.length, INCH_DECIMALS)} ({format_exact(value_mm)} mm)"


def shop_lengths(values_mm: tuple[Decimal, ...], units: PaperUnits = METRIC) -> str:
    """Several lengths: '165.1, 165.3 mm', or each converted beside its own."""
    if units.length == "mm":
        return f"{', '.join(map(format_mm, values_mm))} mm"
    return ", ".join(shop_length(value, units) for value in values_mm)


def shop_long_length(value_mm: Decimal | None, units: PaperUnits = METRIC, record: str = "mm") -> str:
    """A lift or a chain's whole length, in feet where the shop speaks in inches: '41.01 ft (12.5 m)'.

    `record` is the unit that the record's own value is told in, 'mm' or 'm'.
    """
    if value_mm is None:
        return ""
    own = f"{format_mm(value_mm)} mm" if record == "mm" else format_length(value_mm, record)
    if units.length == "mm":
        return own
    exact = f"{format_exact(value_mm)} mm" if record == "mm" else own
    return f"{format_length(value_mm, 'ft', FOOT_DECIMALS)} ({exact})"


def shop_mass(value_kg: Decimal | None, units: PaperUnits = METRIC) -> str:
    """'500 kg' or '1102.3 lb (500 kg)'; an empty text for None."""
    if value_kg is None:
        return ""
    if units.mass == "kg":
        return format_mass(value_kg)
    return f"{format_mass(value_kg, units.mass, POUND_DECIMALS)} ({format_exact(value_kg)} kg)"


def shop_chain(size: ChainSize, units: PaperUnits = METRIC) -> str:
    """Size and grade of a chain: '5 x 15 mm, T' or '0.1969 x 0.5906 in (5 x 15 mm), T'."""
    words = f"{format_mm(size.dn_mm)} x {format_mm(size.pn_mm)} mm"
    if units.length != "mm":
        pitch = format_length(size.pn_mm, units.length, INCH_DECIMALS)
        wire = format_length(size.dn_mm, units.length, INCH_DECIMALS).removesuffix(f" {units.length}")
        words = f"{wire} x {pitch} ({format_exact(size.dn_mm)} x {format_exact(size.pn_mm)} mm)"
    return f"{words}, {size.grade}" if size.grade else words


def figure_cell(value_mm: Decimal | None, units: PaperUnits = METRIC) -> str:
    """A length for a column whose heading names the unit; a converted one has its record on a line below."""
    if value_mm is None:
        return ""
    if units.length == "mm":
        return format_mm(value_mm)
    shown = format_length(value_mm, units.length, INCH_DECIMALS).removesuffix(f" {units.length}")
    return f"{shown}\n({format_exact(value_mm)})"


def stacked(text: str) -> str:
    """A converted value for a narrow column: the recorded one stands whole on the line below."""
    return text.replace(" (", "\n(")


def figure_unit(units: PaperUnits = METRIC) -> str:
    """What such a column's heading names: 'mm' or 'in (mm)'."""
    return "mm" if units.length == "mm" else f"{units.length} (mm)"
