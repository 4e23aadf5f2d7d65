"""One inspection with all that belongs to its report: the records up to the end of its day, people and place.

What was sealed of a later day does not change the report, so that a second print says the same as the first;
only a record that was struck out since does, and one that tells who was told of its defects.
"""

from collections.abc import Sequence
from datetime import date

from msgspec import Struct

from fieldlog.domain.corrections import day_of_work
from fieldlog.domain.history import DefectState, History, distrusted
from fieldlog.domain.logbook import fold
from fieldlog.domain.records import (
    Entry,
    Hoist,
    Inspection,
    InspectionKind,
    LabelPrinted,
    LoadTest,
    Notice,
    Person,
    ShopSettings,
    Signature,
    Site,
    StruckOut,
)
from fieldlog.domain.retention import BETWEEN
from fieldlog.domain.verdict import Standing, Summary, fitness_on, summarise
from fieldlog.errors import InputError, NotFoundError
from fieldlog.operations.paper_units import PaperUnits, units_of
from fieldlog.operations.setting_up import sites
from fieldlog.operations.shop import OpenHoist, Shop, need_settings, open_hoist, people, rulebook_named
from fieldlog.rulebook.loader import rulebook_names

Told = tuple[Entry, Notice]
FIRST_HERE = (InspectionKind.FIRST_USE, InspectionKind.AFTER_MOVE)


class Visit(Struct, frozen=True, kw_only=True):
    """An inspection as sealed, and the hoist as it stood at the end of that day.

    `read_to` is the last line that was read for it. `struck` says why it does not hold, empty where it does.
    `signature` is the last one over this line, if any; whether it is good is not looked at here.
    `defects` are those found, those still open and those mended on the day, whenever they were found.
    `notices` are those that tell of these defects, whenever they were given: a report made again names them.
    `tests` are the load tests since the inspection before, `earlier` the inspections before it.
    """

    settings: ShopSettings
    opened: OpenHoist
    entry: Entry
    body: Inspection
    read_to: Entry
    summary: Summary
    standing: Standing
    struck: str
    signature: Signature | None
    person: Person | None
    site: Site | None
    defects: tuple[DefectState, ...]
    notices: tuple[Told, ...]
    tests: tuple[tuple[Entry, LoadTest], ...]
    earlier: tuple[Inspection, ...]

    @property
    def hoist(self) -> Hoist:
        """The hoist as it was registered on that day."""
        return self.opened.hoist

    @property
    def units(self) -> PaperUnits:
        """The units that the shop's paper speaks in."""
        return units_of(self.settings)


def signature_of(history: History, entry: Entry) -> Signature | None:
    """The last signature in the logbook over this line, or None where it is unsigned."""
    found = [held.body for held in history.entries if isinstance(held.body, Signature)]
    return next((body for body in reversed(found) if body.line == entry.line), None)


def notices_of(history: History, states: Sequence[DefectState]) -> tuple[Told, ...]:
    """The records that one of these defects was told to somebody."""
    ids = {state.defect.id for state in states}
    return tuple((entry, body) for entry, body in history.notices if ids & set(body.defects))


def site_of(shop: Shop, name: str) -> Site | None:
    """The recorded site of that name, however it is spelt in capitals, or None."""
    wanted = name.strip().casefold()
    return next((site for known, site in sites(shop).items() if known.strip().casefold() == wanted), None)


def read_visit(shop: Shop, hoist_id: str, line: int | None = None) -> Visit:
    """The inspection in that line of the hoist's logbook, or its latest one.

    NotFoundError where there is none; InputError for a line with another record, which names those with one.
    """
    settings = need_settings(shop)
    opened = open_hoist(shop, hoist_id)
    entry, body = _chosen(opened, line)
    then = _as_of(shop, opened, body)
    summary = summarise(then.history, then.rulebook)
    earlier = _earlier(then.history, entry, body)
    defects = _defects(then.history, entry, body)
    notices = notices_of(opened.history, defects)
    return Visit(
        settings=settings,
        opened=then,
        entry=entry,
        body=body,
        read_to=_read_to(opened.history, [entry, *then.history.entries, *(held for held, _ in notices)]),
        summary=summary,
        standing=fitness_on(summary, body.done_on),
        struck=opened.history.struck.get(entry.line, ""),
        signature=signature_of(opened.history, entry),
        person=people(shop).get(entry.by),
        site=site_of(shop, then.hoist.site),
        defects=defects,
        notices=notices,
        tests=_tests(then.history, body, earlier),
        earlier=earlier,
    )


def _chosen(opened: OpenHoist, line: int | None) -> tuple[Entry, Inspection]:
    held = {entry.number: entry for entry in opened.history.entries}
    known = [number for number, entry in held.items() if isinstance(entry.body, Inspection)]
    if line is None:
        if not opened.history.inspections:
            raise NotFoundError(
                f"no inspection of {opened.hoist.id} is sealed yet: there is nothing to report"
            )
        return opened.history.inspections[-1]
    entry = held.get(line)
    if entry is None:
        raise NotFoundError(
            f"the logbook of {opened.hoist.id} has no line {line}: it ends at line {len(held)}"
        )
    if not isinstance(entry.body, Inspection):
        lines = ", ".join(map(str, known)) or "none"
        raise InputError(
            f"line {line} of {opened.hoist.id} is no inspection but a {entry.body.kind}:"
            f" inspections stand in lines {lines}"
        )
    return entry, entry.body


def _as_of(shop: Shop, opened: OpenHoist, body: Inspection) -> OpenHoist:
    """The hoist as it stood at the end of the inspection's day, under the rulebook that it was judged by."""
    name = body.rulebook if body.rulebook in rulebook_names() else opened.hoist.rulebook
    history = fold(_until(opened.history, body.done_on))
    if opened.problem:
        history = distrusted(history, opened.problem)
    assert history.hoist is not None
    return OpenHoist(
        hoist=history.hoist,
        history=history,
        rulebook=rulebook_named(name, shop),
        head=history.head,
        problem=" ".join(filter(None, [opened.problem, *map(str, opened.history.problems)])),
    )


def _until(history: History, day: date) -> tuple[Entry, ...]:
    """The records that count of a day and before. Labels tell nothing of the hoist and are left out."""
    holding = [entry for entry in history.entries if entry.line not in history.struck]
    first = next(entry for entry in holding if isinstance(entry.body, Hoist))
    return tuple(
        entry
        for entry in holding
        if not isinstance(entry.body, LabelPrinted | StruckOut | Signature)
        and (entry is first or day_of_work(entry) <= day)
    )


def _read_to(whole: History, read: Sequence[Entry]) -> Entry:
    """The last line that bears on the report: of the records read, and of strikes."""
    strikes = [held for held in whole.entries if isinstance(held.body, StruckOut)]
    return max([*read, *strikes], key=lambda held: held.number)


def _earlier(history: History, entry: Entry, body: Inspection) -> tuple[Inspection, ...]:
    return tuple(
        before
        for held, before in history.inspections
        if (before.done_on, held.number) < (body.done_on, entry.number)
    )


def _defects(history: History, entry: Entry, body: Inspection) -> tuple[DefectState, ...]:
    told = [
        state
        for state in history.defects
        if state.entry == entry.number or state.mended_on is None or state.mended_on >= body.done_on
    ]
    # A struck inspection is not folded, but its report still shows what it found.
    folded = {state.defect.id for state in told}
    own = [
        DefectState(defect=defect, seen_on=body.done_on, entry=entry.number)
        for defect in body.defects
        if defect.id not in folded
    ]
    return tuple(own + told)


def _tests(
    history: History, body: Inspection, earlier: tuple[Inspection, ...]
) -> tuple[tuple[Entry, LoadTest], ...]:
    since = max((before.done_on for before in earlier if before.done_on < body.done_on), default=date.min)
    return tuple((entry, test) for entry, test in history.load_tests if since < test.done_on <= body.done_on)


def last_thorough(visit: Visit) -> Inspection | None:
    """The last inspection of the whole hoist before this one, or None."""
    return next((body for body in reversed(visit.earlier) if body.occasion not in BETWEEN), None)
