"""From a file's bytes to rows of cells: encodings, separators and quotes as spreadsheets write them."""

import csv
import io

from msgspec import Struct

from fieldlog.errors import Problem

SEPARATORS = (",", ";", "\t")
MOST_BYTES = 50_000_000
MOST_ROWS = 100_000
_BOMS = ((b"\xef\xbb\xbf", "utf-8-sig"), (b"\xff\xfe", "utf-16"), (b"\xfe\xff", "utf-16"))
_NOT_TEXT = (
    (b"PK\x03\x04", "a workbook or a zip"),
    (b"\xd0\xcf\x11\xe0", "an old workbook"),
    (b"%PDF", "a PDF"),
)
_SAVE_AS = "Save it as CSV (UTF-8) and import that file."


class RawTable(Struct, frozen=True, kw_only=True):
    """The rows as they stand, each with its number in the file from 1, and the separator between cells."""

    rows: tuple[tuple[int, tuple[str, ...]], ...]
    separator: str


def decode_table(data: bytes, source: str) -> str | Problem:
    """The text of a file in UTF-8, UTF-16 with its mark, or Windows-1252; a Problem for anything else."""
    if len(data) > MOST_BYTES:
        return Problem(place=source, wrong=f"the file is over {MOST_BYTES:,} bytes.", todo="Split it.")
    for magic, what in _NOT_TEXT:
        if data.startswith(magic):
            return Problem(place=source, wrong=f"this is {what}, not a table as text.", todo=_SAVE_AS)
    marked = next((name for mark, name in _BOMS if data.startswith(mark)), "")
    for encoding in (marked,) if marked else ("utf-8", "cp1252"):
        try:
            text = data.decode(encoding)
            break
        except UnicodeDecodeError as fault:
            line = data.count(b"\n", 0, fault.start) + 1
    else:
        wrong = "this line holds a byte that neither UTF-8 nor Windows-1252 has."
        return Problem(place=f"{source}:{line}", wrong=wrong, todo=_SAVE_AS)
    if "\0" in text:
        line = text.count("\n", 0, text.index("\0")) + 1
        return Problem(place=f"{source}:{line}", wrong="this line holds a zero byte.", todo=_SAVE_AS)
    return text


def split_table(text: str, separator: str, source: str) -> RawTable | Problem:
    """The rows of the text; a Problem names the row from which on quotes do not close."""
    rows: list[tuple[int, tuple[str, ...]]] = []
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=separator, strict=True)
    number = 0
    try:
        for number, cells in enumerate(reader, start=1):
            if number > MOST_ROWS:
                return Problem(
                    place=f"{source}:{number}", wrong=f"there are over {MOST_ROWS:,} rows.", todo="Split it."
                )
            if any(cell.strip() for cell in cells):
                rows.append((number, tuple(cells)))
    except csv.Error as fault:
        wrong = f"the row does not read as a table ({fault})."
        todo = "Close each quotation mark, and double those inside a cell."
        return Problem(place=f"{source}:{number + 1}", wrong=wrong, todo=todo)
    return RawTable(rows=tuple(rows), separator=separator)


def stated_separator(text: str) -> tuple[str, str]:
    """The separator that a first line `sep=;` states, and the text with that line emptied; else empty."""
    first, line_end, rest = text.partition("\n")
    told = first.strip().strip('"')
    if len(told) == len("sep=") + 1 and told.lower().startswith("sep=") and told[-1] in SEPARATORS:
        return told[-1], line_end + rest
    return "", text
