"""What leaves the shop as a table or a calendar, as plain values."""

from collections.abc import Mapping
from datetime import date
from typing import Any

from msgspec import Struct


class ExportTable(Struct, frozen=True, kw_only=True):
    """Rows of one kind; each has every column. `skipped` are hoists whose logbook can not be read.

    Values are texts, whole numbers, Decimals, booleans, days, moments or None.
    """

    kind: str
    columns: tuple[str, ...]
    rows: tuple[Mapping[str, Any], ...]
    skipped: tuple[str, ...] = ()


class CalendarDue(Struct, frozen=True, kw_only=True):
    """One due date of one hoist. `revision` rises with each record of its logbook."""

    id: str
    name: str
    inspection: str
    due_on: date
    in_time_until: date
    site: str
    place: str
    why: str
    revision: int
