"""A table of hoists as it came in: each row's cells by field, with the place where each stands."""

from collections.abc import Mapping

from msgspec import Struct, field

from fieldlog.errors import Problem


class ImportCell(Struct, frozen=True, kw_only=True):
    """A cell's text as a form would take it; `faulty`: it is told among the table's faults already."""

    text: str
    place: str
    faulty: bool = False


class ImportRow(Struct, frozen=True, kw_only=True):
    """A row by its number in the file, the first one being 1; `cells` by the name of the field."""

    number: int
    cells: Mapping[str, ImportCell]


class ImportTable(Struct, frozen=True, kw_only=True):
    """All rows of a file called `source`. Faults stop an import; notes are told beside it.

    `columns` are the fields that the file or its mapping has.
    """

    source: str
    rows: tuple[ImportRow, ...] = ()
    columns: frozenset[str] = field(default=frozenset())
    faults: tuple[Problem, ...] = ()
    notes: tuple[Problem, ...] = ()
