"""Withdrawing, mending, testing and returning a hoist to service, and fitting a chain set."""

from collections.abc import Mapping
from datetime import date, datetime
from decimal import Decimal
from typing import Any

from fieldlog.domain.history import open_defects
from fieldlog.domain.load_test import RequiredLoad, judge_load_test, load_steps
from fieldlog.domain.records import Entry, LoadTest, Mending, ReturnToService, Withdrawal
from fieldlog.errors import Problem, RefusedError
from fieldlog.operations.chain_sets import chain_set
from fieldlog.operations.entering import refuse, take_sealed
from fieldlog.operations.returning import days_of, missing_on, proof_since_return, putters_on
from fieldlog.operations.service_forms import (
    before_seen,
    chain_fields,
    load_test_fields,
    mending_fields,
    needed_load,
    return_fields,
    withdrawal_fields,
)
from fieldlog.operations.shop import OpenHoist, Shop, append, check_known, check_may_seal, open_hoist
from fieldlog.units import format_mass


def withdraw(
    shop: Shop,
    hoist_id: str,
    texts: Mapping[str, str],
    *,
    by: str,
    now: datetime,
    today: date,
    uid: str | None = None,
) -> Entry:
    """Take a hoist out of service. Anybody known may stop a hoist; nobody is refused for lack of rights."""
    check_known(shop, by)
    opened = open_hoist(shop, hoist_id)
    values = take_sealed(withdrawal_fields(today), texts, "the withdrawal")
    returned = max(days_of(opened.history, ReturnToService), default=date.min)
    if values["done_on"] < returned:
        wrong = f"the hoist was returned to service on {returned.isoformat()}, which would undo it."
        refuse("the withdrawal", [Problem(place="Day", wrong=wrong, todo="Give that day or a later one.")])
    body = Withdrawal(done_on=values["done_on"], reason=values["reason"], lock=values["lock"] or "")
    return append(shop, hoist_id, body, by=by, now=now, head=opened.head, uid=uid)


def mend(
    shop: Shop,
    hoist_id: str,
    texts: Mapping[str, str],
    *,
    by: str,
    now: datetime,
    today: date,
    uid: str | None = None,
) -> Entry:
    """Record defects as mended, by which part or work, and who checked it."""
    check_may_seal(shop, by, today)
    opened = open_hoist(shop, hoist_id)
    known = [state.defect.id for state in open_defects(opened.history)]
    values = take_sealed(mending_fields(today, known), texts, "the mending")
    refuse("the mending", before_seen(open_defects(opened.history), values))
    body = Mending(
        done_on=values["done_on"],
        defects=values["defects"],
        work=values["work"],
        checked_by=values["checked_by"],
        load_path=values["load_path"],
    )
    return append(shop, hoist_id, body, by=by, now=now, head=opened.head, uid=uid)


def fit_chain(
    shop: Shop,
    hoist_id: str,
    texts: Mapping[str, str],
    *,
    by: str,
    now: datetime,
    today: date,
    uid: str | None = None,
) -> Entry:
    """Start a new chain life with its baseline; mends the defects that went with the old set."""
    check_may_seal(shop, by, today)
    opened = open_hoist(shop, hoist_id)
    values = take_sealed(chain_fields(opened, today), texts, "the chain set")
    body, problems = chain_set(opened, values)
    refuse("the chain set", problems)
    return append(shop, hoist_id, body, by=by, now=now, head=opened.head, uid=uid)


def record_load_test(
    shop: Shop,
    hoist_id: str,
    texts: Mapping[str, str],
    *,
    by: str,
    now: datetime,
    today: date,
    uid: str | None = None,
) -> Entry:
    """Record a load test with the required and the reached load, and the finding that they make."""
    check_may_seal(shop, by, today)
    opened = open_hoist(shop, hoist_id)
    values = take_sealed(load_test_fields(today, opened), texts, "the load test")
    needed = needed_load(opened)
    refuse("the load test", _load_problems(opened, needed, values))
    reached, held = values["reached"], values["passed"]
    finding = judge_load_test(reached, held=held, needed=needed, rulebook=opened.rulebook)
    body = LoadTest(
        done_on=values["done_on"],
        required_kg=values["required"],
        reached_kg=reached,
        passed=held,
        remark=values["remark"] or "",
        findings=(finding,),
    )
    return append(shop, hoist_id, body, by=by, now=now, head=opened.head, uid=uid)


def _load_problems(opened: OpenHoist, needed: RequiredLoad, values: Mapping[str, Any]) -> list[Problem]:
    """A test with less than the rulebook asks for, or less than was asked for here, proves nothing.

    More may be asked, as by the maker's book, never less; how far below the stipulated load the weights may
    lie is the rulebook's (DOE-STD-1090-96: 5 %).
    """
    required: Decimal = values["required"]
    reached: Decimal = values["reached"]
    problems = []
    if required < needed.load_kg:
        wrong = f"rulebook {opened.rulebook.name} asks for {format_mass(needed.load_kg)}:"
        problems.append(Problem(place="Required load", wrong=wrong, todo=f"{load_steps(needed)[0]}."))
    asked = max(required, needed.load_kg)
    low = asked * needed.low_kg / needed.load_kg
    if values["passed"] and reached < low:
        wrong = f"{format_mass(reached)} is less than {format_mass(low)}, the least of the required load."
        problems.append(Problem(place="Reached load", wrong=wrong, todo="It can not be passed with that."))
    return problems


def return_to_service(
    shop: Shop,
    hoist_id: str,
    texts: Mapping[str, str],
    *,
    by: str,
    now: datetime,
    today: date,
    uid: str | None = None,
) -> Entry:
    """Return a hoist to service; RefusedError lists all that is missing."""
    check_may_seal(shop, by, today)
    opened = open_hoist(shop, hoist_id)
    values = take_sealed(return_fields(today), texts, "the return to service")
    missing = missing_on(opened, values, today)
    if missing:
        raise RefusedError("it can not return to service yet: " + "; ".join(missing))
    body = ReturnToService(
        done_on=values["done_on"],
        guards_on_tools_out=values["guards"],
        locks_removed_by=values["locks"] or "",
        test=proof_since_return(opened.history, values["done_on"]),
        remark=values["remark"] or "",
        locks_put_on_by=putters_on(opened.history),
        locks_authorised_by=values["authorised"] or "",
    )
    return append(shop, hoist_id, body, by=by, now=now, head=opened.head, uid=uid)
