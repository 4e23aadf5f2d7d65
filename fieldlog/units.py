"""The only door between what a person types and a number with a unit.

A small strict grammar reads the text; only numbers and unit names from a fixed table ever reach pint, which
is loaded when a unit other than the base one (mm, kg) is needed and not before. Whatever the grammar does not
cover is refused by name: a wrong length is worse than a question.
"""

import re
from datetime import date
from decimal import ROUND_HALF_EVEN, Context, Decimal, Inexact, InvalidOperation
from functools import lru_cache
from typing import Any, NamedTuple

from msgspec import Struct

from fieldlog.errors import InputError

LONGEST_TEXT = 40
MOST_DECIMALS = 8
LARGEST_VALUE = Decimal(1_000_000)
LARGEST_NUMBER = Decimal(1_000_000_000)
QUOTED = 30

# Wide enough for 40 typed digits times any factor; a result that would have to be rounded is a refusal.
_EXACT = Context(prec=100, traps=[Inexact, InvalidOperation])
_ROUNDED = Context(prec=100, rounding=ROUND_HALF_EVEN)


class Typed(Struct, frozen=True, kw_only=True):
    """A quantity as typed: `text` stripped, `value` in mm or kg, `unit` the one it was read in."""

    text: str
    value: Decimal
    unit: str


class _Unit(NamedTuple):
    """A unit, its name in pint's tables, the decimals it is shown with and what else it may be called."""

    dimension: str
    name: str
    pint_name: str
    decimals: int
    aliases: tuple[str, ...]
    takes_fractions: bool = False


_UNITS = (
    _Unit("length", "mm", "millimeter", 3, ("millimetre", "millimetres", "millimeter", "millimeters")),
    _Unit("length", "cm", "centimeter", 4, ("centimetre", "centimetres", "centimeter", "centimeters")),
    _Unit("length", "m", "meter", 6, ("metre", "metres", "meter", "meters")),
    _Unit("length", "in", "inch", 4, ("in.", "inch", "inches", '"', "''", "″", "”"), takes_fractions=True),
    _Unit("length", "ft", "foot", 5, ("ft.", "foot", "feet", "'", "′", "’"), takes_fractions=True),
    _Unit("mass", "kg", "kilogram", 3, ("kgs", "kilogram", "kilograms")),
    _Unit("mass", "g", "gram", 3, ("gram", "grams")),
    _Unit("mass", "t", "metric_ton", 6, ("tonne", "tonnes", "metric ton", "metric tons")),
    _Unit("mass", "lb", "pound", 3, ("lb.", "lbs", "lbs.", "pound", "pounds")),
    _Unit("mass", "short ton", "short_ton", 6, ("short tons",)),
)
_SPELLINGS = {(unit.dimension, word): unit for unit in _UNITS for word in (unit.name, *unit.aliases)}
_BASES = {"length": _SPELLINGS["length", "mm"], "mass": _SPELLINGS["mass", "kg"]}

_GRAMMAR = re.compile(
    r"""(?: (?P<whole>[0-9]*) (?: (?P<mark>[.,]) (?P<decimals>[0-9]+) )? (?<=[0-9])
          | (?: (?P<count>[0-9]{1,7}) (?:\ +|-) )? (?P<top>[0-9]{1,4}) / (?P<bottom>[0-9]{1,4}) )
        \ * (?P<unit> [^0-9.,/+*^()=\- ] [^0-9+*^()=]* )?""",
    re.VERBOSE,
)
# What the grammar does not match, named by the first pattern found in it.
_FAULTS = tuple(
    (re.compile(pattern), fault)
    for pattern, fault in (
        (r"^[-−–]", "is negative; write a number that is zero or more"),
        (r"^\+", "begins with a plus sign; write the number without it"),
        (r"[0-9] *[eE] *[-+]?[0-9]", "has an exponent; write the number out, as 234.1"),
        (r"[.,][0-9]*[.,]", "has two separators; write one decimal point and nothing else, as 1234.5"),
        (r"/.*/", "has more than one fraction; write one, as 6 1/2 in"),
        (r"[0-9].*[+*^()=]|^[*^()=]", "is a calculation; work it out and write one number with one unit"),
        (r"[.,].*[0-9]/|/[0-9]*[.,]", "mixes a decimal and a fraction; write 6.5 in or 6 1/2 in"),
        (r"[0-9]/(?![0-9])", "has half a fraction; write it whole, as 6 1/2 in"),
        (r"[0-9][^0-9]*[^0-9.,][0-9]", "holds more than one number; write one number with one unit"),
        (r"[0-9][.,](?![0-9])", "has no digit after the separator; write the decimals or leave it out"),
    )
)


def parse_length(text: str, unit: str = "mm", what: str = "length") -> Typed:
    """A length in mm from what was typed; a bare number is in `unit`, the field's own.

    Reads a decimal point or comma (`234.1`, `234,1 mm`), and fractions in inches and feet (`9 7/32 in`,
    `6-1/2"`), exactly: 1 in = 25.4 mm (international yard and pound agreement, 1959), 1 ft = 12 in.
    Units: mm, cm, m, in, ft and their usual spellings. From 0 to 1,000,000 mm, at most 8 decimals.
    Raises InputError with one sentence beginning with `what`.
    """
    return _parse_quantity(text, "length", unit, what)


def parse_mass(text: str, unit: str = "kg", what: str = "load") -> Typed:
    """A mass in kg from what was typed; a bare number is in `unit`, the field's own.

    Units: kg, g, t (1000 kg), lb (0.45359237 kg), short ton (907.18474 kg), exactly (NIST SP 811, app. B).
    A bare 'ton' is refused, as it could be either. From 0 to 1,000,000 kg, at most 8 decimals.
    Raises InputError with one sentence beginning with `what`.
    """
    return _parse_quantity(text, "mass", unit, what)


def parse_decimal(text: str, what: str) -> Decimal:
    """A plain number from 0 to 1,000,000,000, with a decimal point or comma, without unit; or InputError."""
    match, subject = _matched(text, what)
    if match["unit"]:
        raise InputError(f"{subject} has something after the number; write the number alone, as 12.5")
    if match["bottom"]:
        raise InputError(f"{subject} is a fraction; write a decimal number, as 0.5")
    return _plain(_decimal_of(match, subject))


def parse_whole(text: str, what: str, low: int, high: int) -> int:
    """A whole number from `low` to `high`, both included, in the digits 0 to 9 alone. Raises InputError."""
    wanted = f"write a whole number from {low} to {high}"
    stripped = text.strip()
    if not stripped:
        raise InputError(f"{what} is empty; {wanted}")
    if len(stripped) > LONGEST_TEXT or not re.fullmatch("[0-9]+", stripped):
        raise InputError(f"{what} {quoted(stripped)} is not a whole number; {wanted}")
    number = int(stripped)
    if not low <= number <= high:
        raise InputError(f"{what} {quoted(stripped)} is out of range; {wanted}")
    return number


def parse_date(text: str, what: str) -> date:
    """A day written as ISO 8601 does, year-month-day (`2025-04-03`), and no other way. Raises InputError."""
    wanted = "write year-month-day, as 2025-04-03"
    stripped = text.strip()
    if not stripped:
        raise InputError(f"{what} is empty; {wanted}")
    if re.fullmatch(r"[0-9]{1,2}([/. -])[0-9]{1,2}\1[0-9]{2,4}", stripped):
        raise InputError(f"{what} {quoted(stripped)} could be more than one day; {wanted}")
    if not re.fullmatch(r"[0-9]{4}-[0-9]{2}-[0-9]{2}", stripped):
        raise InputError(f"{what} {quoted(stripped)} is not a date; {wanted}")
    try:
        return date.fromisoformat(stripped)
    except ValueError:
        fault = "is not a day of the calendar; check year, month and day"
        raise InputError(f"{what} {quoted(stripped)} {fault}") from None


def format_mm(value: Decimal) -> str:
    """The number alone, as short as it goes, at most 3 decimals (half to even), never an exponent."""
    return _shown(value, 3)


def format_exact(value: Decimal) -> str:
    """The number alone as it was typed: up to 8 decimals whole; one worked out with more is cut to 3."""
    return _shown(value, MOST_DECIMALS if value == round(value, MOST_DECIMALS) else 3)


def format_length(value_mm: Decimal, unit: str = "mm", decimals: int | None = None) -> str:
    """A length in mm shown in `unit` with its name, to at most about a micrometre or so many decimals.

    Halves go to the even digit. Raises InputError for an unknown unit.
    """
    return _format_quantity(value_mm, "length", unit, decimals)


def format_mass(value_kg: Decimal, unit: str = "kg", decimals: int | None = None) -> str:
    """A mass in kg shown in `unit` with its name, to about a gram or so many decimals. Raises InputError."""
    return _format_quantity(value_kg, "mass", unit, decimals)


def unit_named(text: str, dimension: str) -> str:
    """The usual name of a unit of 'length' or 'mass', as 'in' for inches. Raises InputError."""
    return _unit_of(text.strip(), dimension, f"unit {quoted(text)}").name


def quoted(text: str) -> str:
    """At most 30 characters of what was typed, printable ones only, in quotes, for an error sentence."""
    # Cut first, so that 10,000 characters cost no more than 60.
    shown = "".join(char for char in text[: 2 * QUOTED] if char.isprintable())
    cut = len(shown) > QUOTED or len(text) > 2 * QUOTED
    return f"'{shown[: QUOTED - 3]}...'" if cut else f"'{shown}'"


def _parse_quantity(text: str, dimension: str, field_unit: str, what: str) -> Typed:
    match, subject = _matched(text, what)
    unit = _unit_of(match["unit"] or field_unit, dimension, subject)
    if match["bottom"]:
        value = _fraction_of(match, unit, subject)
    else:
        value = _EXACT.multiply(_decimal_of(match, subject), _factor(unit))
    if value > LARGEST_VALUE:
        raise InputError(f"{subject} is too large; write at most {LARGEST_VALUE} {_BASES[dimension].name}")
    return Typed(text=match.string, value=_plain(value), unit=unit.name)


def _matched(text: str, what: str) -> tuple[re.Match[str], str]:
    """The stripped text as the grammar reads it, and the subject of any error sentence about it."""
    stripped = text.strip()
    if not stripped:
        raise InputError(f"{what} is empty; write a number, as 234.1 or 234,1")
    subject = f"{what} {quoted(stripped)}"
    if len(stripped) > LONGEST_TEXT:
        raise InputError(f"{subject} is longer than {LONGEST_TEXT} characters; write one number")
    if any(not char.isascii() and char.isnumeric() for char in stripped):
        raise InputError(f"{subject} has digits other than 0 to 9; write plain digits, and 1/2 for a half")
    if not stripped.isprintable():
        raise InputError(f"{subject} has a character that can not be seen; write it again by hand")
    match = _GRAMMAR.fullmatch(stripped)
    if match:
        return match, subject
    faults = (fault for pattern, fault in _FAULTS if pattern.search(stripped))
    raise InputError(f"{subject} {next(faults, 'is not a number; write digits, as 234.1 or 234,1')}")


def _unit_of(word: str, dimension: str, subject: str) -> _Unit:
    word = " ".join(word.split())
    # Only ASCII is folded: other alphabets have letters whose small form looks like one of ours.
    folded = word.lower() if word.isascii() else word
    # 'T' is a short ton to one reader and a metric one to the next.
    if dimension == "mass" and (word == "T" or folded in ("ton", "tons")):
        either = "a short ton (907.18474 kg) or a metric one (1000 kg)"
        raise InputError(f"{subject} could be {either}; write short ton or t")
    unit = _SPELLINGS.get((dimension, folded))
    if unit is None:
        known = ", ".join(unit.name for unit in _UNITS if unit.dimension == dimension)
        raise InputError(f"{subject} is not in a unit of {dimension}; write it in one of {known}")
    return unit


def _decimal_of(match: re.Match[str], subject: str) -> Decimal:
    whole, decimals = int(match["whole"] or 0), match["decimals"] or ""
    number = Decimal(f"{whole}.{decimals}")
    if number > LARGEST_NUMBER:
        raise InputError(f"{subject} is far too large; check the digits")
    if match["mark"] == "," and len(decimals) == 3 and (whole or not match["whole"]):
        todo = f"write {whole}.{decimals} or {whole or ''}{decimals}"
        raise InputError(f"{subject} could be a decimal or thousands; {todo}")
    if len(decimals) > MOST_DECIMALS:
        raise InputError(f"{subject} has more than {MOST_DECIMALS} decimals; write fewer")
    return number


def _fraction_of(match: re.Match[str], unit: _Unit, subject: str) -> Decimal:
    """The fraction in base units; exact, or refused where its decimals would never end."""
    count, top, bottom = (int(match[part] or 0) for part in ("count", "top", "bottom"))
    if not unit.takes_fractions:
        meant_inches = unit.dimension == "length" and not match["unit"]
        todo = (
            f"{count or ''} {top}/{bottom} in".strip() if meant_inches else f"a decimal number of {unit.name}"
        )
        raise InputError(f"{subject} is a fraction, which is read in inches and feet only; write {todo}")
    if not bottom:
        raise InputError(f"{subject} has a zero below the line of its fraction; write it as 6 1/2 in")
    if not 0 < top < bottom:
        raise InputError(f"{subject} has a fraction that is not between 0 and 1; write it as 6 1/2 in")
    try:
        return _EXACT.divide(_EXACT.multiply(count * bottom + top, _factor(unit)), bottom)
    except Inexact:
        raise InputError(f"{subject} has no exact value in mm; write 64ths or a decimal number") from None


@lru_cache(maxsize=1)
def _registry() -> Any:
    # Loading pint takes longer than a quick command may; see the module's docstring.
    import pint  # noqa: PLC0415

    return pint.UnitRegistry(non_int_type=Decimal)


@lru_cache(maxsize=len(_UNITS))
def _factor(unit: _Unit) -> Decimal:
    """How many base units make one `unit`, exactly."""
    base = _BASES[unit.dimension]
    if unit is base:
        return Decimal(1)
    return Decimal(_registry().convert(Decimal(1), unit.pint_name, base.pint_name)).normalize()


def _format_quantity(value: Decimal, dimension: str, unit: str, decimals: int | None) -> str:
    shown_in = _unit_of(unit, dimension, f"unit {quoted(unit)}")
    most = shown_in.decimals if decimals is None else decimals
    return f"{_shown(_ROUNDED.divide(value, _factor(shown_in)), most)} {shown_in.name}"


def _shown(value: Decimal, decimals: int) -> str:
    return f"{_plain(value.quantize(Decimal(1).scaleb(-decimals), context=_ROUNDED)):f}"


def _plain(value: Decimal) -> Decimal:
    """The same number whose text has no exponent, no trailing zero and no minus before zero."""
    return Decimal(f"{value.normalize(_ROUNDED) or Decimal(0):f}")
