"""Rulebooks by name: chosen from the entries of the data files, checked as a whole, kept for the process."""

from collections.abc import Mapping
from functools import cache
from pathlib import Path

from fieldlog.domain.rules import Rulebook
from fieldlog.errors import InputError
from fieldlog.rulebook.binding import bind
from fieldlog.rulebook.faults import Faults
from fieldlog.rulebook.shelf import Shelf, read_shelf

DATA = Path(__file__).with_name("data")
FIRST = "general"


@cache
def load_rulebook(name: str) -> Rulebook:
    """The shipped rulebook of that name, read once a process.

    Raises InputError where there is none of that name and RulebookError, with all faults, where a
    rule file is faulty.
    """
    return _bound(DATA, name, _shipped())


def rulebook_names() -> tuple[str, ...]:
    """The names of the shipped rulebooks, the strictest common one first."""
    return _names(DATA)


def load_all() -> Mapping[str, Rulebook]:
    """All shipped rulebooks by name, in the order of `rulebook_names`."""
    return {name: load_rulebook(name) for name in rulebook_names()}


def load_from(folder: Path, name: str) -> Rulebook:
    """The rulebook of that name from a whole data folder elsewhere, such as a shop's own copy; never kept.

    Raises as load_rulebook does.
    """
    return _bound(folder, name, None)


@cache
def _shipped() -> Shelf:
    faults = Faults()
    shelf = read_shelf(DATA, faults)
    faults.raise_if_any()
    return shelf


def _bound(folder: Path, name: str, shelf: Shelf | None) -> Rulebook:
    names = _names(folder)
    if name not in names:
        known = ", ".join(names) or f"none in {folder}"
        raise InputError(f"There is no rulebook '{name}'. Known: {known}.")
    faults = Faults()
    rulebook = bind(folder, name, shelf or read_shelf(folder, faults), faults)
    faults.raise_if_any()
    assert rulebook is not None
    return rulebook


def _names(folder: Path) -> tuple[str, ...]:
    found = sorted(path.stem for path in folder.glob("rulebooks/*.toml"))
    return tuple(sorted(found, key=lambda name: name != FIRST))
