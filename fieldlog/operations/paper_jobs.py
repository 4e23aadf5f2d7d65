"""Labels that nobody names one by one: a whole day's or a whole site's, and those of chains on the shelf."""

from collections.abc import Callable, Mapping
from datetime import date

from msgspec import Struct
from msgspec.structs import replace

from fieldlog.domain.label_content import CHAIN, DUE, SPARE, TAG, WITHDRAWN, LabelContent
from fieldlog.domain.tag_id import scan_text
from fieldlog.domain.verdict import Summary
from fieldlog.errors import IncompleteError, RefusedError
from fieldlog.operations.due import is_retired
from fieldlog.operations.entering import (
    Field,
    read_chain_size,
    read_day_of_work,
    read_length,
    read_text,
    take_all,
)
from fieldlog.operations.finding import at_site
from fieldlog.operations.paper import content, sticker_due
from fieldlog.operations.paper_units import shop_chain, shop_long_length, units_of
from fieldlog.operations.service_forms import size_words
from fieldlog.operations.shop import OpenHoist, Shop, current_size, need_settings, open_hoist, summaries
from fieldlog.operations.telling import telling


class Batch(Struct, frozen=True, kw_only=True):
    """The labels of a batch, and why hoists that were chosen get none."""

    labels: tuple[LabelContent, ...]
    refusals: tuple[str, ...]


def hoists_for(
    shop: Shop,
    kind: str,
    *,
    today: date,
    done_on: date | None = None,
    site: str = "",
    progress: Callable[[int, int], None] | None = None,
) -> list[str]:
    """IDs of the hoists of a site, all where none is named, whose day's work asks for this kind of label.

    That is: for a due sticker the inspection that it counts from, for an out-of-service tag a stop, for a
    chain plate a chain fitted, for an asset tag the registration. Without a day all of the site, of those
    for out-of-service tags the ones out of service today. A retired hoist needs none. NotFoundError where
    `site_named` finds no such site.

    The day of a registration or of a chain stands in the logbooks alone: each is read. `progress` is told
    (done, all) after each hoist and may raise to stop.
    """
    chosen = [
        summary for summary in at_site(summaries(shop), site).values() if not is_retired(summary, today)
    ]
    if done_on is not None:
        chosen = [each for each in telling(chosen, progress) if _worked_on(shop, each, kind, done_on)]
    elif kind == WITHDRAWN:
        chosen = [summary for summary in chosen if any(stop.from_on <= today for stop in summary.stops)]
    return sorted(summary.id for summary in chosen)


def _worked_on(shop: Shop, summary: Summary, kind: str, day: date) -> bool:
    if kind == WITHDRAWN:
        return any(stop.from_on == day for stop in summary.stops)
    if kind == DUE:
        due = sticker_due(summary.dues)
        return due is not None and due.anchor == day
    opened = open_hoist(shop, summary.id)
    if kind == TAG:
        return opened.hoist.registered_on == day
    chain = opened.history.chain
    return kind == CHAIN and chain is not None and chain.fitted_on == day


def batch(
    shop: Shop,
    hoist_ids: list[str],
    kind: str,
    *,
    today: date,
    year_colours: str = "",
    progress: Callable[[int, int], None] | None = None,
) -> Batch:
    """The labels of many hoists; those that are refused one are left out and named with the reason.

    `progress` is told (done, all) after each hoist and may raise to stop.
    """
    labels, refusals = [], []
    for hoist_id in telling(hoist_ids, progress):
        try:
            labels.append(content(shop, hoist_id, kind, today=today, year_colours=year_colours))
        except RefusedError as refusal:
            refusals.append(str(refusal))
    return Batch(labels=tuple(labels), refusals=tuple(refusals))


def spare_fields(today: date, opened: OpenHoist | None = None) -> tuple[Field, ...]:
    """What the label of a spare chain asks; size and grade are proposed from the hoist it is kept for."""
    size = None if opened is None else current_size(opened)
    return (
        Field(
            name="chain",
            label="Chain dn x pn",
            read=read_chain_size,
            unit="mm",
            default="" if size is None else size_words(size),
        ),
        Field(
            name="grade",
            label="Chain grade",
            read=read_text("the grade"),
            default="" if size is None else size.grade,
        ),
        Field(name="length", label="Length", read=read_length("the length", "m"), unit="m"),
        Field(name="certificate", label="Certificate no.", read=read_text("the certificate")),
        Field(
            name="received",
            label="Received",
            read=read_day_of_work("the day of receipt", today),
            default=today.isoformat(),
        ),
        Field(name="note", label="Note", read=read_text("the note"), required=False, hint="rack, heat"),
    )


def spare_content(shop: Shop, texts: Mapping[str, str], *, today: date, hoist_id: str = "") -> LabelContent:
    """The shelf label of a spare chain from typed fields, kept for one hoist where one is named.

    Its code is then that hoist's; without one it has none. IncompleteError names every field that can not be
    taken.
    """
    opened = open_hoist(shop, hoist_id) if hoist_id else None
    values, problems = take_all(spare_fields(today, opened), texts)
    if problems:
        raise IncompleteError("the shelf label can not be printed yet", problems)
    size = values["chain"]
    told = {
        "heading": "spare load chain",
        "size": shop_chain(replace(size, grade="")),
        "grade": values["grade"],
        "length": shop_long_length(values["length"], units_of(need_settings(shop)), "m"),
        "certificate": values["certificate"],
        "received": values["received"].isoformat(),
        "note": values["note"] or "",
        "shop": need_settings(shop).shop,
    }
    if opened is None:
        return LabelContent(kind=SPARE, texts=told, code="")
    return LabelContent(kind=SPARE, texts=told | {"id": opened.hoist.id}, code=scan_text(opened.hoist.id))
