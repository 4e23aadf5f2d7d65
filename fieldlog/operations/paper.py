"""What stands on the paper of a hoist, and when a sticker is refused."""

from datetime import date, datetime

from fieldlog.domain.label_content import DUE, TAG, LabelContent
from fieldlog.domain.records import Entry, InspectionKind, LabelPrinted
from fieldlog.domain.schedule import COUNTS_FOR, SCHEDULED, Due
from fieldlog.domain.tag_id import scan_text
from fieldlog.domain.verdict import Fitness, fitness_on, summarise
from fieldlog.errors import RefusedError
from fieldlog.operations.shop import OpenHoist, Shop, append, current_size, need_settings, open_hoist
from fieldlog.units import format_mass, format_mm

HEAD_DIGITS = 10


def chain_words(opened: OpenHoist) -> str:
    """Chain size and grade for people: '5 x 15 mm, T'."""
    size = current_size(opened)
    text = f"{format_mm(size.dn_mm)} x {format_mm(size.pn_mm)} mm"
    return f"{text}, {size.grade}" if size.grade else text


def tag_content(shop: Shop, opened: OpenHoist) -> LabelContent:
    """The asset tag of a hoist."""
    hoist = opened.hoist
    texts = {
        "id": hoist.id,
        "capacity": format_mass(hoist.capacity_kg),
        "chain": chain_words(opened),
        "site": hoist.site,
        "place": hoist.place,
        "shop": need_settings(shop).shop,
        "maker": f"{hoist.maker} {hoist.model}, {hoist.serial}",
    }
    return LabelContent(kind=TAG, texts=texts, code=scan_text(hoist.id))


def _sticker_due(dues: tuple[Due, ...]) -> Due | None:
    """The periodic inspection where one is scheduled: a sticker is for the longest interval."""
    scheduled = [due for due in dues if due.inspection in SCHEDULED]
    return max(scheduled, key=lambda due: due.inspection is InspectionKind.PERIODIC, default=None)


def _done_by(opened: OpenHoist, due: Due) -> str:
    """Who sealed the inspection that the due date is counted from."""
    done = [
        entry.by
        for entry, body in opened.history.inspections
        if body.done_on == due.anchor and body.occasion in COUNTS_FOR[due.inspection]
    ]
    return done[-1]


def due_content(shop: Shop, opened: OpenHoist, *, today: date) -> LabelContent:
    """The due sticker: the month OF the strict due date, never a later one.

    RefusedError says why where a defect that affects safety is open or nothing was inspected yet.
    """
    summary = summarise(opened.history, opened.rulebook)
    standing = fitness_on(summary, today)
    closed = standing.reasons if standing.fitness is Fitness.OUT_OF_SERVICE else ()
    refusals = tuple(dict.fromkeys([*summary.sticker_refusals, *closed]))
    due = _sticker_due(summary.dues)
    if refusals or due is None:
        why = "; ".join(refusals) or "no inspection is scheduled"
        raise RefusedError(f"no due sticker for {summary.id}: {why}")
    texts = {
        "heading": "next inspection due",
        "month": f"{due.due_on.month:02d}",
        "year": str(due.due_on.year),
        "kind": due.inspection.value,
        "id": summary.id,
        "due": due.due_on.isoformat(),
        "done": due.anchor.isoformat(),
        "by": _done_by(opened, due),
        "shop": need_settings(shop).shop,
        "head": opened.head[:HEAD_DIGITS],
    }
    return LabelContent(kind=DUE, texts=texts, code=scan_text(summary.id))


def content(shop: Shop, hoist_id: str, kind: str, *, today: date) -> LabelContent:
    """The content of a label of this kind for this hoist."""
    opened = open_hoist(shop, hoist_id)
    return tag_content(shop, opened) if kind == TAG else due_content(shop, opened, today=today)


def note_printed(
    shop: Shop, label: LabelContent, template: str, *, by: str, now: datetime, today: date
) -> Entry:
    """Record that a label was printed: a sticker is evidence. Kept is the head that stands on it."""
    opened = open_hoist(shop, label.texts["id"])
    says = label.texts["due"] if label.kind == DUE else label.texts["id"]
    head = label.texts.get("head", opened.head[:HEAD_DIGITS])
    body = LabelPrinted(done_on=today, label=label.kind, template=template, says=says, head=head)
    return append(shop, opened.hoist.id, body, by=by, now=now, head=opened.head)


def printed_before(opened: OpenHoist, label: LabelContent) -> date | None:
    """The day on which a label that says the same was printed last, or None."""
    says = label.texts["due"] if label.kind == DUE else label.texts["id"]
    days = [b.done_on for _, b in opened.history.labels if (b.label, b.says) == (label.kind, says)]
    return max(days, default=None)
