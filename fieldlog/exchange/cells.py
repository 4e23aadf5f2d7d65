"""One cell of a foreign table, written as the registration form takes it: units, dates, words, sizes."""

import re
from collections.abc import Mapping
from datetime import date
from decimal import Decimal, InvalidOperation

from msgspec import Struct, field

from fieldlog.errors import InputError
from fieldlog.exchange.headings import UNITS, words_of
from fieldlog.units import quoted

TEXTS = (
    *("id", "maker", "model", "serial", "grade", "book_document", "group", "site", "place", "rulebook"),
    *("last_place", "last_source"),
)
WHOLE = ("year", "falls", "book_links", "last_links")
DATES = ("registered_on", "last_day")
YES_NO = ("limit_switches", "container", "overload_device", "trolley", "lifts_persons")
CHOICE = {
    "drive": "drive",
    "service": "service",
    "book_basis": "basis",
    "last_basis": "basis",
    "last_kind": "last_kind",
}
# Without a unit, another one is more likely than so light a hoist or so high a lift (common practice).
LIGHTEST_BARE_KG, HIGHEST_BARE_M = Decimal(25), Decimal(200)
_NOTHING = frozenset({"-", "–", "—", "n/a", "na", "k.a.", "?", "unknown", "unbekannt"})
_NUMBER_UNIT = re.compile(r"(?P<number>[0-9][0-9.,/ \-]*?)\s*(?P<unit>[a-zA-Z]{1,8})?\.?")
_DAY = re.compile(r"(?P<a>[0-9]{1,4})(?P<sep>[./-])(?P<b>[0-9]{1,2})(?P=sep)(?P<c>[0-9]{4}|[0-9]{2})")
_MIDNIGHT = re.compile(r"[T ]00:00(?::00(?:\.0+)?)?Z?$")
_THOUSANDS = re.compile(r"[0-9]{1,3}(?:[.,][0-9]{3})+")
_SERIAL_DAY = re.compile(r"[1-6][0-9]{4}")


class Manner(Struct, frozen=True, kw_only=True):
    """How this file writes things: order of dates, words of its own, and whether its decimals are commas."""

    dates: str = "iso"
    words: Mapping[str, Mapping[str, str]] = field(default_factory=dict)
    comma_decimals: bool = False


def take_cell(name: str, text: str, unit: str, manner: Manner) -> str:
    """The text as the form's field takes it; empty for a cell that says nothing.

    InputError says what is wrong with it and what to do.
    """
    stripped = " ".join(text.replace("\u00a0", " ").split())
    if name in TEXTS:
        return text.strip()
    if name in YES_NO and stripped:
        return _word(stripped, "yes_no", manner)
    if not stripped or stripped.casefold() in _NOTHING:
        return ""
    return _plainly(name, stripped, unit, manner)


def _plainly(name: str, text: str, unit: str, manner: Manner) -> str:
    if name in CHOICE:
        return _word(text, CHOICE[name], manner)
    if name in DATES:
        return _day(text, manner.dates)
    if name in WHOLE:
        return _whole(name, text)
    return _chain(text) if name == "chain" else _quantity(name, text, unit, manner)


def _word(text: str, choice: str, manner: Manner) -> str:
    known = {**words_of(choice), **manner.words.get(choice, {})}
    found = known.get(text.casefold())
    if found is None:
        meanings = ", ".join(dict.fromkeys(known.values()))
        raise InputError(f"{quoted(text)} is none of {meanings}; write one, or map it under [words.{choice}]")
    return found


def _quantity(name: str, text: str, unit: str, manner: Manner) -> str:
    """A number with the unit of its cell, else of its heading; the form's own where there is none."""
    match = _NUMBER_UNIT.fullmatch(text)
    if match is None:
        return text
    number = match["number"].strip()
    own = match["unit"] or ""
    if name in ("capacity", "lift"):
        number = _one_meaning(number, text, manner)
    unit = UNITS.get(own.casefold(), own) if own else unit
    if not unit:
        _check_bare(name, number)
    return f"{number} {unit}".strip()


def _one_meaning(number: str, text: str, manner: Manner) -> str:
    """1.000 is one to some and a thousand to others; which one shows only in how the file writes decimals."""
    if not _THOUSANDS.fullmatch(number) or number.startswith("0"):
        return number
    separators = {char for char in number if not char.isdigit()}
    if separators == {"."} and number.count(".") == 1 and not manner.comma_decimals:
        return number
    todo = f"write {re.sub('[.,]', '', number)} or, for a decimal, {number.replace(',', '.')}0"
    raise InputError(f"{quoted(text)} could be thousands or decimals; {todo}")


def _check_bare(name: str, number: str) -> None:
    try:
        value = Decimal(number.replace(",", "."))
    except InvalidOperation:
        return
    if name == "capacity" and value < LIGHTEST_BARE_KG:
        raise InputError(f"{number} kg is little for a hoist; write the unit, as {number} t")
    if name == "lift" and value > HIGHEST_BARE_M:
        raise InputError(f"{number} m is very high; write the unit, as {number} mm")


def _whole(name: str, text: str) -> str:
    """'2/1' and '2 falls' are two falls; a spreadsheet may write 2019.0 or 2019,0."""
    plain = re.sub(r"[.,]0+$", "", text)
    if name == "falls":
        plain = re.sub(
            r"/1$|[\s-]*(?:falls?|parts?|strang|stränge|straenge|strängig|brins?)$", "", plain.casefold()
        )
    return plain.strip()


def _chain(text: str) -> str:
    plain = re.sub(r"(?i)\s*(?:mm)\b", "", text)
    plain = re.sub(r"(?i)(?:ø|⌀|dn|pn|dia\.?)\s*", "", plain)
    return re.sub(r"\s*[*×xX]\s*", "x", plain).strip()


def _day(text: str, order: str) -> str:
    """An ISO day; another order only where it was stated."""
    plain = _MIDNIGHT.sub("", text)
    if _SERIAL_DAY.fullmatch(plain):
        raise InputError(
            f"{quoted(text)} is a spreadsheet's own count of days; format the column as year-month-day"
        )
    match = _DAY.fullmatch(plain)
    if match is None or len(match["a"]) > 2:
        return plain
    if order == "iso":
        raise InputError(
            f"{quoted(text)} could be more than one day; write it as 2025-04-03, or say --dates dmy or mdy"
        )
    day, month = (match["a"], match["b"]) if order == "dmy" else (match["b"], match["a"])
    year = int(match["c"]) + (2000 if len(match["c"]) == 2 else 0)
    try:
        return date(year, int(month), int(day)).isoformat()
    except ValueError:
        raise InputError(f"{quoted(text)} is not a day, read as {order}; check it, or --dates") from None
