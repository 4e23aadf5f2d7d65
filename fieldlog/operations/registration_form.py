"""What the registration of a hoist asks: nameplate, the maker's book, gear and place."""

from datetime import date

from fieldlog.domain.records import Basis, Drive, ServiceClass
from fieldlog.operations.drafting import LINKS
from fieldlog.operations.entering import (
    YES_NO,
    Field,
    read_chain_size,
    read_choice,
    read_length,
    read_mass,
    read_text,
    read_whole,
    read_yes_no,
)
from fieldlog.rulebook.loader import load_rulebook, rulebook_names

EARLIEST_YEAR = 1900
BASES = (Basis.INSIDE.value, Basis.OUTSIDE.value)


def _yes_no(name: str, label: str, default: str) -> Field:
    return Field(name=name, label=label, read=read_yes_no, choices=YES_NO, default=default)


def _plate_fields(today: date) -> tuple[Field, ...]:
    drives = tuple(drive.value for drive in Drive)
    return (
        Field(name="maker", label="Maker", read=read_text("the maker")),
        Field(name="model", label="Model", read=read_text("the model")),
        Field(name="serial", label="Serial number", read=read_text("the serial number")),
        Field(
            name="year",
            label="Year made",
            read=read_whole("the year", EARLIEST_YEAR, today.year),
            required=False,
            hint="from the plate, if it is known",
        ),
        Field(name="drive", label="Drive", read=read_choice("the drive", drives), choices=drives),
        Field(
            name="capacity",
            label="Rated capacity",
            read=read_mass("the capacity"),
            unit="kg",
            hint="500, 1 t or 2000 lb",
        ),
        *_reeving_fields(),
    )


def _reeving_fields() -> tuple[Field, ...]:
    return (
        Field(name="falls", label="Falls", read=read_whole("falls", 1, 12), default="1"),
        Field(
            name="lift",
            label="Lift height",
            read=read_length("the lift height", "m"),
            unit="m",
            hint="6 or 20 ft",
        ),
        Field(
            name="chain",
            label="Chain dn x pn",
            read=read_chain_size,
            unit="mm",
            hint="diameter x pitch, as 5x15",
        ),
        Field(
            name="grade",
            label="Chain grade",
            read=read_text("the grade"),
            required=False,
            hint="as marked, e.g. T",
        ),
    )


def _book_fields() -> tuple[Field, ...]:
    return (
        Field(
            name="book_links",
            label="Book: links",
            read=read_whole("the number of links", 1, 99),
            default=LINKS,
            required=False,
        ),
        Field(
            name="book_basis",
            label="Book: measured",
            read=read_choice("the basis", BASES),
            choices=BASES,
            default=Basis.INSIDE.value,
            required=False,
        ),
        *_book_values(),
    )


def _book_values() -> tuple[Field, ...]:
    return (
        Field(
            name="book_length",
            label="Book: length new",
            read=read_length("the book length"),
            unit="mm",
            required=False,
            hint="over those links; empty if the book has none",
        ),
        Field(
            name="book_discard",
            label="Book: discard at",
            read=read_length("the discard length"),
            unit="mm",
            required=False,
            hint="the maker's own limit goes before the rulebook",
        ),
        Field(
            name="book_document",
            label="Book: document",
            read=read_text("the document"),
            required=False,
            hint="title, edition, page",
        ),
    )


def _read_group(text: str) -> str:
    """The group by either of its two names; plates carry the one or the other."""
    groups = load_rulebook("general").groups
    older = {group.fem.lower(): group.id for group in groups if group.fem}
    named = older.get(text.lower())
    return named or read_choice("the group", tuple(group.id for group in groups))(text)


def _gear_fields(drive: str) -> tuple[Field, ...]:
    # The drive as typed so far, which may be only its beginning.
    typed = drive.strip().lower()
    powered = "no" if typed and Drive.HAND.startswith(typed) else "yes"
    return (
        Field(
            name="hook_throat",
            label="Hook throat as new",
            read=read_length("the hook throat"),
            unit="mm",
            required=False,
            hint="from the book or between the punch marks",
        ),
        _yes_no("limit_switches", "Limit switches", powered),
        _yes_no("container", "Chain container", powered),
        _yes_no("overload_device", "Overload device", powered),
        _yes_no("trolley", "Trolley", "no"),
        _yes_no("lifts_persons", "Lifts persons", "no"),
        Field(
            name="group",
            label="Mechanism group",
            read=_read_group,
            choices=tuple(group.id for group in load_rulebook("general").groups),
            required=False,
            hint="as on the plate, M4 or 1Am",
        ),
    )


def _place_fields(rulebook: str) -> tuple[Field, ...]:
    books = rulebook_names()
    services = tuple(service.value for service in ServiceClass)
    return (
        Field(name="site", label="Site", read=read_text("the site")),
        Field(
            name="place",
            label="Place",
            read=read_text("the place"),
            required=False,
            hint="bay, beam, machine",
        ),
        Field(
            name="service",
            label="Service class",
            read=read_choice("the service class", services),
            choices=services,
            default=ServiceClass.NORMAL.value,
        ),
        Field(
            name="rulebook",
            label="Rulebook here",
            read=read_choice("the rulebook", books),
            choices=books,
            default=rulebook,
        ),
    )


def registration_fields(*, rulebook: str, drive: str = "", today: date) -> tuple[Field, ...]:
    """All fields of the form, in its order; defaults follow the drive and the shop's rulebook."""
    return _plate_fields(today) + _book_fields() + _gear_fields(drive) + _place_fields(rulebook)
