"""The due list of today as JSON text, worked out again only for hoists whose logbook has changed."""

from collections.abc import Callable, Iterable
from contextlib import suppress
from datetime import date

import msgspec

from fieldlog.domain.verdict import Summary, summarise
from fieldlog.errors import FieldlogError
from fieldlog.operations.due import DueRow, due_row
from fieldlog.operations.shop import Shop, open_hoist, rulebook_named, summaries
from fieldlog.store.cores import uncollected
from fieldlog.store.files import is_shared, replace_file
from fieldlog.store.ready import (
    FILE,
    ReadyRow,
    due_text,
    outdated,
    quick_stamp,
    read_ready,
    ready_file,
    row_texts,
)
from fieldlog.store.scan import State

FEW = 50
"""So many logbooks are read sooner than the register of a large shop."""


def due_json(shop: Shop, day: date, progress: Callable[[int, int], None] | None = None) -> bytes:
    """All hoists on a day as `due_list` gives them, as JSON with a line a hoist, ending with a newline.

    What was worked out is kept in the store for the next time; a store that can only be read gives it all
    the same.
    """
    stamp, told = quick_stamp(shop.root), day.isoformat()
    states = shop.logbooks.stat_all()
    ready = read_ready(shop.root, told, stamp)
    wanted = outdated(ready, states)
    if not wanted and len(ready.rows) == len(states):
        return bytes(ready.text)
    with uncollected():
        rows = {name: row for name, row in ready.rows.items() if name in states}
        texts = row_texts(ready, told)
        fresh = _work_out(shop, wanted, progress)
        for name in wanted:
            rows[name], texts[name] = _ready(shop, name, states[name], fresh.get(name), day)
        head, text = ready_file(told, stamp, rows, texts)
    _keep(shop, head + text)
    return text


def rows_json(day: date, rows: Iterable[DueRow]) -> bytes:
    """These rows, in their order, in the form of `due_json`."""
    return due_text(day.isoformat(), [msgspec.json.encode(row) for row in rows])


def _work_out(
    shop: Shop, wanted: list[str], progress: Callable[[int, int], None] | None
) -> dict[str, Summary]:
    if len(wanted) > FEW:
        return summaries(shop, progress)
    found = {}
    for name in wanted:
        # One that does not read is told by verify and must not hide the others.
        with suppress(FieldlogError):
            opened = open_hoist(shop, name)
            found[name] = summarise(opened.history, opened.rulebook)
    return found


def _ready(shop: Shop, name: str, state: State, summary: Summary | None, day: date) -> tuple[ReadyRow, bytes]:
    if summary is None:
        return ReadyRow(name, *state, False, "", 0), b""
    row = due_row(summary, rulebook_named(summary.rulebook, shop), day)
    due_on = "" if row.due_on is None else row.due_on.isoformat()
    text = msgspec.json.encode(row)
    return ReadyRow(name, *state, row.overdue, due_on, len(text)), text


def _keep(shop: Shop, data: bytes) -> None:
    with suppress(OSError):
        shared = is_shared(shop.root)
        replace_file(shop.logbooks.files, shop.root / FILE, data, shared=shared, durable=True)
