"""How much a hoist runs, that it stands idle, and whether it may run on: what is asked, and the records."""

from collections.abc import Mapping
from datetime import date, datetime
from decimal import Decimal

from fieldlog.domain.records import Drive, Entry, ExpertConditions, HoursLogged, SetIdle
from fieldlog.domain.rules import Rulebook
from fieldlog.domain.running import hours_faults
from fieldlog.errors import InputError, Problem
from fieldlog.operations.entering import (
    YES_NO,
    Field,
    read_choice,
    read_date,
    read_day_of_work,
    read_text,
    read_yes_no,
    refuse,
    take_sealed,
)
from fieldlog.operations.shop import OpenHoist, Shop, append, check_may_seal, open_hoist
from fieldlog.units import parse_decimal

COUNTER, PERIOD = "counter", "period"


def _read_hours(text: str) -> Decimal:
    hours = parse_decimal(text, "the hours")
    if hours < 0:
        raise InputError("running hours are 0 or more")
    return hours


def _read_km(text: str) -> Decimal:
    km = parse_decimal(text, "km")
    if not 0 < km <= 1:
        raise InputError(f"km lies above 0 and goes to 1, not {km}")
    return km


def _day(today: date, label: str = "Day") -> Field:
    return Field(
        name="done_on", label=label, read=read_day_of_work("the day", today), default=today.isoformat()
    )


def hours_fields(opened: OpenHoist, today: date) -> tuple[Field, ...]:
    """What running hours ask: a counter's reading or hours of a period, their loads, how they are known."""
    last = opened.history.hours[-1] if opened.history.hours else None
    return (
        _day(today),
        *_amount_fields(last, today),
        *_load_fields(opened.rulebook, last),
        _certainty_field(opened.rulebook, last),
        Field(name="remark", label="Remark", read=read_text("the remark"), required=False),
    )


def _amount_fields(last: HoursLogged | None, today: date) -> tuple[Field, ...]:
    """How many hours, and since when they count."""
    return (
        Field(name="hours", label="Running hours", read=_read_hours, unit="h"),
        Field(
            name="as",
            label="Read from",
            read=read_choice("what they are", (COUNTER, PERIOD)),
            choices=(COUNTER, PERIOD),
            default=PERIOD if last is not None and not last.total else COUNTER,
            hint="counter: what it reads; period: hours run since the day below",
        ),
        Field(
            name="since",
            label="Period since",
            read=read_day_of_work("the first day", today),
            required=False,
            hint="empty: since the hours before, else since registration",
        ),
        Field(name="new_counter", label="New counter", read=read_yes_no, choices=YES_NO, default="no"),
    )


def _load_fields(rulebook: Rulebook, last: HoursLogged | None) -> tuple[Field, ...]:
    """How heavy the loads were: a class of the rulebook, or a figure."""
    spectra = tuple(spectrum.id for spectrum in rulebook.spectra)
    return (
        Field(
            name="spectrum",
            label="Load spectrum",
            read=read_choice("the load spectrum", spectra),
            choices=spectra,
            default="" if last is None else last.spectrum,
            required=False,
            hint=", ".join(f"{spectrum.id} {spectrum.title}" for spectrum in rulebook.spectra),
        ),
        Field(
            name="km",
            label="or km worked out",
            read=_read_km,
            required=False,
            hint="sum of (t/T)(P/Pmax)^3; goes before the class",
        ),
    )


def _certainty_field(rulebook: Rulebook, last: HoursLogged | None) -> Field:
    factors = tuple(factor.id for factor in rulebook.life_factors)
    return Field(
        name="factor",
        label="How known",
        read=read_choice("how they are known", factors),
        choices=factors,
        default="" if last is None else last.factor,
        hint="; ".join(factor.says for factor in rulebook.life_factors)[:80],
    )


def log_hours(
    shop: Shop,
    hoist_id: str,
    texts: Mapping[str, str],
    *,
    by: str,
    now: datetime,
    today: date,
    uid: str | None = None,
) -> Entry:
    """Record running hours; a counter that reads less than before is refused unless it is a new one."""
    check_may_seal(shop, by, today)
    opened = open_hoist(shop, hoist_id)
    values = take_sealed(hours_fields(opened, today), texts, "the hours")
    body = HoursLogged(
        done_on=values["done_on"],
        hours=values["hours"],
        total=values["as"] == COUNTER,
        since=values["since"],
        km=values["km"],
        spectrum=values["spectrum"] or "",
        factor=values["factor"],
        new_counter=values["new_counter"],
        remark=values["remark"] or "",
    )
    refuse("the hours", _hours_problems(opened, body))
    return append(shop, hoist_id, body, by=by, now=now, head=opened.head, uid=uid)


def _hours_problems(opened: OpenHoist, body: HoursLogged) -> list[Problem]:
    problems = []
    if body.since is not None and body.since >= body.done_on:
        problems.append(Problem(place="Period since", wrong="lies before the day, not on or after it"))
    if opened.hoist.drive is not Drive.HAND and body.km is None and not body.spectrum:
        wrong = "say how heavy the loads were, by the class or by km"
        problems.append(Problem(place="Load spectrum", wrong=wrong))
    ordered = sorted([*opened.history.hours, body], key=lambda log: log.done_on)
    known = set(hours_faults(opened.history.hours))
    problems += [
        Problem(place="Running hours", wrong=fault) for fault in hours_faults(ordered) if fault not in known
    ]
    days = (body.done_on - (body.since or opened.hoist.registered_on)).days
    if not body.total and body.since is not None and days > 0 and body.hours > 24 * days:
        problems.append(Problem(place="Running hours", wrong=f"are more than {days} days have"))
    return problems


def idle_fields(today: date) -> tuple[Field, ...]:
    """What setting a hoist idle asks."""
    return (
        Field(
            name="from_on",
            label="Idle from",
            read=read_day_of_work("the first day", today),
            default=today.isoformat(),
        ),
        Field(
            name="until_on",
            label="Until",
            read=read_date("the day of its next use"),
            required=False,
            hint="the day of its next use, if it is known",
        ),
        Field(name="why", label="Why", read=read_text("the reason")),
    )


def set_idle(
    shop: Shop,
    hoist_id: str,
    texts: Mapping[str, str],
    *,
    by: str,
    now: datetime,
    today: date,
    uid: str | None = None,
) -> Entry:
    """Record that a hoist is not used; the rulebook says what is needed before its next use."""
    check_may_seal(shop, by, today)
    opened = open_hoist(shop, hoist_id)
    values = take_sealed(idle_fields(today), texts, "the idle time")
    body = SetIdle(from_on=values["from_on"], until_on=values["until_on"], why=values["why"])
    problems = []
    if body.from_on < opened.hoist.registered_on:
        wrong = f"the hoist is known here since {opened.hoist.registered_on.isoformat()} only"
        problems.append(Problem(place="Idle from", wrong=wrong))
    if body.until_on is not None and body.until_on < body.from_on:
        problems.append(Problem(place="Until", wrong="lies before the first day"))
    refuse("the idle time", problems)
    return append(shop, hoist_id, body, by=by, now=now, head=opened.head, uid=uid)


def expert_fields(today: date) -> tuple[Field, ...]:
    """What an expert's conditions ask."""
    return (
        _day(today),
        Field(name="by_whom", label="Expert", read=read_text("the expert"), hint="who set them"),
        Field(name="conditions", label="Conditions", read=read_text("the conditions")),
        Field(
            name="until",
            label="Until",
            read=read_date("the last day"),
            required=False,
            hint="the hoist closes by itself after it",
        ),
        Field(name="document", label="Document", read=read_text("the document"), required=False),
    )


def record_conditions(
    shop: Shop,
    hoist_id: str,
    texts: Mapping[str, str],
    *,
    by: str,
    now: datetime,
    today: date,
    uid: str | None = None,
) -> Entry:
    """Record the conditions under which an expert lets a hoist run on past its design life."""
    check_may_seal(shop, by, today)
    opened = open_hoist(shop, hoist_id)
    values = take_sealed(expert_fields(today), texts, "the conditions")
    body = ExpertConditions(
        done_on=values["done_on"],
        by_whom=values["by_whom"],
        conditions=values["conditions"],
        until=values["until"],
        document=values["document"] or "",
    )
    if body.until is not None and body.until < body.done_on:
        refuse("the conditions", [Problem(place="Until", wrong="lies before the day they were set")])
    return append(shop, hoist_id, body, by=by, now=now, head=opened.head, uid=uid)
