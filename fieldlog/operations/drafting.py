"""An inspection while it is being done: all of it as typed, kept beside the store until it is sealed."""

from collections.abc import Mapping
from datetime import date, datetime
from typing import Any

from msgspec import Struct, field
from msgspec.structs import replace

from fieldlog.domain.records import AnswerKind, Basis, DefectGrade, Draft, InspectionKind
from fieldlog.operations.shop import OpenHoist, Shop, book_for_chain, new_uid
from fieldlog.store.codec import from_plain, plain

INSPECTION = "inspection"
REGISTRATION = "registration"
PLACES = ("usual working height", "hook end", "stop end")
LINKS = "11"


class AnswerDraft(Struct, kw_only=True):
    """An answer as given so far; a note may come before the answer."""

    answer: AnswerKind | None = None
    note: str = ""


class ReadingDraft(Struct, kw_only=True):
    """A gauge length as typed; read several times, the figures stand with ';' between them.

    `confirmed` holds the questions that were answered with yes.
    """

    place: str
    text: str = ""
    touch: bool | None = None
    confirmed: list[str] = field(default_factory=list)


class DefectDraft(Struct, kw_only=True):
    """A defect as typed, by checklist item."""

    what: str = ""
    where: str = ""
    grade: DefectGrade = DefectGrade.STOPS_NOW
    stops_on: str = ""
    remedy: str = ""
    serious: bool = False
    told: str = ""


class HookDraft(Struct, kw_only=True):
    """What was measured on a hook, as typed; `new` is the throat as new where it is not registered."""

    throat: str = ""
    twist: str = ""
    crack: bool = False
    new: str = ""
    section_new: str = ""
    section: str = ""
    instrument: str = ""


class PitchDraft(Struct, kw_only=True):
    """The pitch of one link, and its wire diameter where it was taken, as typed."""

    place: str = "the longest link"
    pitch: str = ""
    diameter: str = ""
    instrument: str = ""


def _three_places() -> list[ReadingDraft]:
    return [ReadingDraft(place=place) for place in PLACES]


class InspectionDraft(Struct, kw_only=True):
    """Everything typed so far in one inspection.

    `unused` is a length over unused links of the same chain; `capacity_seen` and `chain_seen` are what
    nameplate and chain say today.
    """

    occasion: InspectionKind
    done_on: str
    answers: dict[str, AnswerDraft] = field(default_factory=dict)
    defects: dict[str, DefectDraft] = field(default_factory=dict)
    links: str = LINKS
    basis: Basis = Basis.INSIDE
    instrument: str = ""
    readings: list[ReadingDraft] = field(default_factory=_three_places)
    diameter_place: str = "most worn place"
    d1: str = ""
    d2: str = ""
    diameter_instrument: str = ""
    hook: HookDraft = field(default_factory=HookDraft)
    confirmed: list[str] = field(default_factory=list)
    remark: str = ""
    unused: str = ""
    upper_hook: HookDraft = field(default_factory=HookDraft)
    pitches: list[PitchDraft] = field(default_factory=list)
    capacity_seen: str = ""
    chain_seen: str = ""


def gauge_of(opened: OpenHoist) -> tuple[int, Basis]:
    """Links and basis of what this chain's reference is known for: the maker's book, else its baseline."""
    book, chain = book_for_chain(opened), opened.history.chain
    if book is not None and (book.length_mm is not None or book.discard_mm is not None):
        return book.links, book.basis
    for measured in () if chain is None else (chain.baseline, chain.unused):
        if measured is not None:
            return measured.links, measured.basis
    return int(LINKS), Basis.INSIDE


def begin_inspection(
    shop: Shop, opened: OpenHoist, occasion: InspectionKind, *, by: str, now: datetime, today: date
) -> tuple[Draft, InspectionDraft]:
    """A new draft for this hoist; places, links, basis and instrument are proposed from last time."""
    last = opened.history.last_readings
    content = InspectionDraft(occasion=occasion, done_on=today.isoformat())
    if last:
        content.readings = [ReadingDraft(place=reading.place) for reading in last]
        content.links = str(last[0].links)
        content.basis = last[0].basis
        content.instrument = last[0].instrument
    else:
        links, content.basis = gauge_of(opened)
        content.links = str(links)
    content.upper_hook.new = _upper_throat_as_new(opened)
    draft = Draft.fresh(
        uid=new_uid(), kind=INSPECTION, about=opened.hoist.id, by=by, now=now, head=opened.head
    )
    return save_inspection(shop, draft, content, now=now), content


def _upper_throat_as_new(opened: OpenHoist) -> str:
    """The upper hook's throat as new as it was typed last, which no registration holds."""
    hooks = [hook for _, body in opened.history.inspections for hook in body.hooks]
    known = [hook.new_mm for hook in hooks if hook.which == "upper" and hook.new_mm is not None]
    return f"{known[-1]:f}" if known else ""


def save_inspection(shop: Shop, draft: Draft, content: InspectionDraft, *, now: datetime) -> Draft:
    """Keep the draft as it stands; called after every answer and every key in a field."""
    return save_fields(shop, draft, inspection_fields(content), now=now)


def inspection_fields(content: InspectionDraft) -> dict[str, Any]:
    """The content as the fields of its draft; `read_inspection` reads them."""
    fields = plain(content)
    assert isinstance(fields, dict)
    return fields


def read_inspection(draft: Draft) -> InspectionDraft:
    """The content of a kept draft."""
    return from_plain(draft.fields, InspectionDraft)


def begin_form(kind: str, about: str = "", *, by: str, now: datetime) -> Draft:
    """An empty draft of a form; it is kept from the first key on."""
    return Draft.fresh(uid=new_uid(), kind=kind, about=about, by=by, now=now)


def begin_registration(*, by: str, now: datetime) -> Draft:
    """An empty draft of a registration."""
    return begin_form(REGISTRATION, by=by, now=now)


def save_fields(shop: Shop, draft: Draft, fields: Mapping[str, Any], *, now: datetime) -> Draft:
    """Keep what was typed, as the texts of a form or `inspection_fields`."""
    kept = replace(draft, fields=dict(fields), saved=now)
    shop.drafts.save(kept)
    return kept


def kept_drafts(shop: Shop, *, about: str | None = None) -> list[Draft]:
    """Drafts that wait, newest first; only those of one hoist where it is named."""
    drafts, _ = shop.drafts.all()
    return [draft for draft in drafts if about is None or draft.about == about]


def discard_draft(shop: Shop, draft: Draft) -> None:
    """Throw a draft away; asked for by a person only."""
    shop.drafts.remove(draft.uid)
