"""What the shop's own forms ask, and what they become: instruments, people, sites."""

from collections.abc import Mapping
from datetime import date, datetime

from msgspec.structs import replace

from fieldlog.domain.records import Entry, InspectionKind, Instrument, Person, Site
from fieldlog.errors import Problem
from fieldlog.operations.entering import (
    YES_NO,
    Field,
    read_choice,
    read_date,
    read_day_of_work,
    read_text,
    read_whole,
    read_yes_no,
    refuse,
    take_sealed,
)
from fieldlog.operations.instruments import instruments
from fieldlog.operations.setting_up import sites
from fieldlog.operations.shop import (
    Shop,
    append_to_shop,
    check_may_seal,
    need_settings,
    people,
    rulebook_named,
)
from fieldlog.rulebook.loader import rulebook_names

MOST_MONTHS = 120


def _yes_no(name: str, label: str, default: str, hint: str = "") -> Field:
    return Field(name=name, label=label, read=read_yes_no, choices=YES_NO, default=default, hint=hint)


def _text(name: str, label: str, default: str = "", *, required: bool = False, hint: str = "") -> Field:
    read = read_text(label.lower())
    return Field(name=name, label=label, read=read, default=default, required=required, hint=hint)


def read_kinds(text: str) -> tuple[InspectionKind, ...]:
    """Kinds of inspection with commas between them; an unambiguous beginning of each is enough."""
    read = read_choice("a kind of inspection", tuple(kind.value for kind in InspectionKind))
    chosen = {read(part.strip()) for part in text.split(",") if part.strip()}
    return tuple(kind for kind in InspectionKind if kind.value in chosen)


def _yes(value: bool) -> str:
    return "yes" if value else "no"


def instrument_fields(shop: Shop, today: date, name: str = "") -> tuple[Field, ...]:
    """What an instrument, or its next calibration, asks; what is known of one by that name is proposed."""
    held = instruments(shop).get(name)
    kinds = tuple(kind.id for kind in rulebook_named(need_settings(shop).rulebook, shop).instruments)
    interval = "" if held is None or held.interval_months is None else str(held.interval_months)
    return (
        _text("name", "Instrument", name, required=True, hint="number or name as it stands on it"),
        Field(
            name="type",
            label="Kind",
            read=read_choice("the kind", kinds),
            choices=kinds,
            default="" if held is None else held.type,
            hint="decides its error and so what it can tell",
        ),
        Field(
            name="calibrated_on",
            label="Calibrated on",
            read=read_day_of_work("the day of the calibration", today),
            required=False,
            hint="empty if it is not known",
        ),
        Field(
            name="interval",
            label="Every (months)",
            read=read_whole("the interval", 1, MOST_MONTHS),
            default=interval,
            required=False,
        ),
        _yes_no("passed", "Passed", "yes", hint="no: all readings since the last good one are listed"),
        _text("certificate", "Certificate no."),
    )


def take_instrument(
    shop: Shop, texts: Mapping[str, str], *, by: str, now: datetime, today: date, uid: str | None = None
) -> Entry:
    """Seal an instrument or its next calibration; IncompleteError lists every field at fault."""
    check_may_seal(shop, by, today)
    values = take_sealed(instrument_fields(shop, today), texts, "the instrument")
    body = Instrument(
        name=values["name"],
        type=values["type"],
        calibrated_on=values["calibrated_on"],
        interval_months=values["interval"],
        passed=values["passed"],
        certificate=values["certificate"] or "",
    )
    if not body.passed and body.calibrated_on is None:
        refuse("the instrument", [Problem(place="Calibrated on", wrong="say on which day it failed")])
    return append_to_shop(shop, "instruments", body, by=by, now=now, uid=uid)


def person_fields(shop: Shop, name: str = "") -> tuple[Field, ...]:
    """What a person asks; what is known of one by that name is proposed."""
    held = people(shop).get(name) or Person(name=name)
    return (
        _text("name", "Name", name, required=True, hint="stands under what this person seals"),
        _text("login", "Login", held.login, hint="proposes the person at this login"),
        _text("qualification", "Qualification", held.qualification, hint="as reports should name it"),
        _yes_no("may_seal", "May seal", _yes(held.may_seal)),
        Field(
            name="until",
            label="May seal until",
            read=read_date("the last day"),
            default="" if held.until is None else held.until.isoformat(),
            required=False,
        ),
        Field(
            name="seals",
            label="Seals only",
            read=read_kinds,
            default=", ".join(held.seals),
            required=False,
            hint="kinds of inspection with commas; empty: all",
        ),
        _text("address", "Address", held.address),
        _yes_no("self_employed", "Self-employed", _yes(held.self_employed)),
        _text("employer", "Employer", held.employer),
        _text("employer_address", "Employer's address", held.employer_address),
    )


def take_person(
    shop: Shop, texts: Mapping[str, str], *, by: str, now: datetime, today: date, uid: str | None = None
) -> Entry:
    """Seal a person, or a change of one; IncompleteError lists every field at fault."""
    check_may_seal(shop, by, today)
    values = take_sealed(person_fields(shop), texts, "the person")
    problems = []
    if values["self_employed"] and (values["employer"] or values["employer_address"]):
        wrong = "is given for somebody self-employed: keep one of the two"
        problems.append(Problem(place="Employer", wrong=wrong))
    last = {person for person in people(shop).values() if person.may_seal} - {
        people(shop).get(values["name"])
    }
    if not values["may_seal"] and not last:
        problems.append(Problem(place="May seal", wrong="nobody else may seal: the shop would be locked out"))
    refuse("the person", problems)
    texts_of = ("login", "qualification", "address", "employer", "employer_address")
    body = replace(
        people(shop).get(values["name"]) or Person(name=values["name"]),
        may_seal=values["may_seal"],
        until=values["until"],
        seals=values["seals"] or (),
        self_employed=values["self_employed"],
        **{name: values[name] or "" for name in texts_of},
    )
    return append_to_shop(shop, "people", body, by=by, now=now, uid=uid)


def site_fields(shop: Shop, name: str = "") -> tuple[Field, ...]:
    """What a site asks; what is known of one by that name is proposed."""
    held = sites(shop).get(name) or Site(name=name)
    books = rulebook_names()
    return (
        _text("name", "Site", name, required=True, hint="as it stands with its hoists"),
        _text("address", "Address", held.address),
        Field(
            name="rulebook",
            label="Rulebook here",
            read=read_choice("the rulebook", books),
            choices=books,
            default=held.rulebook,
            required=False,
            hint="empty: the shop's own",
        ),
        _text("owner", "Owner", held.owner, hint="whose hoists hang there"),
        _text("owner_address", "Owner's address", held.owner_address),
    )


def take_site(
    shop: Shop, texts: Mapping[str, str], *, by: str, now: datetime, today: date, uid: str | None = None
) -> Entry:
    """Seal a site, or a change of one; IncompleteError lists every field at fault."""
    check_may_seal(shop, by, today)
    values = take_sealed(site_fields(shop), texts, "the site")
    held = sites(shop).get(values["name"]) or Site(name=values["name"])
    body = replace(held, **{name: value or "" for name, value in values.items()})
    return append_to_shop(shop, "sites", body, by=by, now=now, uid=uid)
