"""The due list of a day as JSON text, worked out again only for hoists whose logbook has changed."""

from collections.abc import Callable, Iterable, Iterator, Sequence, Set
from contextlib import suppress
from datetime import date

import msgspec
from msgspec.structs import replace

from fieldlog.domain.rules import Rulebook
from fieldlog.domain.verdict import Summary, summarise
from fieldlog.errors import FieldlogError, NotFoundError
from fieldlog.operations.due import DueRow, due_row, is_retired, lost_row, turning_days
from fieldlog.operations.shop import Shop, damaged, open_hoist, rulebook_named, summaries
from fieldlog.store.cores import uncollected
from fieldlog.store.ready import (
    LAST_DAY,
    Kept,
    Listed,
    changes,
    due_text,
    listed,
    quick_stamp,
    read_ready,
    rows_on,
)
from fieldlog.store.ready_rows import Phase, ReadyRow, in_memory, keep_ready
from fieldlog.store.scan import State, read_state_line

FEW = 50
"""So many logbooks are read sooner than the register of a large shop."""
GONE = "its logbook is gone; look for it in a backup"
_DAYS, _AFTER = b'"days":', b',"overdue":'


def due_json(shop: Shop, day: date, progress: Callable[[int, int], None] | None = None) -> Iterator[bytes]:
    """All hoists on a day as `due_list` gives them, as JSON with a line a hoist, a piece after the other.

    What was worked out is kept in the store for the next time; a store that can only be read gives it all
    the same.
    """
    stamp = quick_stamp(shop.root)
    kept = read_ready(shop.root, stamp)
    with uncollected():
        stale, changed = changes(kept, shop.logbooks.state_lines())
        fresh = bring_up(shop, stamp, kept, stale, changed, progress=progress) if changed else []
        return list_text(day, listed(day, kept), stale, fresh)


def bring_up(
    shop: Shop,
    stamp: str,
    kept: Kept,
    stale: set[bytes],
    changed: Sequence[bytes],
    *,
    progress: Callable[[int, int], None] | None = None,
) -> list[ReadyRow]:
    """The rows of these state lines, worked out anew and kept for the next time."""
    # a logbook that grows from now on has another state the next time
    states = dict(read_state_line(line) for line in changed)
    found, lost = _work_out(shop, list(states), progress)
    fresh = [
        _lost_row(name, state, lost[name]) if name in lost else _ready_row(shop, name, state, found.get(name))
        for name, state in states.items()
    ]
    with suppress(OSError):
        keep_ready(shop.logbooks.files, shop.root, stamp, kept, fresh=fresh, stale=stale)
    return fresh


def list_text(
    day: date, rows: Sequence[Listed], stale: Set[bytes], fresh: Sequence[ReadyRow]
) -> Iterator[bytes]:
    """The list of the day with fresh rows in the place of those that are out of date.

    One that is out of date and has no fresh row is of a logbook that is gone.
    """
    found = [row for row in rows if row[2] not in stale] if stale else list(rows)
    brought = {row.name.encode() for row in fresh}
    gone = [_lost_row(name.decode(), (0, 0), GONE) for name in sorted(stale - brought)]
    found += rows_on(day, in_memory([*fresh, *gone]))
    found.sort()
    return due_text(day, [text for *_, text in found])


def rows_json(day: date, rows: Iterable[DueRow]) -> Iterator[bytes]:
    """These rows, in their order, in the form of `due_json`."""
    return due_text(day, [msgspec.json.encode(row) for row in rows])


def _work_out(
    shop: Shop, wanted: list[str], progress: Callable[[int, int], None] | None
) -> tuple[dict[str, Summary], dict[str, str]]:
    """Summaries by name, and what is wrong with those logbooks that give none."""
    if len(wanted) > FEW:
        found = summaries(shop, progress)
        return found, {name: problem for name, problem in damaged(shop).items() if name not in found}
    found, lost = {}, {}
    for name in wanted:
        try:
            opened = open_hoist(shop, name)
        except NotFoundError:
            continue  # its first record was not saved
        except FieldlogError as fault:
            lost[name] = str(fault)
        else:
            found[name] = summarise(opened.history, opened.rulebook)
    return found, lost


def _lost_row(name: str, state: State, problem: str) -> ReadyRow:
    return ReadyRow(name=name, state=state, phases=(_phase(lost_row(name, problem), 1, LAST_DAY + 1),))


def _ready_row(shop: Shop, name: str, state: State, summary: Summary | None) -> ReadyRow:
    if summary is None:
        return ReadyRow(name=name, state=state)
    return ready_row(name, state, summary, rulebook_named(summary.rulebook, shop))


def ready_row(name: str, state: State, summary: Summary, rulebook: Rulebook) -> ReadyRow:
    """The row of each time between two turning days, cut where the days left go in."""
    turning = [date.min, *turning_days(summary, rulebook)]
    ends = [*(day.toordinal() for day in turning[1:]), LAST_DAY + 1]
    phases: list[Phase] = []
    for first, end in zip(turning, ends, strict=True):
        if is_retired(summary, first):
            break
        phase = _phase(due_row(summary, rulebook, first), first.toordinal(), end)
        if phases and phases[-1].text == phase.text:
            # the day has turned something that another thing outweighs
            phases[-1] = replace(phases[-1], ends=end)
        else:
            phases.append(phase)
    return ReadyRow(name=name, state=state, phases=tuple(phases))


def _phase(row: DueRow, begins: int, ends: int) -> Phase:
    # No text that a person typed can hold the places of the cut: its quotes are escaped in JSON.
    opening, cut, rest = msgspec.json.encode(row).partition(_DAYS)
    _, after, closing = rest.partition(_AFTER)
    opening += cut if row.due_on is not None else cut + b"null"
    return Phase(
        begins=begins,
        ends=ends,
        overdue=row.overdue,
        due_on=None if row.due_on is None else row.due_on.toordinal(),
        text=opening + after + closing,
        cut=len(opening),
    )
