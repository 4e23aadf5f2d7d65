"""Moving a hoist to another place: a new registration record, the old facts kept."""

from collections.abc import Mapping
from datetime import date, datetime

from msgspec.structs import replace

from fieldlog.domain.history import History
from fieldlog.domain.records import Entry, Hoist
from fieldlog.errors import Problem, RefusedError
from fieldlog.operations.entering import Field, read_choice, read_day_of_work, read_text, refuse, take_sealed
from fieldlog.operations.setting_up import sites
from fieldlog.operations.shop import OpenHoist, Shop, append, check_may_seal, open_hoist
from fieldlog.rulebook.loader import rulebook_names


def moving_fields(opened: OpenHoist, today: date) -> tuple[Field, ...]:
    """What a move asks; the rulebook is left empty to follow the new site."""
    books = rulebook_names()
    return (
        Field(name="site", label="Site", read=read_text("the site"), default=opened.hoist.site),
        Field(
            name="place",
            label="Place",
            read=read_text("the place"),
            required=False,
            hint=f"now: {opened.hoist.place}" if opened.hoist.place else "",
        ),
        Field(
            name="rulebook",
            label="Rulebook there",
            read=read_choice("the rulebook", books),
            choices=books,
            required=False,
            hint="empty: the one of the site, else as before",
        ),
        Field(
            name="done_on",
            label="Day of the move",
            read=read_day_of_work("the day of the move", today),
            default=today.isoformat(),
        ),
    )


def move_hoist(
    shop: Shop,
    hoist_id: str,
    texts: Mapping[str, str],
    *,
    back_in_use: bool = False,
    by: str,
    now: datetime,
    today: date,
    uid: str | None = None,
) -> Entry:
    """Seal where the hoist hangs from a day on; the schedule then asks for the inspection after a move.

    A retired hoist is put to use again only where `back_in_use` says so; RefusedError otherwise.
    IncompleteError where nothing would change or the day lies before the last registration.
    """
    check_may_seal(shop, by, today)
    opened = open_hoist(shop, hoist_id)
    if opened.history.retired is not None and not back_in_use:
        since = opened.history.retired.done_on.isoformat()
        raise RefusedError(
            f"{hoist_id} is retired since {since}: say that it is put to use again (--back-in-use)"
        )
    values = take_sealed(moving_fields(opened, today), texts, "the move")
    before = opened.hoist
    site, place, day = values["site"], values["place"] or "", values["done_on"]
    book = values["rulebook"] or _rulebook_there(shop, site, before.rulebook)
    refuse("the move", _faults(opened.history, before, (site, place), day, back_in_use=back_in_use))
    body = replace(before, site=site, place=place, rulebook=book, registered_on=day)
    return append(shop, hoist_id, body, by=by, now=now, head=opened.head, uid=uid)


def _rulebook_there(shop: Shop, site: str, before: str) -> str:
    """The rulebook recorded for the site; the same hoist changes regime when it moves."""
    known = sites(shop).get(site)
    return known.rulebook if known is not None and known.rulebook else before


def _faults(
    history: History, before: Hoist, there: tuple[str, str], day: date, *, back_in_use: bool
) -> list[Problem]:
    faults = []
    if (before.site, before.place) == there and not (back_in_use and history.retired is not None):
        wrong = "the hoist hangs there already."
        faults.append(Problem(place="Place", wrong=wrong, todo="Name the new site or place."))
    least = history.moved_on or before.registered_on
    if history.retired is not None:
        least = max(least, history.retired.done_on)
    if day < least:
        wrong = f"{day.isoformat()} lies before {least.isoformat()}, the day of its last record of a place."
        faults.append(Problem(place="Day of the move", wrong=wrong, todo="Give that day or a later one."))
    return faults
