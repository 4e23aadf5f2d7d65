"""What was printed, kept as evidence, and how far each print queue has to be moved."""

from collections.abc import Iterable
from datetime import date, datetime
from decimal import Decimal

from fieldlog.domain.label_content import CHAIN, DUE, SPARE, WITHDRAWN, LabelContent
from fieldlog.domain.records import Entry, LabelPrinted, PrinterOffset
from fieldlog.errors import StoreError
from fieldlog.operations.shop import OpenHoist, Shop, append, append_to_shop, open_hoist

HEAD_DIGITS = 10
SHOPS_OWN = "settings"
"""The logbook for what belongs to no hoist: offsets of printers, and labels of chains on the shelf."""

SAYS = {
    DUE: ("due",),
    WITHDRAWN: ("since", "lock"),
    CHAIN: ("size", "discard"),
    SPARE: ("size", "length", "certificate"),
}
"""Fields by which a label is known again as the same; a tag by its hoist alone."""


def says_of(label: LabelContent) -> str:
    """What the record keeps of a label's words."""
    told = [label.texts.get(field, "") for field in SAYS.get(label.kind, ("id",))]
    return ", ".join(part for part in told if part)


def check_recordable(shop: Shop) -> None:
    """StoreError, before anything is printed, where it could not be recorded."""
    try:
        shop.logbooks.check_may_write()
    except StoreError as fault:
        raise StoreError(f"nothing was printed: it could not be recorded ({fault})") from fault


def note_printed(
    shop: Shop,
    label: LabelContent,
    template: str,
    *,
    by: str,
    now: datetime,
    today: date,
    copies: int = 1,
) -> Entry:
    """Record that a label was printed: a sticker is evidence. Kept is the head that stands on it.

    That of a chain on the shelf which is kept for no hoist goes into the shop's own logbook.
    """
    hoist_id = label.texts.get("id", "")
    book = shop.logbooks.read(SHOPS_OWN).head if not hoist_id else open_hoist(shop, hoist_id).head
    body = LabelPrinted(
        done_on=today,
        label=label.kind,
        template=template,
        says=says_of(label),
        head=label.texts.get("head", book[:HEAD_DIGITS]),
        copies=copies,
    )
    return append(shop, hoist_id or SHOPS_OWN, body, by=by, now=now, head=book)


def _same(printed: Iterable[tuple[Entry, LabelPrinted]], label: LabelContent) -> list[LabelPrinted]:
    says = says_of(label)
    return [body for _, body in printed if (body.label, body.says) == (label.kind, says)]


def times_printed(printed: Iterable[tuple[Entry, LabelPrinted]], label: LabelContent) -> int:
    """How often a label that says the same was printed, not counting copies made at the same time."""
    return len(_same(printed, label))


def printed_before(opened: OpenHoist, label: LabelContent) -> date | None:
    """The day on which a label that says the same was printed last, or None."""
    return max((body.done_on for body in _same(opened.history.labels, label)), default=None)


def last_printed(shop: Shop, label: LabelContent) -> date | None:
    """The day on which the same label was printed last, of a hoist or for the shelf, or None."""
    hoist_id = label.texts.get("id", "")
    if hoist_id:
        return printed_before(open_hoist(shop, hoist_id), label)
    entries = shop.logbooks.read(SHOPS_OWN).entries
    printed = [(entry, entry.body) for entry in entries if isinstance(entry.body, LabelPrinted)]
    return max((body.done_on for body in _same(printed, label)), default=None)


def offset_of(shop: Shop, queue: str) -> tuple[Decimal, Decimal]:
    """How far [mm] that queue's print is moved to the right and down; (0, 0) where nothing is kept."""
    bodies = [entry.body for entry in shop.logbooks.read(SHOPS_OWN).entries]
    kept = [body for body in bodies if isinstance(body, PrinterOffset) and body.queue == queue]
    return (kept[-1].x_mm, kept[-1].y_mm) if kept else (Decimal(0), Decimal(0))


def keep_offset(
    shop: Shop, queue: str, offset_mm: tuple[Decimal, Decimal], *, by: str, now: datetime
) -> Entry:
    """Record the offset of a print queue [mm, mm]."""
    body = PrinterOffset(queue=queue, x_mm=offset_mm[0], y_mm=offset_mm[1])
    return append_to_shop(shop, SHOPS_OWN, body, by=by, now=now)
