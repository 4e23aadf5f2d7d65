"""Registering a hoist: what is asked, what is questioned, and the tag ID it gets."""

from collections.abc import Mapping
from datetime import date, datetime
from decimal import Decimal
from typing import Any

from fieldlog.domain.chain import inside_length, nominal_length
from fieldlog.domain.plausibility import question_reference
from fieldlog.domain.records import Basis, BookValue, ChainSize, Drive, Hoist, ServiceClass
from fieldlog.domain.tag_id import make_id, next_number
from fieldlog.domain.verdict import Summary
from fieldlog.errors import ConflictError, IncompleteError, NotFoundError, Problem, StoreError
from fieldlog.operations.drafting import LINKS
from fieldlog.operations.entering import take_all
from fieldlog.operations.registration_form import registration_fields
from fieldlog.operations.shop import Shop, append, check_may_seal, need_settings
from fieldlog.store.ending import GENESIS
from fieldlog.units import format_mm

__all__ = [
    "hoist_from",
    "next_id",
    "register_hoist",
    "registration_fields",
    "registration_questions",
    "twin_questions",
]

TRIES_FOR_A_NUMBER = 20
LOOK_BACK = 4
# The laxest rule for hoists allows 2.5 % (DOE-STD-1090-96 ch. 8); where to ask is common practice, no source.
MOST_GROWTH = Decimal("0.03")


def _book(values: Mapping[str, Any]) -> BookValue | None:
    """The book as entered; one without figures is kept too, because somebody typed it."""
    length, discard = values["book_length"], values["book_discard"]
    if length is None and discard is None and values["book_document"] is None:
        return None
    links, basis = _gauge(values)
    return BookValue(
        links=links,
        basis=basis,
        length_mm=length,
        discard_mm=discard,
        document=values["book_document"],
    )


def _book_problems(values: Mapping[str, Any]) -> list[Problem]:
    length, discard = values.get("book_length"), values.get("book_discard")
    if length is None and discard is None:
        return []
    problems = []
    new = _length_new(values)
    if not values.get("book_document"):
        problems.append(
            Problem(place="Book: document", wrong="name the document that the book value comes from")
        )
    if new is not None and discard is not None and discard <= new:
        problems.append(
            Problem(
                place="Book: discard at",
                wrong=f"the discard length is not longer than the new one ({format_mm(new)} mm)",
            )
        )
    return problems


def _gauge(values: Mapping[str, Any]) -> tuple[int, Basis]:
    return values.get("book_links") or int(LINKS), Basis(values.get("book_basis") or Basis.INSIDE)


def _length_new(values: Mapping[str, Any]) -> Decimal | None:
    """The new length that a discard length is over: the book's own, else the one that the size gives."""
    length, size = values.get("book_length"), values.get("chain")
    if length is not None or not isinstance(size, ChainSize):
        return length
    return nominal_length(size, *_gauge(values))


def _discard_question(values: Mapping[str, Any], size: ChainSize) -> tuple[str, ...]:
    """A discard length that allows more growth than any rule does: most likely of another basis or count."""
    discard, new = values.get("book_discard"), _length_new(values)
    if discard is None or new is None:
        return ()
    links, basis = _gauge(values)
    share = (discard - new) / inside_length(size, links)
    if share <= MOST_GROWTH:
        return ()
    percent = (share * 100).quantize(Decimal("0.1"))
    return (
        f"a discard length of {format_mm(discard)} mm allows the chain to grow by {percent} %:"
        f" is it over {links} links {basis}?",
    )


def registration_questions(texts: Mapping[str, str], *, rulebook: str, today: date) -> tuple[str, ...]:
    """What is taken only after a second look: book lengths that do not go with the chain size."""
    fields = registration_fields(rulebook=rulebook, drive=texts.get("drive", ""), today=today)
    values, _ = take_all(fields, texts)
    length, size = values.get("book_length"), values.get("chain")
    if not isinstance(size, ChainSize):
        return ()
    asked = () if length is None else question_reference(length, size, *_gauge(values))
    return asked + _discard_question(values, size)


def twin_questions(texts: Mapping[str, str], known: Mapping[str, Summary]) -> tuple[str, ...]:
    """Asked where a hoist of the same maker and serial number has a tag: two records of one hoist mislead."""
    plate = tuple(" ".join(texts.get(name, "").split()).casefold() for name in ("maker", "serial"))
    return tuple(
        f"{summary.maker} serial {summary.serial} has the tag {summary.id} already, {summary.site}:"
        " is this another hoist?"
        for summary in known.values()
        if all(plate) and (summary.maker.casefold(), summary.serial.casefold()) == plate
    )


def hoist_from(texts: Mapping[str, str], hoist_id: str, *, rulebook: str, today: date) -> Hoist:
    """The record that the typed texts become; IncompleteError lists every field at fault."""
    fields = registration_fields(rulebook=rulebook, drive=texts.get("drive", ""), today=today)
    values, problems = take_all(fields, texts)
    faults = [*problems, *_book_problems(values)]
    if faults:
        raise IncompleteError("the hoist can not be registered yet", faults)
    size: ChainSize = values["chain"]
    return Hoist(
        id=hoist_id,
        maker=values["maker"],
        model=values["model"],
        serial=values["serial"],
        year=values["year"],
        drive=Drive(values["drive"]),
        capacity_kg=values["capacity"],
        falls=values["falls"],
        lift_mm=values["lift"],
        chain=ChainSize(dn_mm=size.dn_mm, pn_mm=size.pn_mm, grade=values["grade"] or ""),
        book=_book(values),
        hook_throat_mm=values["hook_throat"],
        limit_switches=values["limit_switches"],
        container=values["container"],
        overload_device=values["overload_device"],
        trolley=values["trolley"],
        lifts_persons=values["lifts_persons"],
        site=values["site"],
        place=values["place"] or "",
        service=ServiceClass(values["service"]),
        group=values["group"] or "",
        rulebook=values["rulebook"],
        registered_on=today,
    )


def next_id(shop: Shop) -> str:
    """The tag ID that the next hoist would get."""
    prefix = need_settings(shop).prefix
    return make_id(prefix, next_number(prefix, shop.logbooks.hoist_names()))


def _sealed_before(shop: Shop, prefix: str, uid: str) -> Hoist | None:
    """The hoist that was registered under this uid, if its seal was never acknowledged.

    Numbers rise, so it is looked for from the highest down to the hoists that were there when the draft
    was begun; a few more are looked at in case the clock was set back.
    """
    names = [name for name in shop.logbooks.hoist_names() if name.startswith(f"{prefix}-")]
    begun = _begun(shop, uid)
    for place, name in enumerate(sorted(names, key=_number, reverse=True)):
        first = next(iter(shop.logbooks.read(name).entries), None)
        if first is None:
            continue
        if first.uid == uid and isinstance(first.body, Hoist):
            return first.body
        if place >= LOOK_BACK and (begun is None or first.at < begun):
            break
    return None


def _number(hoist_id: str) -> int:
    return int(hoist_id.split("-")[1])


def _begun(shop: Shop, uid: str) -> datetime | None:
    try:
        return shop.drafts.load(uid).begun
    except (NotFoundError, StoreError):
        return None


def register_hoist(
    shop: Shop, texts: Mapping[str, str], *, by: str, now: datetime, today: date, uid: str
) -> Hoist:
    """Seal the registration as the first line of a new logbook and give the hoist its ID.

    Two technicians who register at once get different numbers: who comes second takes the next one.
    A registration that was sealed already under this uid is given back and not doubled.
    """
    held = need_settings(shop)
    sealed = _sealed_before(shop, held.prefix, uid)
    if sealed is not None:
        # Sent again, so that the store makes sure that the disk has it.
        append(shop, sealed.id, sealed, by=by, now=now, head=GENESIS, uid=uid)
        return sealed
    check_may_seal(shop, by, today)
    for _ in range(TRIES_FOR_A_NUMBER):
        hoist = hoist_from(texts, next_id(shop), rulebook=held.rulebook, today=today)
        try:
            append(shop, hoist.id, hoist, by=by, now=now, head=GENESIS, uid=uid)
        except ConflictError:
            continue
        return hoist
    raise ConflictError("others register hoists at this very moment: nothing was saved, try again")
