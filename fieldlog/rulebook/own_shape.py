"""What a shop's own rulebook file may say, and what makes each figure stricter than the one it replaces.

The file stands on top of a shipped rulebook. Every table is optional, every figure in it too:

    rulebook = 'general'          # the one that it makes stricter
    edition = '2026-1'            # given on, with the shipped one, to every record judged by it
    says = 'works instruction 7'  # where the shop wrote it down

    [elongation]                  # percent of n times the nominal pitch
    powered = 1.2
    hand = 2.0

    [chain]
    watch_share = 0.7             # used share of the allowed growth from which a chain is watched
    diameter_share = 0.92
    reference_over_share = 0.004

    [hook]
    percent = 8
    twist_deg = 5
    wear_percent = 8

    [intervals.periodic]          # also intervals.frequent; days = ... or months = ..., by service class
    normal = { months = 6 }

    [hours]                       # running hours
    frequent = 80

    [idle]                        # months out of use from which the inspection is needed
    periodic = 6
"""

from collections.abc import Mapping
from typing import Any

from msgspec import Struct

from fieldlog.domain.records import InspectionKind, ServiceClass
from fieldlog.rulebook.faults import Faults, MisfitError, near
from fieldlog.rulebook.shape import Shape, identifier, number, percent, read_table, text, whole

SCHEDULED = (InspectionKind.FREQUENT.value, InspectionKind.PERIODIC.value)


class Span(Struct, frozen=True, kw_only=True):
    """An interval as the shop wrote it; exactly one of months and days is set."""

    months: int | None = None
    days: int | None = None


def _span(values: Mapping[str, Any]) -> None:
    if len(values) != 1:
        raise MisfitError("gives months or days, one of them.", "Write { months = 6 } or { days = 92 }.")


SPAN = Shape(kind=Span, required={}, optional={"months": whole(1, 600), "days": whole()}, check=_span)
TABLES: dict[str, Shape] = {
    "elongation": Shape(kind=dict, required={}, optional={"powered": percent(), "hand": percent()}),
    "chain": Shape(
        kind=dict,
        required={},
        optional={
            "watch_share": number(above=0, below=1),
            "diameter_share": number(above=0, below=1),
            "reference_over_share": number(above=0, below=1),
        },
    ),
    "hook": Shape(
        kind=dict,
        required={},
        optional={"percent": percent(), "twist_deg": number(below=90), "wear_percent": percent()},
    ),
    "hours": Shape(kind=dict, required={}, optional=dict.fromkeys(SCHEDULED, number(above=0))),
    "idle": Shape(kind=dict, required={}, optional=dict.fromkeys(SCHEDULED, whole(1, 600))),
}
HEAD = Shape(
    kind=dict,
    required={"rulebook": identifier(kebab=True), "edition": text(20), "says": text(160)},
)


class Own(Struct, frozen=True, kw_only=True):
    """One own file as read: the figures by their key, such as 'elongation.powered'."""

    file: str
    rulebook: str
    edition: str
    says: str
    figures: Mapping[str, Any]


def read_own(file: str, data: Mapping[str, Any], faults: Faults) -> Own | None:
    """The file's figures by key, without those that do not read; None where its head does not."""
    known = [*HEAD.required, *TABLES, "intervals"]
    for key in data:
        if key not in known:
            faults.add(f"{file}: {key}", "no such key.", near(key, known))
    head = read_table({key: data[key] for key in data if key in HEAD.required}, HEAD, file, faults)
    figures: dict[str, Any] = {}
    for table, shape in TABLES.items():
        figures |= _table(file, table, data.get(table, {}), shape, faults)
    figures |= _intervals(file, data.get("intervals", {}), faults)
    if head is None:
        return None
    return Own(file=file, figures=figures, **head)


def _table(file: str, table: str, raw: Any, shape: Shape, faults: Faults) -> dict[str, Any]:
    if not isinstance(raw, dict):
        faults.add(f"{file}: {table}", "is no table.", f"Write its figures under [{table}].")
        return {}
    figures: dict[str, Any] = {}
    for key, value in raw.items():
        # Each by itself, so that one that does not read hides none of the others' faults.
        made = read_table({key: value}, shape, f"{file}: {table}", faults) or {}
        figures |= {f"{table}.{name}": figure for name, figure in made.items()}
    return figures


def _intervals(file: str, raw: Any, faults: Faults) -> dict[str, Any]:
    """intervals.KIND.SERVICE, each a table of months or days."""
    figures: dict[str, Any] = {}
    for kind, services in _inner(file, "intervals", raw, SCHEDULED, faults):
        names = [service.value for service in ServiceClass]
        for service, span in _inner(file, f"intervals.{kind}", services, names, faults):
            made = read_table(span, SPAN, f"{file}: intervals.{kind}.{service}", faults)
            if made is not None:
                figures[f"intervals.{kind}.{service}"] = made
    return figures


def _inner(
    file: str, place: str, raw: Any, known: list[str] | tuple[str, ...], faults: Faults
) -> list[tuple[str, dict[str, Any]]]:
    """The tables inside a table; what is none, or has no known name, is a fault."""
    if not isinstance(raw, dict):
        faults.add(f"{file}: {place}", "is no table.", "Write its figures under [intervals.periodic].")
        return []
    found = []
    for key, value in raw.items():
        if key not in known:
            faults.add(f"{file}: {place}.{key}", "no such key.", near(key, list(known)))
        elif not isinstance(value, dict):
            faults.add(f"{file}: {place}.{key}", "is no table.", "Write { months = 6 } or { days = 92 }.")
        else:
            found.append((key, value))
    return found
