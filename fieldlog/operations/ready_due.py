"""The due list of a day as JSON text, worked out again only for hoists whose logbook has changed."""

from collections.abc import Callable, Iterable, Mapping
from contextlib import suppress
from datetime import date

import msgspec
from msgspec.structs import replace

from fieldlog.domain.rules import Rulebook
from fieldlog.domain.verdict import Summary, summarise
from fieldlog.errors import FieldlogError
from fieldlog.operations.due import DueRow, due_row, is_retired, turning_days
from fieldlog.operations.shop import Shop, open_hoist, rulebook_named, summaries
from fieldlog.store.cores import uncollected
from fieldlog.store.ready import (
    LAST_DAY,
    Phase,
    Ready,
    ReadyRow,
    due_text,
    keep_ready,
    list_text,
    outdated,
    quick_stamp,
    read_ready,
    with_rows,
)
from fieldlog.store.scan import State

FEW = 50
"""So many logbooks are read sooner than the register of a large shop."""
_DAYS, _OVERDUE, _COMMON = b'"days":', b',"overdue":', b',"used_pct":'


def due_json(shop: Shop, day: date, progress: Callable[[int, int], None] | None = None) -> bytes:
    """All hoists on a day as `due_list` gives them, as JSON with a line a hoist, ending with a newline.

    What was worked out is kept in the store for the next time; a store that can only be read gives it all
    the same.
    """
    ready = read_ready(shop.root, day.isoformat(), quick_stamp(shop.root))
    states = shop.logbooks.stat_all()
    return brought_up(shop, ready, states, outdated(ready, states), progress)


def brought_up(
    shop: Shop,
    ready: Ready,
    states: Mapping[str, State],
    wanted: list[str],
    progress: Callable[[int, int], None] | None = None,
) -> bytes:
    """The list of the day that `ready` is seen on, where the rows of `wanted` are `outdated`."""
    with uncollected():
        if wanted or len(ready.rows) != len(states):
            fresh = _work_out(shop, wanted, progress)
            rows = [_ready_row(shop, name, states[name], fresh.get(name)) for name in wanted]
            ready = with_rows(ready, rows, states)
            with suppress(OSError):
                keep_ready(shop.logbooks.files, shop.root, ready)
        return list_text(ready)


def rows_json(day: date, rows: Iterable[DueRow]) -> bytes:
    """These rows, in their order, in the form of `due_json`."""
    return due_text(day.isoformat(), ((msgspec.json.encode(row),) for row in rows))


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


def _ready_row(shop: Shop, name: str, state: State, summary: Summary | None) -> ReadyRow:
    if summary is None:
        return ReadyRow(name, state, memoryview(b""), 0, ())
    return ready_row(name, state, summary, rulebook_named(summary.rulebook, shop))


def ready_row(name: str, state: State, summary: Summary, rulebook: Rulebook) -> ReadyRow:
    """The row of each time between two turning days, cut around what differs from day to day."""
    turning = [date.min, *turning_days(summary, rulebook)]
    ends = [*(day.toordinal() for day in turning[1:]), LAST_DAY + 1]
    text, common = b"", 0
    phases: list[Phase] = []
    for first, end in zip(turning, ends, strict=True):
        if is_retired(summary, first):
            break
        row = due_row(summary, rulebook, first)
        opening, closing, rest = _cut(row)
        text, common = (text, common) if common else (rest, len(rest))
        due_on = None if row.due_on is None else row.due_on.toordinal()
        if phases and text[phases[-1].start :] == opening + closing:
            # the day has turned something that another thing outweighs
            phases[-1] = replace(phases[-1], ends=end)
            continue
        start, cut = len(text), len(text) + len(opening)
        text += opening + closing
        phases.append(Phase(first.toordinal(), end, row.overdue, due_on, start, cut, len(text)))
    return ReadyRow(name, state, memoryview(text), common, tuple(phases))


def _cut(row: DueRow) -> tuple[bytes, bytes, bytes]:
    """The JSON text before and after the days left, and then what is the same on all days.

    No text that a person typed can hold the places of the cuts: its quotes are escaped in JSON.
    """
    opening, cut, rest = msgspec.json.encode(row).partition(_DAYS)
    days, overdue, rest = rest.partition(_OVERDUE)
    closing, common, rest = rest.partition(_COMMON)
    return opening + cut + (b"" if row.days is not None else days), overdue + closing, common + rest
