"""Withdrawing, mending, testing and returning a hoist to service, and fitting a chain set."""

from collections.abc import Mapping, Sequence
from datetime import date, datetime
from decimal import Decimal
from typing import Any

from fieldlog.domain.logbook import History, open_defects
from fieldlog.domain.records import Entry, LoadTest, Mending, ReturnToService, Withdrawal
from fieldlog.domain.rules import LoadTestRule
from fieldlog.domain.verdict import missing_for_return, was_examined
from fieldlog.errors import IncompleteError, Problem, RefusedError
from fieldlog.operations.chain_sets import chain_set
from fieldlog.operations.entering import Field, take_all
from fieldlog.operations.service_forms import (
    chain_fields,
    load_test_fields,
    mending_fields,
    return_fields,
    withdrawal_fields,
)
from fieldlog.operations.shop import OpenHoist, Shop, append, check_known, check_may_seal, open_hoist
from fieldlog.units import format_mass


def _values(fields: Sequence[Field], texts: Mapping[str, str], what: str) -> dict[str, Any]:
    values, problems = take_all(fields, texts)
    _refuse(what, problems)
    return values


def _refuse(what: str, problems: Sequence[Problem]) -> None:
    if problems:
        raise IncompleteError(f"{what} can not be sealed yet", problems)


def _days_of(history: History, kind: type[Withdrawal | ReturnToService]) -> list[date]:
    bodies = [entry.body for entry in history.entries if entry.line not in history.struck]
    return [body.done_on for body in bodies if isinstance(body, kind)]


def withdraw(
    shop: Shop, hoist_id: str, texts: Mapping[str, str], *, by: str, now: datetime, today: date
) -> Entry:
    """Take a hoist out of service. Anybody known may stop a hoist; nobody is refused for lack of rights."""
    check_known(shop, by)
    opened = open_hoist(shop, hoist_id)
    values = _values(withdrawal_fields(today), texts, "the withdrawal")
    returned = max(_days_of(opened.history, ReturnToService), default=date.min)
    if values["done_on"] < returned:
        wrong = f"the hoist was returned to service on {returned.isoformat()}, which would undo it."
        _refuse("the withdrawal", [Problem(place="Day", wrong=wrong, todo="Give that day or a later one.")])
    body = Withdrawal(done_on=values["done_on"], reason=values["reason"], lock=values["lock"] or "")
    return append(shop, hoist_id, body, by=by, now=now, head=opened.head)


def mend(
    shop: Shop, hoist_id: str, texts: Mapping[str, str], *, by: str, now: datetime, today: date
) -> Entry:
    """Record defects as mended, by which part or work, and who checked it."""
    check_may_seal(shop, by, today)
    opened = open_hoist(shop, hoist_id)
    known = [state.defect.id for state in open_defects(opened.history)]
    values = _values(mending_fields(today, known), texts, "the mending")
    _refuse("the mending", _mended_too_early(opened, values))
    body = Mending(
        done_on=values["done_on"],
        defects=values["defects"],
        work=values["work"],
        checked_by=values["checked_by"],
        load_path=values["load_path"],
    )
    return append(shop, hoist_id, body, by=by, now=now, head=opened.head)


def _mended_too_early(opened: OpenHoist, values: Mapping[str, Any]) -> list[Problem]:
    """Records are read by the day of the work, so nothing can be mended before it was seen."""
    return [
        Problem(place="Day", wrong=f"{state.defect.id} was seen on {state.seen_on.isoformat()}, after it")
        for state in open_defects(opened.history)
        if state.defect.id in values["defects"] and state.seen_on > values["done_on"]
    ]


def fit_chain(
    shop: Shop, hoist_id: str, texts: Mapping[str, str], *, by: str, now: datetime, today: date
) -> Entry:
    """Start a new chain life with its baseline; mends the defects that went with the old set."""
    check_may_seal(shop, by, today)
    opened = open_hoist(shop, hoist_id)
    values = _values(chain_fields(opened, today), texts, "the chain set")
    body, problems = chain_set(opened, values)
    _refuse("the chain set", problems)
    return append(shop, hoist_id, body, by=by, now=now, head=opened.head)


def record_load_test(
    shop: Shop, hoist_id: str, texts: Mapping[str, str], *, by: str, now: datetime, today: date
) -> Entry:
    """Record a load test with the required and the reached load."""
    check_may_seal(shop, by, today)
    opened = open_hoist(shop, hoist_id)
    values = _values(load_test_fields(today), texts, "the load test")
    _refuse("the load test", _load_problems(opened, values))
    body = LoadTest(
        done_on=values["done_on"],
        required_kg=values["required"],
        reached_kg=values["reached"],
        passed=values["passed"],
        remark=values["remark"] or "",
    )
    return append(shop, hoist_id, body, by=by, now=now, head=opened.head)


def _load_rule(opened: OpenHoist) -> LoadTestRule:
    return next(rule for rule in opened.rulebook.load_tests if opened.hoist.drive in rule.drives)


def _load_problems(opened: OpenHoist, values: Mapping[str, Any]) -> list[Problem]:
    """A test with less than the rated load, or less than was asked for, proves nothing.

    No rulebook asks for less than the rated load; how far below the stipulated load the weights may
    lie is the rulebook's (DOE-STD-1090-96: 5 %).
    """
    required: Decimal = values["required"]
    reached: Decimal = values["reached"]
    capacity = opened.hoist.capacity_kg
    problems = []
    if required < capacity:
        wrong = f"a load test asks for the rated load at least: {format_mass(capacity)}"
        problems.append(Problem(place="Required load", wrong=wrong))
    percent = _load_rule(opened).low_percent
    if values["passed"] and reached < required * (100 - percent) / 100:
        wrong = f"{format_mass(reached)} is more than {percent.normalize():f} % under the required load."
        problems.append(Problem(place="Reached load", wrong=wrong, todo="It can not be passed with that."))
    return problems


def return_to_service(
    shop: Shop, hoist_id: str, texts: Mapping[str, str], *, by: str, now: datetime, today: date
) -> Entry:
    """Return a hoist to service; RefusedError lists all that is missing."""
    check_may_seal(shop, by, today)
    opened = open_hoist(shop, hoist_id)
    values = _values(return_fields(today), texts, "the return to service")
    missing = _missing(opened, values, today)
    if missing:
        raise RefusedError("it can not return to service yet: " + "; ".join(missing))
    body = ReturnToService(
        done_on=values["done_on"],
        guards_on_tools_out=values["guards"],
        locks_removed_by=values["locks"] or "",
        remark=values["remark"] or "",
    )
    return append(shop, hoist_id, body, by=by, now=now, head=opened.head)


def _missing(opened: OpenHoist, values: Mapping[str, Any], today: date) -> list[str]:
    history, day = opened.history, values["done_on"]
    missing = list(missing_for_return(history, opened.rulebook, guards_on_tools_out=values["guards"]))
    if not was_examined(history):
        missing.append("the inspection before first use is missing")
    missing += [
        f"it was stopped on {stop.from_on.isoformat()}, after the day of the return: {stop.reason}"
        for stop in history.stops
        if day < stop.from_on <= today
    ]
    if not values["locks"]:
        missing += [f"say who removed the lock {lock}" for lock in _locks_on(history)]
    return missing


def _locks_on(history: History) -> list[str]:
    """Locks and tags that were put on since the hoist was returned to service last."""
    returned = max(_days_of(history, ReturnToService), default=date.min)
    locks: dict[str, None] = {}
    for entry in history.entries:
        if entry.line in history.struck:
            continue
        if isinstance(entry.body, ReturnToService) and entry.body.done_on == returned:
            locks.clear()
        if isinstance(entry.body, Withdrawal) and entry.body.lock and entry.body.done_on >= returned:
            locks[entry.body.lock] = None
    return list(locks)
