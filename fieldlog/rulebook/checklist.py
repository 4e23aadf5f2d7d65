"""Reads the checklist: its sections, the sets of inspection kinds, and the items of each section's file."""

from collections.abc import Collection, Mapping
from functools import partial
from typing import Any

from msgspec import Struct
from msgspec.structs import replace

from fieldlog.domain.records import Drive, InspectionKind
from fieldlog.domain.rules import ChecklistItem
from fieldlog.rulebook.faults import Faults, MisfitError, near
from fieldlog.rulebook.files import read_rows, refuse_empty, rows_of
from fieldlog.rulebook.shape import (
    SOURCES,
    Entries,
    Reader,
    Shape,
    among,
    flag,
    identifier,
    listed,
    named,
    read_table,
    reference,
    text,
    word,
)

SECTIONS = "sections.toml"
SECTION_MOST = 40
TITLE_MOST = 34
LOOK_AT_MOST = 220
DEFECT_MOST = 200
CAUTION_MOST = 200
NEEDS = ("limit_switches", "container", "overload_device", "trolley", "more_falls")
MEASURES = ("elongation", "diameter", "hook")


class Checklist(Struct, frozen=True, kw_only=True):
    """Section titles by id, in the order of the file, and all items in the order they are walked."""

    sections: Entries
    items: tuple[ChecklistItem, ...]


def read_checklist(
    plan: Mapping[str, Any] | None, files: Mapping[str, Mapping[str, Any]], sources: Entries, faults: Faults
) -> Checklist:
    """The checklist from what sections.toml holds (None: it could not be read) and the files of the items."""
    sections, sets = _read_plan(plan, faults)
    top = Shape(kind=_section, required={"section": named(sections, "section", SECTIONS)})
    shapes = (top, _item_shape(_kinds_reader(sets), sources))
    items = Entries()
    for file, data in files.items():
        _read_items(file, data, shapes, items, faults)
    order = {section: position for position, section in enumerate(sections)}
    made = sorted((item for item in items.values() if item), key=lambda item: order.get(item.section, 0))
    return Checklist(sections=sections, items=tuple(made))


def _read_plan(plan: Mapping[str, Any] | None, faults: Faults) -> tuple[Entries, Entries]:
    """Titles of sections, and sets of inspection kinds, by id."""
    sections, sets = Entries(), Entries()
    if plan is None:
        sections.unread = sets.unread = True
        return sections, sets
    named_kinds = {"id": identifier(kebab=True), "kinds": listed(word(InspectionKind, "kind of inspection"))}
    tables = {
        "section": Shape(kind=_title, required={"id": identifier(kebab=True), "title": text(SECTION_MOST)}),
        "kind_set": Shape(kind=_kinds, required=named_kinds),
    }
    _refuse_other_keys(SECTIONS, plan, tables, faults)
    for table, into in (("section", sections), ("kind_set", sets)):
        read_rows(SECTIONS, rows_of(plan, SECTIONS, table, faults), tables[table], into, faults)
        refuse_empty(SECTIONS, table, into, faults)
    return sections, sets


def _section(**values: str) -> str:
    return values["section"]


def _title(**values: str) -> str:
    return values["title"]


def _kinds(**values: Any) -> Any:
    return values["kinds"]


def _kinds_reader(sets: Entries) -> Reader:
    """A reader of lists that name kinds of inspection or sets of them; it gives each kind once."""
    known = Entries({kind.value: (kind,) for kind in InspectionKind} | sets)
    known.unread = sets.unread
    chosen = listed(reference(known, "kind of inspection", SECTIONS))

    def read(value: Any) -> tuple[InspectionKind, ...]:
        kinds = [kind for kinds in chosen(value) for kind in kinds or ()]
        twice = sorted({kind for kind in kinds if kinds.count(kind) > 1})
        if twice:
            raise MisfitError(f"names '{twice[0]}' twice.", "Take one away; a set holds several kinds.")
        return tuple(kinds)

    return read


def _item_shape(kinds: Reader, sources: Entries) -> Shape:
    return Shape(
        kind=ChecklistItem,
        required={
            "id": identifier(kebab=True),
            "title": text(TITLE_MOST),
            "look_at": text(LOOK_AT_MOST),
            "defect_when": text(DEFECT_MOST),
            "safety": flag,
            "drives": listed(word(Drive, "drive")),
            "kinds": kinds,
            "source": reference(sources, "source", SOURCES),
        },
        optional={
            "caution": text(CAUTION_MOST),
            "measure": among(MEASURES, "measure"),
            "needs": listed(among(NEEDS, "need")),
        },
    )


def _read_items(
    file: str, data: Mapping[str, Any], shapes: tuple[Shape, Shape], items: Entries, faults: Faults
) -> None:
    """Items of one file; the section named at its top is that of all of them."""
    _refuse_other_keys(file, data, ("section", "item"), faults)
    top, item = shapes
    section = read_table({key: data[key] for key in data if key == "section"}, top, file, faults)
    in_section = replace(item, kind=partial(item.kind, section=section))
    read_rows(file, rows_of(data, file, "item", faults), in_section, items, faults)


def _refuse_other_keys(file: str, data: Mapping[str, Any], known: Collection[str], faults: Faults) -> None:
    for key in data:
        if key not in known:
            faults.add(f"{file}: {key}", "no such key.", near(key, known))
