"""The mapping file: what the columns of one shop's spreadsheet mean, where the names are unusual.

dates = "dmy"                       # how days are written, else ISO
ignore = ["Telefon"]                # read over without a note

[columns]                           # heading in the file = field
"Kran Nr." = "serial"
"Max." = { field = "capacity", unit = "t" }

[constants]                         # for every row that leaves the field empty
site = "intake hall"

[words.drive]                       # word in the file = what it means here
"Kettenzug 400 V" = "electric"
"""

import tomllib
from collections.abc import Mapping
from typing import Any

from msgspec import Struct, field

from fieldlog.errors import IncompleteError, InputError, Problem
from fieldlog.exchange.headings import UNITS, field_names, simple, words_of

DATE_ORDERS = ("iso", "dmy", "mdy")
CHOICES = ("drive", "service", "yes_no", "basis", "last_kind")


class Mapped(Struct, frozen=True, kw_only=True):
    """What a heading stands for by the mapping file."""

    field: str
    unit: str = ""


class ColumnMap(Struct, frozen=True, kw_only=True):
    """A mapping file as read; headings are simplified, words in small letters."""

    columns: Mapping[str, Mapped] = field(default_factory=dict)
    constants: Mapping[str, str] = field(default_factory=dict)
    words: Mapping[str, Mapping[str, str]] = field(default_factory=dict)
    ignore: frozenset[str] = frozenset()
    dates: str = ""


def read_map(text: str, source: str) -> ColumnMap:
    """The mapping that this TOML text states; IncompleteError lists all that is wrong with it."""
    try:
        data = tomllib.loads(text)
    except (tomllib.TOMLDecodeError, RecursionError) as fault:
        raise InputError(f"the mapping file {source} is not TOML: {fault}") from None
    problems: list[Problem] = []

    def wrong(key: str, what: str, todo: str = "") -> None:
        problems.append(Problem(place=f"{source}: {key}", wrong=what, todo=todo))

    known = ("columns", "constants", "words", "ignore", "dates")
    for key in data:
        if key not in known:
            wrong(key, "this key is not known.", f"Known: {', '.join(known)}.")
    columns = {
        simple(heading): _mapped(heading, value, wrong)
        for heading, value in _table(data, "columns", wrong).items()
    }
    mapping = ColumnMap(
        columns=columns,
        constants=_constants(_table(data, "constants", wrong), wrong),
        words=_words(_table(data, "words", wrong), wrong),
        ignore=_ignored(data.get("ignore", []), wrong),
        dates=_dates(data.get("dates", ""), wrong),
    )
    if problems:
        raise IncompleteError("the mapping file can not be used", problems)
    return mapping


def _table(data: Mapping[str, Any], key: str, wrong: Any) -> Mapping[str, Any]:
    found = data.get(key, {})
    if isinstance(found, dict):
        return found
    wrong(key, "this is a table of its own.", f"Write [{key}] above its lines.")
    return {}


def _field(key: str, name: object, wrong: Any) -> str:
    if isinstance(name, str) and name in field_names():
        return name
    wrong(key, f"there is no field {str(name)[:40]!r}.", f"Fields: {', '.join(sorted(field_names()))}.")
    return ""


def _mapped(heading: str, value: object, wrong: Any) -> Mapped:
    key = f"columns.{heading}"
    if not isinstance(value, dict):
        return Mapped(field=_field(key, value, wrong))
    unit = value.get("unit", "")
    if unit and (not isinstance(unit, str) or unit.casefold() not in UNITS):
        wrong(
            key, f"there is no unit {str(unit)[:20]!r}.", f"Units: {', '.join(sorted(set(UNITS.values())))}."
        )
        unit = ""
    return Mapped(field=_field(key, value.get("field"), wrong), unit=UNITS[unit.casefold()] if unit else "")


def _constants(table: Mapping[str, Any], wrong: Any) -> Mapping[str, str]:
    found = {}
    for name, value in table.items():
        key = f"constants.{name}"
        if isinstance(value, str) and value.strip():
            found[_field(key, name, wrong)] = value.strip()
        else:
            wrong(key, "a constant is a text in quotes.")
    return found


def _words(table: Mapping[str, Any], wrong: Any) -> Mapping[str, Mapping[str, str]]:
    found: dict[str, dict[str, str]] = {}
    for choice, words in table.items():
        if choice not in CHOICES or not isinstance(words, dict):
            wrong(f"words.{choice}", "there is no such choice.", f"Choices: {', '.join(CHOICES)}.")
            continue
        meanings = set(words_of(choice).values())
        for word, meaning in words.items():
            if meaning in meanings:
                found.setdefault(choice, {})[word.casefold()] = str(meaning)
            else:
                todo = f"One of: {', '.join(sorted(meanings))}."
                wrong(f"words.{choice}.{word}", f"{str(meaning)[:40]!r} is no {choice}.", todo)
    return found


def _ignored(value: object, wrong: Any) -> frozenset[str]:
    if isinstance(value, list) and all(isinstance(item, str) for item in value):
        return frozenset(simple(item) for item in value)
    wrong("ignore", "this is a list of headings.", 'As ["Telefon", "Remarks"].')
    return frozenset()


def _dates(value: object, wrong: Any) -> str:
    if value == "" or value in DATE_ORDERS:
        return str(value)
    wrong("dates", f"{str(value)[:20]!r} is no order of a date.", f"One of: {', '.join(DATE_ORDERS)}.")
    return ""
