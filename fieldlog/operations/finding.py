"""Finding a hoist by its tag, typed or scanned, or by any word, and the hoists of one site."""

from collections.abc import Iterable, Mapping
from typing import Protocol

from msgspec import Struct

from fieldlog.domain.tag_id import near, number_of, parse_id
from fieldlog.domain.verdict import Summary
from fieldlog.errors import InputError, NotFoundError
from fieldlog.units import quoted


class Hoist(Protocol):
    """What summaries and rows of the due list both tell of a hoist."""

    @property
    def id(self) -> str:
        """Its tag."""

    @property
    def serial(self) -> str:
        """The maker's number."""

    @property
    def site(self) -> str:
        """The site where it hangs."""

    @property
    def place(self) -> str:
        """The place on the site, or an empty text."""

    @property
    def drive(self) -> str:
        """What moves it."""


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
    words = wanted_words(text)
    return [
        name
        for name, summary in sorted(summaries.items())
        if holds_all(words, facts_of(summary, f"{summary.maker} {summary.model}"))
    ]


def wanted_words(text: str) -> tuple[str, ...]:
    """The words of what was typed, to be looked for with `holds_all`; commas between them do not count."""
    return tuple(text.lower().replace(",", " ").split())


def holds_all(words: tuple[str, ...], facts: str) -> bool:
    """Whether every word occurs in what `facts_of` gave."""
    return all(word in facts for word in words)


def facts_of(hoist: Hoist, *shown: str) -> str:
    """All that a hoist is found by, in small letters: its own facts, then what a list shows beside them."""
    return " ".join((hoist.id, hoist.serial, hoist.site, hoist.place, hoist.drive, *shown)).lower()


def site_named(text: str, sites: Iterable[str]) -> str:
    """The one site that is meant; an empty text means all of them and gives an empty one.

    The exact name goes first, in any letters; else a part will do that occurs in a single name. NotFoundError
    names the sites that it could be.
    """
    typed, names = text.strip(), sorted(set(sites))
    if not typed or typed in names:
        return typed
    wanted = typed.casefold()
    found = [name for name in names if name.casefold() == wanted] or [
        name for name in names if wanted in name.casefold()
    ]
    if len(found) == 1:
        return found[0]
    if found:
        raise NotFoundError(f"{quoted(typed)} could be any of these sites: {', '.join(found)}; name one")
    known = f"hoists hang at {', '.join(names)}" if names else "there are no hoists yet"
    raise NotFoundError(f"no hoist hangs at a site called {quoted(typed)}: {known}")


def at_site(summaries: Mapping[str, Summary], text: str) -> dict[str, Summary]:
    """The hoists of the site that `site_named` finds, all of them where none is named; NotFoundError."""
    site = site_named(text, (summary.site for summary in summaries.values()))
    return {name: summary for name, summary in summaries.items() if not site or summary.site == site}
