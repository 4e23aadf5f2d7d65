"""Reads TOML files and the lists of entries in them; what is wrong is noted and the rest is read on."""

import re
import tomllib
from collections.abc import Mapping
from decimal import Decimal
from pathlib import Path
from typing import Any

from fieldlog.rulebook.faults import Faults
from fieldlog.rulebook.shape import Entries, Shape, read_table

Rows = list[dict[str, Any]]


def read_toml(folder: Path, file: str, faults: Faults) -> dict[str, Any] | None:
    """The file as plain values, numbers as int or Decimal; None where it can not be read."""
    try:
        return tomllib.loads((folder / file).read_text(encoding="utf-8"), parse_float=Decimal)
    except FileNotFoundError:
        faults.add(file, "is missing.", "Put it back; every subject file must be there.")
    except OSError as error:
        faults.add(file, f"can not be read ({error.strerror}).", "Check the rights of the file.")
    except UnicodeDecodeError as error:
        faults.add(file, f"is not UTF-8 text (byte {error.start + 1}).", "Save it as UTF-8.")
    except tomllib.TOMLDecodeError as error:
        what, where = _told(str(error))
        faults.add(f"{file}: {where}", f"is not TOML: {what}.", "Mend the line.")
    return None


def subject_files(folder: Path, subject: str) -> list[str]:
    """The files of a subject: those in the folder of its name, in order, else its one file."""
    inside = sorted(f"{subject}/{path.name}" for path in folder.glob(f"{subject}/*.toml"))
    return inside or [f"{subject}.toml"]


def rows_of(data: Mapping[str, Any], file: str, table: str, faults: Faults) -> Rows:
    """The entries under [[table]]; none, with a fault, where what stands there is no list of tables."""
    rows = data.get(table, [])
    if isinstance(rows, list) and all(isinstance(row, dict) for row in rows):
        return rows
    faults.add(f"{file}: {table}", "is no list of entries.", f"Write each entry under [[{table}]].")
    return []


def refuse_empty(file: str, table: str, entries: Entries, faults: Faults) -> None:
    """A table that no file has an entry for is a fault."""
    if not entries and not entries.unread:
        faults.add(f"{file}: {table}", "has no entry.", f"Write each entry under [[{table}]].")


def read_rows(file: str, rows: Rows, shape: Shape, into: Entries, faults: Faults) -> None:
    """Add each row under its id; an id that is there already is a fault."""
    for number, row in enumerate(rows, start=1):
        name = row.get("id")
        known_as = name if isinstance(name, str) else f"entry {number}"
        made = read_table(row, shape, f"{file}: {known_as}", faults)
        if known_as in into:
            faults.add(f"{file}: {known_as}", "stands twice.", "Give one of them another id.")
        else:
            into[known_as] = made


def _told(error: str) -> tuple[str, str]:
    """What the parser found and where, from its sentence '... (at line 3, column 5)'."""
    told = re.fullmatch(r"(?P<what>.*) \(at (?P<where>[^()]*)\)", error, re.DOTALL)
    return (told["what"], told["where"]) if told else (error, "somewhere")
