"""Reads every subject of a data folder: the entries from which rulebooks choose."""

from collections.abc import Mapping
from pathlib import Path

from msgspec import Struct

from fieldlog.rulebook.checklist import SECTIONS, Checklist, read_checklist
from fieldlog.rulebook.faults import Faults, near
from fieldlog.rulebook.files import read_rows, read_toml, refuse_empty, rows_of, subject_files
from fieldlog.rulebook.shape import Entries, Shape
from fieldlog.rulebook.subjects import SOURCE, subjects


class Shelf(Struct, frozen=True, kw_only=True):
    """All entries by table name and id, and the checklist."""

    entries: Mapping[str, Entries]
    checklist: Checklist


def read_shelf(folder: Path, faults: Faults) -> Shelf:
    """Everything in the subjects of `folder`; faults are noted and the rest is read on."""
    entries: dict[str, Entries] = {}
    _read_subject(folder, "sources", {"source": SOURCE}, entries, faults)
    for subject, tables in subjects(entries["source"]).items():
        _read_subject(folder, subject, tables, entries, faults)
    return Shelf(entries=entries, checklist=_read_checklist(folder, entries["source"], faults))


def _read_subject(
    folder: Path, subject: str, tables: Mapping[str, Shape], entries: dict[str, Entries], faults: Faults
) -> None:
    """Read the tables of one subject, from its file or from the files of its folder, into `entries`."""
    entries |= {table: Entries() for table in tables}
    for file in subject_files(folder, subject):
        data = read_toml(folder, file, faults)
        if data is None:
            for table in tables:
                entries[table].unread = True
            continue
        for table in data:
            if table not in tables:
                faults.add(f"{file}: {table}", "no such table.", near(table, tables))
        for table, shape in tables.items():
            read_rows(file, rows_of(data, file, table, faults), shape, entries[table], faults)
    for table in tables:
        refuse_empty(f"{subject}.toml", table, entries[table], faults)


def _read_checklist(folder: Path, sources: Entries, faults: Faults) -> Checklist:
    plan = read_toml(folder, SECTIONS, faults)
    names = subject_files(folder, "checklist")
    files = {name: data for name in names if (data := read_toml(folder, name, faults)) is not None}
    return read_checklist(plan, files, sources, faults)
