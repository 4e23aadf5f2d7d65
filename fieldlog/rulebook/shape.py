"""Readers that turn a value of a TOML file into a value of the domain, and tables made of them.

A reader takes the raw value and returns the wanted one, or raises MisfitError with a sentence.
"""

import re
from collections.abc import Callable, Collection, Mapping
from datetime import date
from decimal import Decimal
from enum import StrEnum
from typing import Any

from msgspec import Struct, field

from fieldlog.rulebook.faults import Faults, MisfitError, near

Reader = Callable[[Any], Any]
SOURCES = "sources/*.toml"


class Entries(dict[str, Any]):
    """Entries by id. None stands for one that is faulty, so that its fault is told once, at its own place;

    `unread` for a file that could not be read at all: whatever is named from it is let pass.
    """

    unread = False


_ID = re.compile(r"[A-Za-z0-9]+(?:[.-][A-Za-z0-9]+)*")
_KEBAB = re.compile(r"[a-z0-9]+(?:-[a-z0-9]+)*")


def _sort(value: object) -> str:
    names = {bool: "true or false", str: "text", int: "a number", Decimal: "a number", list: "a list"}
    return names.get(type(value), "a table" if isinstance(value, dict) else "a date")


def _want(value: object, wanted: str) -> MisfitError:
    return MisfitError(f"is {_sort(value)}, where {wanted} belongs.", f"Give {wanted}.")


def text(most: int = 400, least: int = 1) -> Reader:
    """Text of `least` to `most` characters on one line."""

    def read(value: Any) -> str:
        if not isinstance(value, str):
            raise _want(value, "text")
        if not least <= len(value.strip()):
            raise MisfitError("is empty.", "Write it or leave the entry out.")
        if len(value) > most:
            raise MisfitError(f"is {len(value)} characters long.", f"Shorten it to {most}.")
        if not value.isprintable():
            raise MisfitError("holds a line break or a control character.", "Write it on one line.")
        return value

    return read


def identifier(*, kebab: bool = False) -> Reader:
    """An id: letters and digits in parts joined by '-' or '.'; kebab-case alone on demand."""
    pattern = _KEBAB if kebab else _ID
    read_text = text(60)

    def read(value: Any) -> str:
        word: str = read_text(value)
        if not pattern.fullmatch(word):
            form = "small letters, digits and single dashes" if kebab else "letters, digits, '-' and '.'"
            raise MisfitError(f"'{word}' is no id.", f"Use {form}.")
        return word

    return read


def number(
    *, least: Decimal | int = 0, above: Decimal | int | None = None, below: Decimal | int | None = None
) -> Reader:
    """A finite Decimal, not negative unless `least` says so, inside the open bounds where given."""

    def read(value: Any) -> Decimal:
        if isinstance(value, bool) or not isinstance(value, int | Decimal):
            raise _want(value, "a number")
        amount = Decimal(value)
        if not amount.is_finite():
            raise MisfitError(f"is {amount}, which is no figure.", "Give a finite number.")
        if amount < least:
            raise MisfitError(f"is {amount}, which is below {least}.", f"Give {least} or more.")
        if above is not None and amount <= above:
            raise MisfitError(f"is {amount}, which is not above {above}.", f"Give more than {above}.")
        if below is not None and amount >= below:
            raise MisfitError(f"is {amount}, which is not below {below}.", f"Give less than {below}.")
        return amount

    return read


def percent(*, zero: bool = False) -> Reader:
    """A percentage inside (0, 100), or [0, 100) with `zero`."""
    return number(above=None if zero else 0, below=100)


def whole(least: int = 1, most: int = 100_000) -> Reader:
    """A whole number of `least` to `most`."""

    def read(value: Any) -> int:
        if isinstance(value, bool) or not isinstance(value, int):
            raise _want(value, "a whole number")
        if not least <= value <= most:
            raise MisfitError(f"is {value}.", f"Give a whole number of {least} to {most}.")
        return value

    return read


def flag(value: Any) -> bool:
    """True or false."""
    if not isinstance(value, bool):
        raise _want(value, "true or false")
    return value


def day(value: Any) -> date:
    """A date written as 2026-11-25 without quotation marks."""
    if type(value) is not date:
        raise _want(value, "a date (such as 2026-11-25, without quotation marks)")
    return value


def word(kind: type[StrEnum], what: str) -> Reader:
    """A member of `kind`, by its value; `what` names it for people."""
    known = {member.value: member for member in kind}

    def read(value: Any) -> Any:
        return _member(value, known, what)

    return read


def among(known: Collection[str], what: str) -> Reader:
    """One of the known words."""
    words = {name: name for name in known}

    def read(value: Any) -> str:
        return str(_member(value, words, what))

    return read


def _member(value: Any, known: Mapping[str, Any], what: str) -> Any:
    if not isinstance(value, str):
        raise _want(value, f"a {what}")
    if value not in known:
        raise MisfitError(f"unknown {what} '{value}'.", near(value, known))
    return known[value]


def reference(entries: Entries, what: str, file: str) -> Reader:
    """The entry with this id, or None where that entry, or all of them, could not be read."""

    def read(value: Any) -> Any:
        if not isinstance(value, str):
            raise _want(value, f"the id of a {what}")
        if value not in entries and not entries.unread:
            todo = near(value, entries) or f"Add it to {file} or name one that stands there."
            raise MisfitError(f"unknown {what} '{value}'.", todo)
        return entries.get(value)

    return read


def named(entries: Entries, what: str, file: str) -> Reader:
    """The id of an entry that is there."""
    read_entry = reference(entries, what, file)

    def read(value: Any) -> Any:
        read_entry(value)
        return value

    return read


def listed(one: Reader, least: int = 1) -> Reader:
    """A list of at least `least` values, none of them twice."""

    def read(value: Any) -> tuple[Any, ...]:
        if not isinstance(value, list):
            raise _want(value, "a list")
        if len(value) < least:
            raise MisfitError("is an empty list.", "Name at least one.")
        faults = Faults()
        made = [_one_of_list(one, value, position, faults) for position in range(len(value))]
        if faults.problems:
            raise MisfitError(inside=faults.problems)
        return tuple(made)

    return read


def _one_of_list(one: Reader, values: list[Any], position: int, faults: Faults) -> Any:
    raw = values[position]
    if raw in values[:position]:
        faults.add("", f"names '{raw}' twice.", "Take one away.")
        return None
    try:
        return one(raw)
    except MisfitError as misfit:
        faults.add_misfit(f"[{position + 1}]", misfit)
        return None


class Shape(Struct, frozen=True, kw_only=True):
    """What a table must and may hold, what it becomes, and a check over the whole of it.

    `check` takes the values read and raises MisfitError where they do not go together.
    """

    kind: Callable[..., Any]
    required: Mapping[str, Reader]
    optional: Mapping[str, Reader] = field(default_factory=dict)
    check: Callable[[Mapping[str, Any]], None] | None = None


def read_table(raw: Mapping[str, Any], shape: Shape, place: str, faults: Faults) -> Any:
    """`raw` as `shape.kind`, or None where it has faults; each is noted at its key within `place`."""
    readers = {**shape.required, **shape.optional}
    values: dict[str, Any] = {}
    sound = True
    for key in raw:
        if key not in readers:
            faults.add(_at(place, key), "no such key.", near(key, readers))
            sound = False
    for key, reader in readers.items():
        if key not in raw:
            if key in shape.required:
                faults.add(_at(place, key), *_missing(key))
                sound = False
            continue
        try:
            values[key] = reader(raw[key])
        except MisfitError as misfit:
            faults.add_misfit(_at(place, key), misfit)
            sound = False
    return _finished(values, shape, place, faults) if sound else None


def _at(place: str, key: str) -> str:
    """'file: entry.key', or 'file: key' where the file is itself the table."""
    return f"{place}.{key}" if not place or ": " in place else f"{place}: {key}"


def _missing(key: str) -> tuple[str, str]:
    if key == "source":
        return "names no source.", f"Name the entry of {SOURCES} that the figure stands on."
    return "is missing.", "Add it."


def _finished(values: dict[str, Any], shape: Shape, place: str, faults: Faults) -> Any:
    if shape.check is not None:
        try:
            shape.check(values)
        except MisfitError as misfit:
            faults.add_misfit(place, misfit)
            return None
    return shape.kind(**values)


def nested(shape: Shape) -> Reader:
    """A table inside a list; the first thing wrong with it is told."""

    def read(value: Any) -> Any:
        if not isinstance(value, dict):
            raise _want(value, "a table")
        inner = Faults()
        made = read_table(value, shape, "", inner)
        if inner.problems:
            raise MisfitError(inside=inner.problems)
        return made

    return read
