"""A hoist as one row of a table that this or another fieldlog can take in again."""

from collections.abc import Iterator, Mapping
from decimal import Decimal
from typing import Any

from fieldlog.domain.records import ChainReading, Entry, TakenOver
from fieldlog.operations.shop import OpenHoist

Row = Mapping[str, Any]
HOIST_COLUMNS = (
    *(
        "id",
        "maker",
        "model",
        "serial",
        "year",
        "drive",
        "capacity_kg",
        "falls",
        "lift_mm",
        "chain",
        "grade",
    ),
    *("book_links", "book_basis", "book_length_mm", "book_discard_mm", "book_document", "hook_throat_mm"),
    *("limit_switches", "container", "overload_device", "trolley", "lifts_persons", "group"),
    *("site", "place", "service_class", "rulebook", "registered_on"),
    *("last_inspection", "last_inspection_kind", "last_reading_mm", "last_reading_links"),
    *("last_reading_basis", "last_reading_place", "source_document"),
)


def _yes_no(value: bool) -> str:
    return "yes" if value else "no"


def hoist_rows(opened: OpenHoist) -> Iterator[Row]:
    """The hoist's one row."""
    hoist, book = opened.hoist, opened.hoist.book
    yield {
        **{
            name: getattr(hoist, name)
            for name in ("id", "maker", "model", "serial", "year", "falls", "group")
        },
        **{name: getattr(hoist, name) for name in ("site", "place", "rulebook", "registered_on")},
        "drive": hoist.drive.value,
        "capacity_kg": hoist.capacity_kg,
        "lift_mm": hoist.lift_mm,
        "chain": f"{hoist.chain.dn_mm:f}x{hoist.chain.pn_mm:f}",
        "grade": hoist.chain.grade,
        "book_links": None if book is None else book.links,
        "book_basis": "" if book is None else book.basis.value,
        "book_length_mm": None if book is None else book.length_mm,
        "book_discard_mm": None if book is None else book.discard_mm,
        "book_document": "" if book is None else book.document,
        "hook_throat_mm": hoist.hook_throat_mm,
        **{
            name: _yes_no(getattr(hoist, name))
            for name in ("limit_switches", "container", "overload_device", "trolley", "lifts_persons")
        },
        "service_class": hoist.service.value,
        **_last(opened),
    }


def _last(opened: OpenHoist) -> Row:
    """The last inspection and the worst reading of the last measurement, with the document they stand in."""
    found: dict[str, Any] = dict.fromkeys(HOIST_COLUMNS[-7:])
    papers = [e.body for e in _standing(opened) if isinstance(e.body, TakenOver)]
    inspections = opened.history.inspections
    if not inspections and papers:
        body = papers[-1]
        found |= {"last_inspection": body.done_on, "source_document": body.source}
        found["last_inspection_kind"] = None if body.occasion is None else body.occasion.value
        return found | _reading_facts(body.reading)
    if inspections:
        entry, inspection = inspections[-1]
        found |= {
            "last_inspection": inspection.done_on,
            "last_inspection_kind": inspection.occasion.value,
            "source_document": f"fieldlog {opened.hoist.id} line {entry.number}, {entry.line[:10]}",
        }
        measured = [r for r in opened.history.last_readings if r.value_mm is not None]
        found |= _reading_facts(max(measured, key=lambda r: r.value_mm or Decimal(0), default=None))
    return found


def _reading_facts(reading: ChainReading | None) -> dict[str, Any]:
    if reading is None:
        return {}
    return {
        "last_reading_mm": reading.value_mm,
        "last_reading_links": reading.links,
        "last_reading_basis": reading.basis.value,
        "last_reading_place": reading.place,
    }


def _standing(opened: OpenHoist) -> list[Entry]:
    return [entry for entry in opened.history.entries if entry.line not in opened.history.struck]
