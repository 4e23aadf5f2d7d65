"""Finding a hoist by its tag, typed or scanned, and by any word when it is not a tag."""

from collections.abc import Iterable, Mapping

from msgspec import Struct

from fieldlog.domain.tag_id import near, number_of, parse_id
from fieldlog.domain.verdict import Summary
from fieldlog.errors import InputError


class Search(Struct, frozen=True, kw_only=True):
    """What a typed tag led to: one hoist, or a sentence why none and the nearest tags."""

    id: str = ""
    sentence: str = ""
    near: tuple[str, ...] = ()


def find_tag(text: str, known: Iterable[str]) -> Search:
    """The hoist whose tag this is. A bare number is enough where it is the only one."""
    names = list(known)
    typed = text.strip()
    if not typed:
        return Search(sentence="type or scan a tag, as SW-0008-M")
    if typed.isdecimal() and len(typed) <= 6:
        return _by_number(int(typed), names)
    try:
        wanted = parse_id(typed)
    except InputError as error:
        return Search(sentence=str(error), near=tuple(near(typed, names)))
    if wanted in names:
        return Search(id=wanted)
    return Search(
        sentence=f"{wanted} is a right tag, but no hoist of this store", near=tuple(near(wanted, names))
    )


def _by_number(number: int, names: list[str]) -> Search:
    found = [name for name in names if _has_number(name, number)]
    if len(found) == 1:
        return Search(id=found[0])
    if found:
        return Search(sentence=f"several hoists have the number {number}", near=tuple(found[:5]))
    return Search(sentence=f"no hoist has the number {number}")


def _has_number(name: str, number: int) -> bool:
    """A file that only looks like a hoist's logbook has no number, and must not hide those that have."""
    try:
        return number_of(name) == number
    except InputError:
        return False


def find_words(text: str, summaries: Mapping[str, Summary]) -> list[str]:
    """IDs of the hoists in whose facts every word of the text occurs, in the order of their IDs."""
    words = text.lower().split()
    return [
        name for name, summary in sorted(summaries.items()) if all(word in _facts(summary) for word in words)
    ]


def _facts(summary: Summary) -> str:
    return " ".join(
        (summary.id, summary.maker, summary.model, summary.serial, summary.site, summary.place, summary.drive)
    ).lower()
