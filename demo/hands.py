"""What a technician does at the keys, through the same operations as the screens."""

from collections.abc import Mapping
from datetime import date, datetime

from msgspec import Struct, field

from fieldlog.domain.checklist import items_for
from fieldlog.domain.label_content import DUE, TAG
from fieldlog.domain.records import AnswerKind, Basis, Draft, Entry, InspectionKind
from fieldlog.errors import RefusedError
from fieldlog.operations.assessing import assess
from fieldlog.operations.drafting import (
    AnswerDraft,
    DefectDraft,
    InspectionDraft,
    begin_inspection,
    save_inspection,
)
from fieldlog.operations.inspecting import seal_inspection
from fieldlog.operations.paper import content as label_content
from fieldlog.operations.paper import note_printed
from fieldlog.operations.registering import register_hoist
from fieldlog.operations.shop import OpenHoist, Shop, new_uid, open_hoist

USUAL_NOTES = {
    ("life-share", InspectionKind.PERIODIC): "hours are kept in the works' own book",
    ("load-test", InspectionKind.FIRST_USE): "the maker's test certificate came with it",
    ("load-test", InspectionKind.AFTER_REPAIR): "recorded on a line of its own",
}


class Visit(Struct, frozen=True, kw_only=True):
    """Who is at the keys, and when."""

    by: str
    now: datetime

    @property
    def day(self) -> date:
        """The day of the work."""
        return self.now.date()


class Figures(Struct, frozen=True, kw_only=True):
    """What was measured, as typed; `gap` says that the go/no-go gauge left a gap at every place."""

    instrument: str
    lengths: tuple[str, ...] = ()
    gap: bool = False
    d1: str = ""
    d2: str = ""
    throat: str = ""


class Found(Struct, frozen=True, kw_only=True):
    """What is not as it should be, by checklist item; every other item is answered ok."""

    defects: Mapping[str, DefectDraft] = field(default_factory=dict)
    not_seen: Mapping[str, str] = field(default_factory=dict)
    remark: str = ""


NOTHING = Found()


def register(shop: Shop, texts: Mapping[str, str], visit: Visit, *, sheet: str) -> str:
    """Register a hoist and print its asset tag; gives back its ID."""
    hoist = register_hoist(shop, texts, by=visit.by, now=visit.now, today=visit.day, uid=new_uid())
    label = label_content(shop, hoist.id, TAG, today=visit.day)
    note_printed(shop, label, sheet, by=visit.by, now=visit.now, today=visit.day)
    return hoist.id


def enter_figures(content: InspectionDraft, figures: Figures) -> None:
    """Type what was measured."""
    if figures.gap:
        content.basis = Basis.GAUGE
        for reading in content.readings:
            reading.touch = False
    else:
        content.instrument = figures.instrument
        for reading, text in zip(content.readings, figures.lengths, strict=True):
            reading.text = text
    content.d1, content.d2, content.hook.throat = figures.d1, figures.d2, figures.throat
    content.diameter_instrument = figures.instrument if figures.d1 else ""


def answer_items(opened: OpenHoist, content: InspectionDraft, found: Found = NOTHING) -> None:
    """Answer every item that is not measured: as found, else ok."""
    for item in items_for(opened.hoist, content.occasion, opened.rulebook):
        if item.id in found.defects:
            content.answers[item.id] = AnswerDraft(answer=AnswerKind.DEFECT)
            content.defects[item.id] = found.defects[item.id]
        elif item.id in found.not_seen:
            content.answers[item.id] = AnswerDraft(answer=AnswerKind.NOT_SEEN, note=found.not_seen[item.id])
        elif not item.measure:
            note = USUAL_NOTES.get((item.id, content.occasion), "")
            content.answers[item.id] = AnswerDraft(answer=AnswerKind.OK, note=note)
    content.remark = found.remark


def inspect(
    shop: Shop,
    hoist_id: str,
    occasion: InspectionKind,
    figures: Figures,
    visit: Visit,
    *,
    found: Found = NOTHING,
) -> Entry:
    """Do a whole inspection and seal it."""
    opened = open_hoist(shop, hoist_id)
    draft, content = begin_inspection(shop, opened, occasion, by=visit.by, now=visit.now, today=visit.day)
    enter_figures(content, figures)
    answer_items(opened, content, found)
    if figures.lengths and len(set(figures.lengths)) == 1:
        # Little wear reads alike at every place; it was asked whether the tool really was moved.
        content.confirmed = list(assess(shop, opened, content, today=visit.day).questions)
    return seal_inspection(shop, draft, content, by=visit.by, now=visit.now, today=visit.day)


def print_sticker(shop: Shop, hoist_id: str, visit: Visit, *, sheet: str) -> Entry | None:
    """Print the due sticker; None where it is refused, as it is with an open safety defect."""
    try:
        label = label_content(shop, hoist_id, DUE, today=visit.day)
    except RefusedError:
        return None
    return note_printed(shop, label, sheet, by=visit.by, now=visit.now, today=visit.day)


def leave_open(shop: Shop, hoist_id: str, occasion: InspectionKind, visit: Visit, *, items: int) -> Draft:
    """Begin an inspection, answer some items, take one reading and go away."""
    opened = open_hoist(shop, hoist_id)
    draft, content = begin_inspection(shop, opened, occasion, by=visit.by, now=visit.now, today=visit.day)
    todo = [item for item in items_for(opened.hoist, occasion, opened.rulebook) if not item.measure]
    for item in todo[:items]:
        content.answers[item.id] = AnswerDraft(answer=AnswerKind.OK)
    content.remark = "called away to the intake hall"
    return save_inspection(shop, draft, content, now=visit.now)
