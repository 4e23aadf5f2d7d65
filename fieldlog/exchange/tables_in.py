"""A table of hoists from a file's bytes: any order of columns, every fault with row and column."""

from collections.abc import Iterator, Mapping, Sequence

from msgspec.structs import replace

from fieldlog.domain.import_rows import ImportCell, ImportRow, ImportTable
from fieldlog.errors import InputError, Problem
from fieldlog.exchange.cells import Manner, take_cell
from fieldlog.exchange.formula_guard import unguard
from fieldlog.exchange.headings import Column, letter, recognise, simple
from fieldlog.exchange.mapping import ColumnMap
from fieldlog.exchange.reading_text import (
    SEPARATORS,
    RawTable,
    decode_table,
    split_table,
    stated_separator,
)

NEEDED = ("maker", "model", "serial", "drive", "capacity", "lift", "chain", "site")
HEADING_ROWS = 10
"""Titles and blank rows that may stand above the headings."""
_NO_MAP = ColumnMap()


def read_table(data: bytes, source: str, *, mapping: ColumnMap = _NO_MAP, dates: str = "") -> ImportTable:
    """The table that these bytes are; all that is wrong with it stands in its faults, nothing is raised.

    `source` is the file's name for people; `dates` is iso, dmy or mdy and goes before the mapping's.
    """
    text = decode_table(data, source)
    if isinstance(text, Problem):
        return ImportTable(source=source, faults=(text,))
    stated, text = stated_separator(text)
    found = [split_table(text, each, source) for each in ((stated,) if stated else SEPARATORS)]
    tables = [table for table in found if isinstance(table, RawTable)]
    best = max(tables, key=lambda table: _heading_of(table, mapping)[1], default=None)
    if best is None or not best.rows:
        fault = next((fault for fault in found if isinstance(fault, Problem)), None)
        empty = Problem(place=source, wrong="there is nothing in this file.", todo="Name another file.")
        return ImportTable(source=source, faults=(fault or empty,))
    at, known = _heading_of(best, mapping)
    # A row of headings is more than a word that happens to be one; broken quotes may have hidden it.
    if known < 2:
        broken = next((fault for fault in found if isinstance(fault, Problem)), None)
        return ImportTable(source=source, faults=(broken or _no_headings(source),))
    return _Reading(source, best, at, mapping, dates or mapping.dates or "iso").table()


def _no_headings(source: str) -> Problem:
    wrong = "no row of headings was found: none of the first rows names columns such as maker and serial."
    return Problem(place=f"{source}:1", wrong=wrong, todo="Name the columns, or map them (--map FILE).")


def _column(index: int, heading: str, mapping: ColumnMap) -> Column:
    mapped = mapping.columns.get(simple(heading))
    column = recognise(index, heading)
    if mapped is None:
        return column
    return replace(column, field=mapped.field, unit=mapped.unit or column.unit)


def _heading_of(table: RawTable, mapping: ColumnMap) -> tuple[int, int]:
    """The place of the row that names most fields, and how many it names."""
    counts = [
        len({_column(0, cell, mapping).field for cell in cells} - {""})
        for _, cells in table.rows[:HEADING_ROWS]
    ]
    most = max(counts, default=0)
    return (counts.index(most) if counts else 0), most


class _Reading:
    """One file while it is read: its columns, its manner, and what was found wrong."""

    def __init__(self, source: str, raw: RawTable, at: int, mapping: ColumnMap, dates: str) -> None:
        self.source = source
        self.raw = raw
        self.mapping = mapping
        self.heading_row, headings = raw.rows[at]
        self.body = raw.rows[at + 1 :]
        self.columns = [_column(n, text, mapping) for n, text in enumerate(headings) if text.strip()]
        self.width = len(headings)
        commas = raw.separator == ";"
        self.manner = Manner(dates=dates, words=mapping.words, comma_decimals=commas)
        self.faults: list[Problem] = []
        self.notes: list[Problem] = []

    def table(self) -> ImportTable:
        """All rows, with every fault of headings and cells."""
        used = self._used()
        fields = {column.field for column in used} | set(self.mapping.constants)
        if {"chain_dn", "chain_pn"} <= fields:
            fields.add("chain")
        for name in NEEDED:
            if name not in fields:
                wrong = f"there is no column for the {name}."
                todo = f"Name a column '{name}', map one, or give a constant (--map FILE)."
                self.faults.append(Problem(place=f"{self.source}:{self.heading_row}", wrong=wrong, todo=todo))
        if not self.body:
            self.faults.append(Problem(place=self.source, wrong="there are no rows below the headings."))
        rows = tuple(self._row(number, cells, used) for number, cells in self.body)
        return ImportTable(
            source=self.source,
            rows=rows,
            columns=frozenset(fields),
            faults=tuple(self.faults),
            notes=tuple(self.notes),
        )

    def _used(self) -> list[Column]:
        """The columns that are read, each field once; others are told."""
        used: dict[str, Column] = {}
        for column in self.columns:
            place = f"{self.source}:{self.heading_row}:{letter(column.index)} {column.heading[:40]}"
            if column.field in used:
                first = letter(used[column.field].index)
                wrong = f"this is the {column.field} a second time, after column {first}."
                todo = "Keep one, or map the other to its own field or to ignore."
                if simple(column.heading) not in self.mapping.ignore:
                    self.faults.append(Problem(place=place, wrong=wrong, todo=todo))
            elif column.field and simple(column.heading) not in self.mapping.ignore:
                used[column.field] = column
            elif not column.field and simple(column.heading) not in self.mapping.ignore:
                self.notes.append(
                    Problem(place=place, wrong="this column is not read.", todo="Map it if it should be.")
                )
        return list(used.values())

    def _row(self, number: int, cells: Sequence[str], used: Sequence[Column]) -> ImportRow:
        found = dict(self._cells(number, cells, used))
        beyond = [text for text in cells[self.width :] if text.strip()]
        if beyond:
            place = f"{self.source}:{number}:{letter(self.width)}"
            wrong = f"there are {len(cells)} cells under {self.width} headings."
            self.faults.append(
                Problem(
                    place=place, wrong=wrong, todo="Put a cell with a separator in it in quotation marks."
                )
            )
        for name, text in self.mapping.constants.items():
            if name not in found or not (found[name].text or found[name].faulty):
                found[name] = ImportCell(text=text, place=f"{self.source}:{number}: constant {name}")
        return ImportRow(number=number, cells=_with_chain(found))

    def _cells(
        self, number: int, cells: Sequence[str], used: Sequence[Column]
    ) -> Iterator[tuple[str, ImportCell]]:
        for column in used:
            text = unguard(cells[column.index], self.raw.separator) if column.index < len(cells) else ""
            place = f"{self.source}:{number}:{letter(column.index)} {column.heading[:40]}"
            try:
                taken = take_cell(column.field, text, column.unit, self.manner)
            except InputError as fault:
                self.faults.append(Problem(place=place, wrong=f"{fault}."))
                yield column.field, ImportCell(text="", place=place, faulty=True)
                continue
            yield column.field, ImportCell(text=taken, place=place)


def _with_chain(cells: Mapping[str, ImportCell]) -> dict[str, ImportCell]:
    """Diameter and pitch from two columns made one size, unless the size has a column of its own."""
    found = dict(cells)
    dn, pn = found.pop("chain_dn", None), found.pop("chain_pn", None)
    if ("chain" in found and found["chain"].text) or dn is None or pn is None:
        return found
    text = f"{dn.text.removesuffix('mm').strip()}x{pn.text.removesuffix('mm').strip()}"
    empty = next((cell for cell in (dn, pn) if not cell.text), None)
    found["chain"] = ImportCell(
        text="" if empty else text, place=(empty or dn).place, faulty=dn.faulty or pn.faulty
    )
    return found
