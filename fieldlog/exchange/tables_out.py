"""Tables going out as CSV (RFC 4180) that spreadsheets open as meant, and no cell starts a formula."""

import csv
import io
from collections.abc import Iterable, Mapping, Sequence
from datetime import date, datetime
from decimal import Decimal
from typing import Any

from fieldlog.exchange.formula_guard import guard

BYTE_ORDER_MARK = "\ufeff"
"""Without it spreadsheets take a CSV for the encoding of the host."""
AMBIGUOUS_DECIMALS = 3
MOST_DECIMALS = Decimal("1e-8")


def write_table(columns: Sequence[str], rows: Iterable[Mapping[str, Any]], separator: str = ",") -> bytes:
    """The table in UTF-8 with its mark, lines ended by CR LF, every cell in quotes; first row the columns.

    With semicolons decimals have commas, as where spreadsheets expect those. Days and moments are ISO 8601.
    """
    file = io.StringIO(newline="")
    # All in quotes, so that a separator inside a text is never one for a reader told of that separator.
    writer = csv.writer(file, delimiter=separator, quoting=csv.QUOTE_ALL, lineterminator="\r\n")
    writer.writerow(columns)
    for row in rows:
        writer.writerow([cell_text(row.get(name), separator) for name in columns])
    return (BYTE_ORDER_MARK + file.getvalue()).encode()


def cell_text(value: Any, separator: str = ",") -> str:
    """One value as it stands in a cell. Only texts are guarded: a number can not be a formula."""
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, int):
        return str(value)
    if isinstance(value, Decimal):
        number = _decimal(value)
        return number.replace(".", ",") if separator == ";" else number
    if isinstance(value, date | datetime):
        return value.isoformat()
    return guard(str(value), separator)


def _decimal(value: Decimal) -> str:
    """Written out, never with exactly three decimals: 1.125 would be a thousand to some."""
    rounded = value if value.as_tuple().exponent >= -8 else value.quantize(MOST_DECIMALS)  # type: ignore[operator]
    whole, _, decimals = f"{rounded:f}".partition(".")
    decimals = decimals.rstrip("0")
    if len(decimals) == AMBIGUOUS_DECIMALS:
        decimals += "0"
    return f"{whole}.{decimals}" if decimals else whole
