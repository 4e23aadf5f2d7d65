"""First start: the shop's name, tag prefix, rulebook, and who is at the keys."""

import re
from collections.abc import Mapping
from datetime import datetime

from msgspec.structs import replace

from fieldlog.domain.records import Instrument, Person, ShopSettings, Site
from fieldlog.errors import IncompleteError, InputError, NotFoundError
from fieldlog.operations.entering import Field, read_choice, read_text, take_all
from fieldlog.operations.paper_units import LENGTH_UNITS, MASS_UNITS, PaperUnits, read_unit
from fieldlog.operations.shop import Shop, append_to_shop, need_settings, people, settings, shop_bodies
from fieldlog.rulebook.loader import rulebook_names
from fieldlog.units import quoted

PREFIX = re.compile(r"[A-Za-z]{2,4}")
UNITS = {"mm, kg": PaperUnits(), "in, lb": PaperUnits(length="in", mass="lb")}


def read_prefix(text: str) -> str:
    """Two to four letters A to Z, given back in capitals."""
    # Checked before it is made capital: other alphabets have letters whose capitals are ours.
    if not PREFIX.fullmatch(text):
        raise InputError(f"the tag prefix is two to four letters A to Z, not {quoted(text)}")
    return text.upper()


def setup_fields(login: str = "") -> tuple[Field, ...]:
    """What the first start asks; the person is proposed from the login name."""
    books = rulebook_names()
    return (
        Field(name="shop", label="Shop name", read=read_text("the shop name"), hint="as it stands on tags"),
        Field(name="prefix", label="Tag prefix", read=read_prefix, hint="2 to 4 letters, as SW"),
        Field(
            name="rulebook",
            label="Rulebook",
            read=read_choice("the rulebook", books),
            choices=books,
            default=books[0],
            hint="general takes the strictest common figures",
        ),
        Field(
            name="person",
            label="At the keys",
            read=read_text("the name"),
            default=login,
            hint="your full name, it stands under what you seal",
        ),
        Field(
            name="qualification",
            label="Qualification",
            read=read_text("the qualification"),
            required=False,
            hint="as reports should name it",
        ),
        Field(
            name="units",
            label="Units on paper",
            read=read_choice("the units on paper", tuple(UNITS)),
            choices=tuple(UNITS),
            default=next(iter(UNITS)),
            hint="records stay in mm and kg",
        ),
    )


def set_up(shop: Shop, texts: Mapping[str, str], *, login: str, now: datetime) -> ShopSettings:
    """Write the shop's settings and its first person as records; refuses a second time.

    Settings without a person are a first start that broke off: what is typed now goes over them.
    """
    held = settings(shop)
    if held is not None and people(shop):
        raise InputError(f"this store belongs to {held.shop} already")
    values, problems = take_all(setup_fields(login), texts)
    if problems:
        raise IncompleteError("the shop can not be set up yet", problems)
    units = UNITS[values["units"]]
    body = ShopSettings(
        shop=values["shop"],
        prefix=values["prefix"],
        rulebook=values["rulebook"],
        length_unit=units.length,
        mass_unit=units.mass,
    )
    person = Person(name=values["person"], login=login, qualification=values["qualification"] or "")
    if held != body:
        append_to_shop(shop, "settings", body, by=person.name, now=now)
    append_to_shop(shop, "people", person, by=person.name, now=now)
    return body


def add_person(shop: Shop, person: Person, *, by: str, now: datetime) -> None:
    """Record a person, or a change of one."""
    append_to_shop(shop, "people", person, by=by, now=now)


def add_instrument(shop: Shop, instrument: Instrument, *, by: str, now: datetime) -> None:
    """Record an instrument, or its next calibration."""
    append_to_shop(shop, "instruments", instrument, by=by, now=now)


def add_site(shop: Shop, site: Site, *, by: str, now: datetime) -> None:
    """Record a site, or a change of one."""
    append_to_shop(shop, "sites", site, by=by, now=now)


def sites(shop: Shop) -> dict[str, Site]:
    """The recorded sites by name; the last record of a name holds."""
    return {body.name: body for body in shop_bodies(shop, "sites") if isinstance(body, Site)}


def set_shop_address(shop: Shop, address: str, *, by: str, now: datetime) -> None:
    """Record the address that stands on the shop's reports; NotFoundError before the first start."""
    body = replace(need_settings(shop), address=address.strip())
    append_to_shop(shop, "settings", body, by=by, now=now)


def paper_unit_fields(held: ShopSettings) -> tuple[Field, ...]:
    """What a change of the units on paper asks; those that hold are proposed."""
    return (
        Field(
            name="length_unit",
            label="Lengths in",
            read=read_unit("the unit of lengths on paper", "length", LENGTH_UNITS),
            choices=LENGTH_UNITS,
            default=held.length_unit,
            hint="on labels and reports; the record stays in mm",
        ),
        Field(
            name="mass_unit",
            label="Loads in",
            read=read_unit("the unit of loads on paper", "mass", MASS_UNITS),
            choices=MASS_UNITS,
            default=held.mass_unit,
            hint="on labels and reports; the record stays in kg",
        ),
    )


def set_site_particulars(
    shop: Shop, name: str, *, address: str, owner: str, owner_address: str, by: str, now: datetime
) -> None:
    """Record where a site lies and whose hoists hang there; one that is not recorded yet is added.

    InputError for a site without a name.
    """
    if not name.strip():
        raise InputError("name the site, as it stands with its hoists")
    held = sites(shop).get(name.strip(), Site(name=name.strip()))
    body = replace(held, address=address.strip(), owner=owner.strip(), owner_address=owner_address.strip())
    add_site(shop, body, by=by, now=now)


def set_person_particulars(
    shop: Shop,
    name: str,
    *,
    qualification: str,
    address: str,
    employer: str = "",
    employer_address: str = "",
    self_employed: bool = False,
    by: str,
    now: datetime,
) -> None:
    """Record what a report says of a person; NotFoundError for a name that the shop does not know.

    InputError for somebody who is self-employed and has an employer.
    """
    held = people(shop).get(name)
    if held is None:
        raise NotFoundError(f"{name or 'nobody'} is not among the shop's people: add the person first")
    if self_employed and (employer.strip() or employer_address.strip()):
        raise InputError(f"{name} is self-employed or has an employer: give one of the two")
    body = replace(
        held,
        qualification=qualification.strip(),
        address=address.strip(),
        employer=employer.strip(),
        employer_address=employer_address.strip(),
        self_employed=self_employed,
    )
    add_person(shop, body, by=by, now=now)
