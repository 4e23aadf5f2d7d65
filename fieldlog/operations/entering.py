"""Forms as data: what is asked, how it is checked while typed, and what it becomes."""

from collections.abc import Callable, Iterable, Mapping, Sequence
from datetime import date
from decimal import Decimal
from typing import Any

from msgspec import Struct

from fieldlog.domain.records import ChainSize
from fieldlog.errors import IncompleteError, InputError, Problem
from fieldlog.units import parse_date, parse_length, parse_mass, parse_whole, quoted

LONGEST_TEXT = 80
YES_NO = ("yes", "no")


class Field(Struct, frozen=True, kw_only=True):
    """One question: its name in the draft, label, unit of a bare number, choices and how to read it.

    `read` turns the stripped text into a value or raises InputError; empty text never reaches it.
    """

    name: str
    label: str
    read: Callable[[str], Any]
    unit: str = ""
    hint: str = ""
    required: bool = True
    choices: tuple[str, ...] = ()
    default: str = ""


def read_text(what: str) -> Callable[[str], str]:
    """A reader for free text of one line."""

    def read(text: str) -> str:
        if len(text) > LONGEST_TEXT:
            raise InputError(f"{what} is {len(text)} characters long: {LONGEST_TEXT} at most")
        if not text.isprintable():
            raise InputError(f"{what} holds a character that can not be printed: type it again")
        return text

    return read


def read_choice(what: str, choices: tuple[str, ...]) -> Callable[[str], str]:
    """A reader for one of a few words; an unambiguous beginning is enough."""

    def read(text: str) -> str:
        wanted = text.lower()
        found = [c for c in choices if c.lower() == wanted] or [
            c for c in choices if c.lower().startswith(wanted)
        ]
        if len(found) != 1:
            raise InputError(f"{what} is one of {', '.join(choices)}, not {quoted(text)}")
        return found[0]

    return read


def read_month(text: str) -> date:
    """The first day of a month written as year-month, as 2027-03."""
    try:
        return parse_date(f"{text}-01", "the month")
    except InputError:
        raise InputError(f"{quoted(text)} is not a month; write year-month, as 2027-03") from None


def read_yes_no(text: str) -> bool:
    """Yes or no, by their first letters."""
    answer = text.strip().lower()
    if answer in ("y", "yes"):
        return True
    if answer in ("n", "no"):
        return False
    raise InputError(f"answer yes or no, not {quoted(text)}")


def read_length(what: str, unit: str = "mm") -> Callable[[str], Decimal]:
    """A reader for a length greater than 0, in mm."""

    def read(text: str) -> Decimal:
        value = parse_length(text, unit, what).value
        if value <= 0:
            raise InputError(f"{what} is greater than 0")
        return value

    return read


def read_mass(what: str) -> Callable[[str], Decimal]:
    """A reader for a mass greater than 0, in kg."""

    def read(text: str) -> Decimal:
        value = parse_mass(text, "kg", what).value
        if value <= 0:
            raise InputError(f"{what} is greater than 0")
        return value

    return read


def read_whole(what: str, low: int, high: int) -> Callable[[str], int]:
    """A reader for a whole number from low to high."""
    return lambda text: parse_whole(text, what, low, high)


def read_date(what: str) -> Callable[[str], date]:
    """A reader for an ISO date."""
    return lambda text: parse_date(text, what)


def read_day_of_work(what: str, today: date) -> Callable[[str], date]:
    """A reader for the day on which something was done: an ISO date, today at the latest."""

    def read(text: str) -> date:
        day = parse_date(text, what)
        if day > today:
            raise InputError(f"{what} {day.isoformat()} lies in the future")
        return day

    return read


def read_chain_size(text: str) -> ChainSize:
    """Chain size as dn x pn: '5x15', '5 x 15 mm', '11,3x31'. Example: 5x15 is dn 5 mm, pn 15 mm."""
    parts = text.lower().replace("×", "x").removesuffix("mm").split("x")
    if len(parts) != 2 or not all(part.strip() for part in parts):
        raise InputError(f"chain size is diameter x pitch, as 5x15, not {quoted(text)}")
    dn = parse_length(parts[0], "mm", "chain diameter").value
    pn = parse_length(parts[1], "mm", "chain pitch").value
    if dn <= 0 or not dn * 2 <= pn <= dn * 5:
        raise InputError(
            f"a pitch of {parts[1].strip()} does not go with a diameter of {parts[0].strip()}:"
            " diameter first, pitch about three times as long"
        )
    return ChainSize(dn_mm=dn, pn_mm=pn)


def check_field(field: Field, text: str) -> str:
    """What is wrong with this text in this field, in one sentence; empty if nothing is."""
    try:
        take_field(field, text)
    except InputError as error:
        return str(error)
    return ""


def take_field(field: Field, text: str) -> Any:
    """The field's value; None for an optional field left empty."""
    stripped = text.strip()
    if not stripped:
        if field.required:
            raise InputError(f"{field.label} is missing")
        return None
    return field.read(stripped)


def take_all(fields: Iterable[Field], texts: Mapping[str, str]) -> tuple[dict[str, Any], tuple[Problem, ...]]:
    """All values that could be read, and a problem for each field that could not."""
    values: dict[str, Any] = {}
    problems = []
    for field in fields:
        try:
            values[field.name] = take_field(field, texts.get(field.name, field.default))
        except InputError as error:
            problems.append(Problem(place=field.label, wrong=str(error)))
    return values, tuple(problems)


def take_sealed(fields: Iterable[Field], texts: Mapping[str, str], what: str) -> dict[str, Any]:
    """The value of every field of what is to be sealed; IncompleteError names all that can not be taken."""
    values, problems = take_all(fields, texts)
    refuse(what, problems)
    return values


def refuse(what: str, problems: Sequence[Problem]) -> None:
    """IncompleteError where something stands in the way of sealing; all of it is told."""
    if problems:
        raise IncompleteError(f"{what} can not be sealed yet", problems)
