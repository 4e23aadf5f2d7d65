"""What stands in the way of a return to service, and whose locks come off with it."""

from collections.abc import Mapping
from datetime import date
from typing import Any

from msgspec import Struct

from fieldlog.domain.history import History
from fieldlog.domain.records import ReturnToService, Withdrawal
from fieldlog.domain.verdict import missing_for_return, was_examined
from fieldlog.operations.shop import OpenHoist
from fieldlog.units import format_mass


class Lock(Struct, frozen=True, kw_only=True):
    """A lock or tag on the hoist, and who put it on."""

    name: str
    by: str


def days_of(history: History, kind: type[Withdrawal | ReturnToService]) -> list[date]:
    """The days of the withdrawals, or of the returns, that count."""
    bodies = [entry.body for entry in history.entries if entry.line not in history.struck]
    return [body.done_on for body in bodies if isinstance(body, kind)]


def locks_on(history: History) -> tuple[Lock, ...]:
    """Locks and tags that were put on since the hoist was returned to service last."""
    returned = max(days_of(history, ReturnToService), default=date.min)
    locks: dict[str, Lock] = {}
    for entry in history.entries:
        if entry.line in history.struck:
            continue
        if isinstance(entry.body, ReturnToService) and entry.body.done_on == returned:
            locks.clear()
        if isinstance(entry.body, Withdrawal) and entry.body.lock and entry.body.done_on >= returned:
            locks[entry.body.lock] = Lock(name=entry.body.lock, by=entry.by)
    return tuple(locks.values())


def _same(one: str, other: str) -> bool:
    return one.casefold().split() == other.casefold().split()


def _lock_sentences(locks: tuple[Lock, ...], remover: str, authoriser: str) -> list[str]:
    """Locks come off by who put them on, or by somebody else whom a named person lets."""
    if not remover:
        return [f"say who removed the lock {lock.name}" for lock in locks]
    allowed = bool(authoriser) and not _same(authoriser, remover)
    return [
        f"{lock.name} was put on by {lock.by}: it comes off by {lock.by}, or name who allowed {remover} to"
        for lock in locks
        if not _same(lock.by, remover) and not allowed
    ]


def missing_on(opened: OpenHoist, values: Mapping[str, Any], today: date) -> list[str]:
    """Everything that is missing for a return with these values of its form; empty where nothing is."""
    history, day = opened.history, values["done_on"]
    missing = list(missing_for_return(history, opened.rulebook, guards_on_tools_out=values["guards"]))
    if not was_examined(history):
        missing.append("the inspection before first use is missing")
    missing += [
        f"it was stopped on {stop.from_on.isoformat()}, after the day of the return: {stop.reason}"
        for stop in history.stops
        if day < stop.from_on <= today
    ]
    return missing + _lock_sentences(locks_on(history), values["locks"] or "", values["authorised"] or "")


def proof_since_return(history: History, day: date) -> str:
    """The load test passed since the last return, in words, which proves a load path that was opened."""
    returned = max(days_of(history, ReturnToService), default=date.min)
    passed = [test for _, test in history.load_tests if test.passed and returned <= test.done_on <= day]
    if not passed:
        return ""
    return f"load test with {format_mass(passed[-1].reached_kg)} on {passed[-1].done_on.isoformat()}"


def putters_on(history: History) -> str:
    """Who put on the locks that come off, each named once."""
    return ", ".join(dict.fromkeys(lock.by for lock in locks_on(history)))
