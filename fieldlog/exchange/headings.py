"""Which field a column of a foreign table is: by the usual names of the trade, and its unit."""

import re
import tomllib
import unicodedata
from collections.abc import Mapping
from functools import cache
from pathlib import Path

from msgspec import Struct

DATA = Path(__file__).with_name("headings.toml")
# As the readers of lengths and masses know them; 'to' is how German plates shorten the tonne.
UNITS = {
    "kg": "kg",
    "kgs": "kg",
    "kilogram": "kg",
    "t": "t",
    "to": "t",
    "tonne": "t",
    "tonnes": "t",
    "tonnen": "t",
    "lb": "lb",
    "lbs": "lb",
    "g": "g",
    "mm": "mm",
    "cm": "cm",
    "m": "m",
    "meter": "m",
    "metre": "m",
    "in": "in",
    "inch": "in",
    "inches": "in",
    "ft": "ft",
    "feet": "ft",
}
_BRACKETS = re.compile(r"[\(\[]([^\)\]]*)[\)\]]")


class Column(Struct, frozen=True, kw_only=True):
    """A column of a file: where it stands (0 is the first), its heading as written, field and unit."""

    index: int
    heading: str
    field: str = ""
    unit: str = ""


@cache
def _data() -> Mapping[str, Mapping[str, object]]:
    return tomllib.loads(DATA.read_text(encoding="utf-8"))


@cache
def field_names() -> frozenset[str]:
    """Every field that a table may bring."""
    return frozenset(_data()["fields"])


@cache
def _fields_by_name() -> Mapping[str, str]:
    names: dict[str, str] = {}
    for field, aliases in _data()["fields"].items():
        assert isinstance(aliases, list)
        names |= {simple(alias): field for alias in (field, *aliases)}
    return names


@cache
def words_of(choice: str) -> Mapping[str, str]:
    """The usual words for a choice ('drive', 'yes_no', ...), in small letters, with what each means."""
    table = _data()["words"][choice]
    assert isinstance(table, Mapping)
    return {word.casefold(): meaning for meaning, words in table.items() for word in words}


def simple(text: str) -> str:
    """The heading in small letters, with single blanks for all signs between words."""
    plain = unicodedata.normalize("NFC", text).casefold()
    return " ".join(re.sub(r"[\s_.:#°º*/-]+", " ", plain).split())


def recognise(index: int, heading: str) -> Column:
    """The column under this heading; without field where its name is none of the usual ones."""
    unit = ""
    bare = heading
    for inside in _BRACKETS.findall(heading):
        unit = UNITS.get(inside.strip(" .").casefold(), unit)
    bare = _BRACKETS.sub(" ", bare)
    name = simple(bare)
    field = _fields_by_name().get(name, "")
    if not field:
        *words, last = name.split() or [""]
        rest = [word for word in words if word != "in"] if words and words[-1] == "in" else words
        known = _fields_by_name().get(" ".join(rest), "")
        if known and last in UNITS:
            field, unit = known, unit or UNITS[last]
    return Column(index=index, heading=" ".join(heading.split()), field=field, unit=unit)


def letter(index: int) -> str:
    """The column's letter as spreadsheets show it. Example: 0 is A, 26 is AA."""
    text, left = "", index + 1
    while left:
        left, digit = divmod(left - 1, 26)
        text = chr(ord("A") + digit) + text
    return text
