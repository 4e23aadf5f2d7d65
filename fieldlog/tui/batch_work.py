"""A batch of labels, worked out and printed in a thread: who gets one, who is refused, and the records."""

from collections.abc import Callable
from datetime import date, datetime
from typing import Any

from msgspec import Struct

from fieldlog.domain.counting import counted
from fieldlog.domain.label_content import DUE, LabelContent
from fieldlog.errors import RefusedError
from fieldlog.operations.label_log import check_recordable, last_printed
from fieldlog.operations.paper_jobs import batch, hoists_for
from fieldlog.operations.shop import damaged
from fieldlog.tui import print_order
from fieldlog.tui.long_work import Job
from fieldlog.tui.print_order import NO_COLOUR, WORDS, Order

ALL = "all"


class Asked(Struct, frozen=True, kw_only=True):
    """Which hoists get which label: a site or all, of one day's work or of any."""

    kind: str
    site: str
    day: date | None
    colours: str
    today: date


class Found(Struct, frozen=True, kw_only=True):
    """Labels with a remark to each, and tags with the reason why they get none."""

    labels: tuple[LabelContent, ...] = ()
    remarks: tuple[str, ...] = ()
    refused: tuple[tuple[str, str], ...] = ()


def asked_of(values: dict[str, Any], today: date) -> Asked:
    """What the form asks for; colours of the year are a due sticker's alone."""
    colour = values.get("colour", NO_COLOUR)
    coloured = values["kind"] == DUE and colour != NO_COLOUR
    return Asked(
        kind=values["kind"],
        site=values["site"],
        day=values["day"],
        colours=colour if coloured else "",
        today=today,
    )


def find_labels(job: Job, asked: Asked) -> Found:
    """Work every label out; a hoist that is refused one, or whose logbook can not be used, is left out."""
    site = "" if asked.site == ALL else asked.site
    tags = hoists_for(
        job.shop, asked.kind, today=asked.today, done_on=asked.day, site=site, progress=job.tell
    )
    broken = damaged(job.shop)
    labels: list[LabelContent] = []
    remarks: list[str] = []
    refused: list[tuple[str, str]] = []
    for done, tag in enumerate(tags, start=1):
        if tag in broken:
            refused.append((tag, broken[tag]))
        else:
            made = batch(job.shop, [tag], asked.kind, today=asked.today, year_colours=asked.colours)
            labels += made.labels
            remarks += [_remark(job, label) for label in made.labels]
            refused += [(tag, reason) for reason in made.refusals]
        job.tell(done, len(tags))
    return Found(labels=tuple(labels), remarks=tuple(remarks), refused=tuple(refused))


def _remark(job: Job, label: LabelContent) -> str:
    day = last_printed(job.shop, label)
    return "" if day is None else f"printed before, on {day.isoformat()}: destroy that one"


def print_labels(
    job: Job, asked: Asked, found: Found, order: Order, *, by: str, clock: Callable[[], datetime]
) -> str:
    """Draw, hand over and record what was found, if it still stands so; gives back what is to be said."""
    if find_labels(job, asked) != found:
        raise RefusedError("Something was sealed since this was listed: F10 lists it anew.")
    check_recordable(job.shop)
    job.call("labels")
    title = f"{asked.kind} labels"
    printed = print_order.draw(order, found.labels, title=title, author=by, tell=job.tell)
    missed: list[str] = []
    job.past_stopping("labels recorded")

    def record() -> None:
        missed.extend(print_order.record_all(job, found.labels, order, by=by, clock=clock))

    said = print_order.hand_over(order, printed.pdf, title, record)
    many = f"{counted(len(found.labels), WORDS[asked.kind])}, {counted(printed.pages, 'page')}."
    return " ".join([many, *said, *(missed or ["Each is recorded."]), *printed.cut])
