"""Rows for tables and calendars that leave the shop: hoists, due dates, readings, defects, logbook lines."""

from collections.abc import Callable, Iterator, Mapping
from datetime import date
from decimal import Decimal
from typing import Any

from fieldlog.domain.chain import ELONGATION
from fieldlog.domain.corrections import day_of_work
from fieldlog.domain.export_rows import CalendarDue, ExportTable
from fieldlog.domain.records import ChainReading, Entry, Inspection, TakenOver
from fieldlog.errors import FieldlogError
from fieldlog.operations.due import due_list, in_time_until, is_retired
from fieldlog.operations.exporting_hoists import HOIST_COLUMNS, hoist_rows
from fieldlog.operations.finding import at_site
from fieldlog.operations.hoist_page import says
from fieldlog.operations.shop import OpenHoist, Shop, open_hoist, rulebook_named, summaries
from fieldlog.operations.telling import telling
from fieldlog.units import format_mm

Row = Mapping[str, Any]
COLUMNS: dict[str, tuple[str, ...]] = {
    "hoists": HOIST_COLUMNS,
    "due": (
        *("id", "name", "serial", "site", "place", "inspection", "due_on", "days_left", "overdue"),
        *("in_time_until", "state", "rule", "source"),
    ),
    "readings": (
        *(
            "id",
            "site",
            "place_of_hoist",
            "line",
            "day",
            "occasion",
            "measured_at",
            "links",
            "basis",
            "value_mm",
        ),
        *("both_ends_touch", "typed", "instrument", "instrument_state", "growth_mm", "allowed_mm", "verdict"),
        *("by", "struck_out"),
    ),
    "defects": (
        *("id", "site", "place_of_hoist", "defect", "item", "what", "where", "grade", "stops_on", "serious"),
        *("remedy", "seen_on", "mended_on", "mended_by", "told"),
    ),
    "logbook": ("id", "line", "day", "sealed_at", "by", "kind", "says", "hash", "struck_out"),
}


def rows_of(
    shop: Shop,
    kind: str,
    day: date,
    *,
    site: str = "",
    tag: str = "",
    progress: Callable[[int, int], None] | None = None,
) -> ExportTable:
    """All rows of a kind in COLUMNS, of one site or hoist where they are named.

    Retired hoists are left out of the hoists; their records stay in all other kinds.

    Logbooks that can not be read are named as skipped. NotFoundError where `site_named` finds no such site.
    """
    if kind == "due":
        return ExportTable(kind=kind, columns=COLUMNS[kind], rows=tuple(_due_rows(shop, day, site, tag)))
    rows: list[Row] = []
    skipped: list[str] = []
    wanted = _wanted(shop, day, site, tag, in_use=kind == "hoists")
    for name in telling(wanted, progress):
        try:
            opened = open_hoist(shop, name)
            if opened.problem:
                skipped.append(name)
            rows += _ROWS[kind](opened)
        except FieldlogError:
            skipped.append(name)
    return ExportTable(
        kind=kind, columns=COLUMNS[kind], rows=tuple(rows), skipped=tuple(dict.fromkeys(skipped))
    )


def _wanted(shop: Shop, day: date, site: str, tag: str, *, in_use: bool) -> list[str]:
    """Names by the register; one that it can not sum up is wanted unless a site is named."""
    if tag:
        return [tag]
    known = summaries(shop)
    names = [
        name for name, summary in at_site(known, site).items() if not (in_use and is_retired(summary, day))
    ]
    unknown = [] if site else [name for name in shop.logbooks.hoist_names() if name not in known]
    return sorted([*names, *unknown])


def _due_rows(shop: Shop, day: date, site: str, tag: str) -> Iterator[Row]:
    known = summaries(shop)
    for row in due_list(shop, day, site=site):
        if tag and row.id != tag:
            continue
        rulebook = rulebook_named(known[row.id].rulebook, shop)
        for due in row.dues:
            latest = in_time_until(due, rulebook)
            yield {
                **{name: getattr(row, name) for name in ("id", "name", "serial", "site", "place")},
                "inspection": due.inspection.value,
                "due_on": due.due_on,
                "days_left": (due.due_on - day).days,
                "overdue": day > latest,
                "in_time_until": latest,
                "state": row.fitness.value,
                "rule": due.rule,
                "source": due.source,
            }


def _reading_rows(opened: OpenHoist) -> Iterator[Row]:
    for entry in opened.history.entries:
        body = entry.body
        if isinstance(body, Inspection):
            found = [finding for finding in body.findings if finding.component == ELONGATION]
            # A finding names no reading; they stand in the order of the readings, one for each.
            paired = found if len(found) == len(body.readings) else [None] * len(body.readings)
            for reading, finding in zip(body.readings, paired, strict=True):
                verdict = (
                    {}
                    if finding is None
                    else {
                        "growth_mm": finding.value,
                        "allowed_mm": finding.limit,
                        "verdict": finding.verdict.value,
                    }
                )
                yield _reading_row(opened, entry, reading, body.occasion.value) | verdict
        elif isinstance(body, TakenOver) and body.reading is not None:
            yield _reading_row(opened, entry, body.reading, "taken over from paper")


def _reading_row(opened: OpenHoist, entry: Entry, reading: ChainReading, occasion: str) -> dict[str, Any]:
    return {
        "id": opened.hoist.id,
        "site": opened.hoist.site,
        "place_of_hoist": opened.hoist.place,
        "line": entry.number,
        "day": day_of_work(entry),
        "occasion": occasion,
        "measured_at": reading.place,
        "links": reading.links,
        "basis": reading.basis.value,
        "value_mm": reading.value_mm,
        "both_ends_touch": reading.both_ends_touch,
        "typed": reading.typed,
        "instrument": reading.instrument,
        "instrument_state": reading.instrument_state,
        "growth_mm": None,
        "allowed_mm": None,
        "verdict": "",
        "by": entry.by,
        "struck_out": opened.history.struck.get(entry.line, ""),
    }


def _defect_rows(opened: OpenHoist) -> Iterator[Row]:
    for state in opened.history.defects:
        defect = state.defect
        notices = [
            f"{body.done_on.isoformat()} {body.whom}, {body.how}"
            for _, body in opened.history.notices
            if defect.id in body.defects
        ]
        yield {
            "id": opened.hoist.id,
            "site": opened.hoist.site,
            "place_of_hoist": opened.hoist.place,
            "defect": defect.id,
            **{
                name: getattr(defect, name)
                for name in ("item", "what", "where", "stops_on", "serious", "remedy")
            },
            "grade": defect.grade.value,
            "seen_on": state.seen_on,
            "mended_on": state.mended_on,
            "mended_by": state.mended_by,
            "told": "; ".join(filter(None, [defect.told, *notices])),
        }


def _logbook_rows(opened: OpenHoist) -> Iterator[Row]:
    for entry in opened.history.entries:
        yield {
            "id": opened.hoist.id,
            "line": entry.number,
            "day": day_of_work(entry),
            "sealed_at": entry.at,
            "by": entry.by,
            "kind": entry.body.kind,
            "says": says(entry.body),
            "hash": entry.line,
            "struck_out": opened.history.struck.get(entry.line, ""),
        }


_ROWS: dict[str, Callable[[OpenHoist], Iterator[Row]]] = {
    "hoists": hoist_rows,
    "readings": _reading_rows,
    "defects": _defect_rows,
    "logbook": _logbook_rows,
}


def due_dates(shop: Shop, day: date, *, site: str = "", tag: str = "") -> list[CalendarDue]:
    """Every due date of every hoist in use, for a calendar."""
    known = summaries(shop)
    return [
        CalendarDue(
            id=row.id,
            name=f"{row.name}, serial {row.serial}, chain {_chain(known[row.id].dn_mm, known[row.id].pn_mm)}",
            inspection=due.inspection.value,
            due_on=due.due_on,
            in_time_until=in_time_until(due, rulebook_named(known[row.id].rulebook, shop)),
            site=row.site,
            place=row.place,
            why=f"{due.rule} ({due.source})",
            revision=known[row.id].entries,
        )
        for row in due_list(shop, day, site=site)
        if not tag or row.id == tag
        for due in row.dues
    ]


def _chain(dn_mm: Decimal, pn_mm: Decimal) -> str:
    return f"{format_mm(dn_mm)} x {format_mm(pn_mm)}"


def store_mark(shop: Shop) -> str:
    """What tells this store's calendar events from every other's: the uid of its very first record."""
    return shop.logbooks.read("settings").entries[0].uid[:16]
