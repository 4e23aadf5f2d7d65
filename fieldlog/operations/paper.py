"""What stands on the labels of a hoist, and when one is refused; what was printed is recorded beside it.

A chain's size is its name, by which it is ordered: on labels it stays as the record has it.
"""

from datetime import date

from msgspec.structs import replace

from fieldlog.domain.chain import Allowance, Reference, allowance_for, elongation_rule, reference_for
from fieldlog.domain.due_dates import COUNTS_FOR, SCHEDULED
from fieldlog.domain.gauge_length import unused_for
from fieldlog.domain.history import Stop
from fieldlog.domain.label_content import CHAIN, DUE, TAG, WITHDRAWN, LabelContent
from fieldlog.domain.paper_rules import YearColour, YearMeans
from fieldlog.domain.records import Entry, InspectionKind, Withdrawal
from fieldlog.domain.schedule import Due
from fieldlog.domain.tag_id import scan_text
from fieldlog.domain.verdict import Fitness, fitness_on, summarise
from fieldlog.errors import DamagedError, InputError, RefusedError
from fieldlog.operations.drafting import gauge_of
from fieldlog.operations.label_log import HEAD_DIGITS, note_printed, printed_before, times_printed
from fieldlog.operations.paper_units import shop_chain, shop_length, shop_mass, units_of
from fieldlog.operations.shop import (
    OpenHoist,
    Shop,
    book_for_chain,
    current_size,
    need_settings,
    open_hoist,
)
from fieldlog.units import quoted

__all__ = [
    "HEAD_DIGITS",
    "chain_content",
    "chain_limit",
    "content",
    "due_content",
    "note_printed",
    "printed_before",
    "sticker_due",
    "tag_content",
    "withdrawn_content",
]

SIGNAL, MESSAGE = "DANGER", "DO NOT USE"
"""Signal word for an immediate threat of death or serious injury, and the instruction as its major message:
29 CFR 1910.145 (f)(4)(i), (f)(5); legends of that sort: 1910.147 (c)(5)(iii). The wording is our own."""

KINDS = (TAG, DUE, WITHDRAWN, CHAIN)
"""Labels that are made from a hoist's records alone."""


def _of_hoist(shop: Shop, opened: OpenHoist) -> dict[str, str]:
    """The fields that labels of several kinds share."""
    hoist = opened.hoist
    return {"id": hoist.id, "site": hoist.site, "place": hoist.place, "shop": need_settings(shop).shop}


def tag_content(shop: Shop, opened: OpenHoist) -> LabelContent:
    """The asset tag of a hoist."""
    hoist = opened.hoist
    texts = _of_hoist(shop, opened) | {
        "capacity": shop_mass(hoist.capacity_kg, units_of(need_settings(shop))),
        "chain": shop_chain(current_size(opened)),
        "maker": f"{hoist.maker} {hoist.model}, {hoist.serial}",
    }
    return LabelContent(kind=TAG, texts=texts, code=scan_text(hoist.id))


def sticker_due(dues: tuple[Due, ...]) -> Due | None:
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


def due_content(shop: Shop, opened: OpenHoist, *, today: date, year_colours: str = "") -> LabelContent:
    """The due sticker: the month OF the strict due date, never a later one.

    `year_colours` is the id of one of the rulebook's schemes. RefusedError says why where a defect that
    affects safety is open or nothing was inspected yet; InputError names the schemes there are.
    """
    summary = summarise(opened.history, opened.rulebook)
    standing = fitness_on(summary, today)
    closed = standing.reasons if standing.fitness is Fitness.OUT_OF_SERVICE else ()
    refusals = tuple(dict.fromkeys([*summary.sticker_refusals, *closed]))
    due = sticker_due(summary.dues)
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
    label = LabelContent(kind=DUE, texts=texts, code=scan_text(summary.id))
    return _coloured(label, opened, due, year_colours) if year_colours else label


def _coloured(label: LabelContent, opened: OpenHoist, due: Due, scheme_id: str) -> LabelContent:
    """The sticker with its year's colour, which is named in words as well: colour never speaks alone."""
    schemes = {scheme.id: scheme for scheme in opened.rulebook.year_colours}
    scheme = schemes.get(scheme_id)
    if scheme is None:
        known = ", ".join(schemes) or "none in this rulebook"
        raise InputError(f"year colours are one of {known}, not {quoted(scheme_id)}")
    year = due.due_on.year if scheme.means is YearMeans.DUE else due.anchor.year
    colour: YearColour = scheme.colours[(year - scheme.from_year) % len(scheme.colours)]
    done = "" if scheme.means is YearMeans.DUE else "done "
    return replace(label, texts={**label.texts, "colour": f"{done}{year} {colour.name}"}, year_colour=colour)


def withdrawn_content(shop: Shop, opened: OpenHoist, *, today: date) -> LabelContent:
    """The out-of-service tag: why, who took the hoist out and when, and the locks that are on it.

    It speaks for the latest withdrawal by a person, else for the latest record that stops the hoist.
    RefusedError where the hoist may be used.
    """
    summary = summarise(opened.history, opened.rulebook)
    stops = [stop for stop in summary.stops if stop.from_on <= today]
    if not stops:
        state = fitness_on(summary, today).fitness
        raise RefusedError(f"no out-of-service tag for {summary.id}: it is {state}; withdraw it first")
    sealed = {entry.number: entry for entry in opened.history.entries}
    stop, entry = max(((stop, _entry_of(stop, sealed)) for stop in stops), key=_weight)
    bodies = [sealed[stop.entry].body for stop in stops if stop.entry in sealed]
    locks = [body.lock for body in bodies if isinstance(body, Withdrawal) and body.lock]
    reasons = dict.fromkeys(stop.reason.removeprefix("withdrawn: ") for stop in stops)
    texts = _of_hoist(shop, opened) | {
        "signal": SIGNAL,
        "message": MESSAGE,
        "heading": "hoist out of service",
        "reason": "; ".join(reasons),
        "by": entry.by,
        "since": stop.from_on.isoformat(),
        "lock": ", ".join(dict.fromkeys(locks)),
        "remove": f"{entry.by}, or by a named authoriser",
        "head": opened.head[:HEAD_DIGITS],
    }
    return LabelContent(kind=WITHDRAWN, texts=texts, code=scan_text(summary.id))


def _entry_of(stop: Stop, sealed: dict[int, Entry]) -> Entry:
    """The line that stops the hoist; for one never inspected that of its registration."""
    return sealed.get(stop.entry) or next(iter(sealed.values()))


def _weight(stopped: tuple[Stop, Entry]) -> tuple[bool, date, int]:
    stop, entry = stopped
    return isinstance(entry.body, Withdrawal) and stop.entry == entry.number, stop.from_on, entry.number


def chain_limit(shop: Shop, opened: OpenHoist) -> tuple[Reference, Allowance]:
    """Reference and allowed growth of the chain that hangs there, judged as an inspection would."""
    size, book = current_size(opened), book_for_chain(opened)
    links, basis = gauge_of(opened)
    chain = opened.history.chain
    unused = None if chain is None else unused_for(links, chain.baseline, chain.unused)
    reference = reference_for(size, links, basis, book, unused)
    rule = elongation_rule(opened.rulebook, opened.hoist.drive)
    stricter = need_settings(shop).stricter_rule_governs
    return reference, allowance_for(size, reference, rule, book, stricter_rule_governs=stricter)


def chain_content(shop: Shop, opened: OpenHoist) -> LabelContent:
    """The chain plate: size, grade, length over n links as new and at discard, and by which rule."""
    reference, allowed = chain_limit(shop, opened)
    chain, size, units = opened.history.chain, current_size(opened), units_of(need_settings(shop))
    texts = _of_hoist(shop, opened) | {
        "heading": "load chain",
        "size": shop_chain(replace(size, grade="")),
        "grade": size.grade,
        "links": f"{reference.links} links {reference.basis}",
        "nominal": shop_length(reference.length_mm, units),
        "discard": shop_length(reference.length_mm + allowed.growth_mm, units),
        "rule": f"{allowed.rule}; {allowed.source}",
        "reference": reference.origin,
        "fitted": "" if chain is None else chain.fitted_on.isoformat(),
        "head": opened.head[:HEAD_DIGITS],
    }
    return LabelContent(kind=CHAIN, texts=texts, code=scan_text(opened.hoist.id))


def content(shop: Shop, hoist_id: str, kind: str, *, today: date, year_colours: str = "") -> LabelContent:
    """The content of a label that is made from this hoist's records.

    Where the same was printed before, its field `print` says which print this is. InputError for another
    kind of label, NotFoundError for an unknown hoist, RefusedError where the trade's rules forbid it.
    """
    if kind not in KINDS:
        raise InputError(f"the label is one of {', '.join(KINDS)}, not {quoted(kind)}")
    opened = open_hoist(shop, hoist_id)
    if opened.problem:
        # what is printed goes into the record, and nothing is added to one that can not be trusted
        raise DamagedError(f"no label for {hoist_id}: {opened.problem}")
    label = _content_of(shop, opened, kind, today, year_colours)
    before = times_printed(opened.history.labels, label)
    if kind == TAG or not before:
        return label
    return replace(label, texts={**label.texts, "print": str(before + 1)})


def _content_of(shop: Shop, opened: OpenHoist, kind: str, today: date, year_colours: str) -> LabelContent:
    if kind == TAG:
        return tag_content(shop, opened)
    if kind == DUE:
        return due_content(shop, opened, today=today, year_colours=year_colours)
    if kind == WITHDRAWN:
        return withdrawn_content(shop, opened, today=today)
    return chain_content(shop, opened)
