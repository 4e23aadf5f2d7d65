"""Binds one rulebook: the entries that its file names, and whether they make a whole."""

from collections import Counter
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from fieldlog.domain.records import Drive, InspectionKind, ServiceClass
from fieldlog.domain.rules import Rulebook
from fieldlog.rulebook.checklist import SECTIONS
from fieldlog.rulebook.faults import Faults
from fieldlog.rulebook.files import read_toml
from fieldlog.rulebook.shape import Reader, Shape, day, identifier, listed, named, read_table, reference, text
from fieldlog.rulebook.shelf import Shelf

SCHEDULED = (InspectionKind.PRE_USE, InspectionKind.FREQUENT, InspectionKind.PERIODIC)
_SHARED = {
    "hook_rules": "hook",
    "thresholds": "threshold",
    "date_rules": "date_rule",
    "day_counts": "day_count",
    "instruments": "instrument",
    "chain_sizes": "chain_size",
    "groups": "group",
    "spectra": "spectrum",
    "life_factors": "life_factor",
    "year_colours": "scheme",
    "lettering": "lettering",
}
"""Fields of a rulebook that hold every entry of a table, whatever the regime."""


def bind(folder: Path, name: str, shelf: Shelf, faults: Faults) -> Rulebook | None:
    """The rulebook in rulebooks/`name`.toml of `folder`; None, with the faults noted, where it has any."""
    file = f"rulebooks/{name}.toml"
    data = read_toml(folder, file, faults)
    if data is None:
        return None
    chosen = read_table(data, _shape(shelf), file, faults)
    if chosen is None:
        return None
    if chosen["name"] != name:
        faults.add(f"{file}: name", f"is '{chosen['name']}', unlike the file's name.", "Make them one.")
    if not _whole(chosen):
        return None
    _check_drives(file, chosen, faults)
    _check_intervals(f"{file}: intervals", chosen, faults)
    return None if faults.problems else _rulebook(chosen, shelf)


def _shape(shelf: Shelf) -> Shape:
    def one(table: str) -> Reader:
        return reference(shelf.entries[table], table.replace("_", " "), f"the [[{table}]] tables")

    def some(table: str) -> Reader:
        return listed(one(table))

    return Shape(
        kind=dict,
        required={
            "name": identifier(kebab=True),
            "title": text(80),
            "edition": text(20),
            "issued_on": day,
            "elongation": some("elongation"),
            "diameter": one("diameter"),
            "single_pitch": one("single_pitch"),
            "hook": one("hook"),
            "load_tests": some("load_test"),
            "intervals": some("interval"),
            "idle": some("idle"),
            "date_rule": one("date_rule"),
            "watch_share": one("threshold"),
            "reference_over_share": one("threshold"),
            "sections": listed(named(shelf.checklist.sections, "section", SECTIONS)),
            "particulars": some("particular"),
            "sticker": one("sticker"),
            "retention": some("retention"),
        },
        optional={"hours": some("hours")},
    )


def _whole(chosen: Mapping[str, Any]) -> bool:
    """Whether everything named is sound; what is not has been told at its own place."""
    return all(
        value is not None and not (isinstance(value, tuple) and None in value) for value in chosen.values()
    )


def _check_drives(file: str, chosen: Mapping[str, Any], faults: Faults) -> None:
    """Each drive has exactly one elongation and one load test."""
    for key in ("elongation", "load_tests"):
        count = Counter(drive for rule in chosen[key] for drive in rule.drives)
        for drive in Drive:
            if count[drive] != 1:
                times = "no entry" if not count[drive] else f"{count[drive]} entries"
                faults.add(f"{file}: {key}", f"{times} for drive '{drive}'.", "Name exactly one.")


def _check_intervals(place: str, chosen: Mapping[str, Any], faults: Faults) -> None:
    """Each scheduled kind has one interval a service class, and at most one more for lifting persons."""
    count = Counter((rule.inspection, rule.service, rule.lifts_persons) for rule in chosen["intervals"])
    for kind in SCHEDULED:
        for service in ServiceClass:
            if not count[kind, service, False]:
                faults.add(place, f"no interval for '{kind}' in {service} service.", "Name one.")
    for (kind, service, _), times in count.items():
        if times > 1:
            faults.add(place, f"{times} intervals for '{kind}' in {service} service.", "Keep one.")


def _rulebook(chosen: Mapping[str, Any], shelf: Shelf) -> Rulebook:
    own = {key: value for key, value in chosen.items() if key != "date_rule"}
    watch, over, dating = chosen["watch_share"], chosen["reference_over_share"], chosen["date_rule"]
    names = chosen["sections"]
    shared = {key: tuple(shelf.entries[table].values()) for key, table in _SHARED.items()}
    return Rulebook(
        **own
        | shared
        | {
            "date_rule": dating.rule,
            "date_rule_source": dating.source,
            "watch_share": watch.value,
            "watch_source": watch.source,
            "reference_over_share": over.value,
            "reference_over_source": over.source,
            "sections": {name: shelf.checklist.sections[name] for name in names},
            "items": tuple(item for name in names for item in shelf.checklist.items if item.section == name),
        }
    )
