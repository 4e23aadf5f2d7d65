"""Rows going out as one JSON document that follows export.schema.json."""

import json
from datetime import date, datetime
from decimal import Decimal
from typing import Any

from fieldlog import __version__
from fieldlog.domain.export_rows import ExportTable

SCHEMA_VERSION = 1


def write_json(kind: str, table: ExportTable, *, shop: str, day: date, now: datetime) -> bytes:
    """The document in UTF-8. Numbers with decimals are texts, so that none is rounded on the way."""
    document = {
        "fieldlog": __version__,
        "schema": SCHEMA_VERSION,
        "kind": kind,
        "shop": shop,
        "as_on": day.isoformat(),
        "made_at": now.isoformat(timespec="seconds"),
        "skipped": list(table.skipped),
        "rows": [{name: _plain(row.get(name)) for name in table.columns} for row in table.rows],
    }
    return (json.dumps(document, ensure_ascii=False, allow_nan=False, indent=1) + "\n").encode()


def _plain(value: Any) -> Any:
    if isinstance(value, Decimal):
        return f"{value:f}"
    if isinstance(value, date | datetime):
        return value.isoformat()
    return value
