"""Writing the rows of the ready due list, which `ready` reads."""

from array import array
from collections.abc import Container, Iterable, Iterator, Sequence
from operator import itemgetter
from pathlib import Path

from msgspec import Struct

from fieldlog.store.files import FileCalls, is_shared, replace_file
from fieldlog.store.ready import COLUMNS, FILE, HEAD_BYTES, LAST_DAY, SINCE, Kept, Rows, head_line, rows_of
from fieldlog.store.scan import State, read_state_line, state_line
from fieldlog.store.trust import RACY_NS

SINCE_MOST = 500
"""So many rows are written again with each further one; beyond it all rows are."""


class Phase(Struct, frozen=True, kw_only=True):
    """What a hoist's row says from the day `begins` until before the day `ends`.

    `text` is its JSON without the days left until `due_on`, which go in at `cut`; none where nothing is due.
    Days are numbers as date.toordinal gives them.
    """

    begins: int
    ends: int
    overdue: bool
    due_on: int | None
    text: bytes
    cut: int


class ReadyRow(Struct, frozen=True, kw_only=True):
    """One hoist: its logbook's state when the row was worked out, and what the row says in its time."""

    name: str
    state: State
    phases: tuple[Phase, ...] = ()


def packed(stamp: str, rows: Iterable[ReadyRow]) -> bytes:
    """The file that holds these rows.

    Their lines stand as a look at the folder gives them, so that the two compare at once; their phases in an
    order near to that of the list on any day, which is then quick to sort.
    """
    named = sorted(((state_line(row.name, row.state), row) for row in rows), key=itemgetter(0))
    texts: list[bytes] = []
    columns: tuple[array[int], ...] = tuple(array("q") for _ in range(COLUMNS))
    at = HEAD_BYTES
    for number, (_, row) in sorted(enumerate(named), key=lambda item: _first_due(item[1][1])):
        for each in row.phases:
            end = at + len(each.text)
            item = (number, each.begins, each.ends, each.due_on or 0, each.overdue, at, at + each.cut, end)
            for column, value in zip(columns, item, strict=True):
                column.append(value)
            texts.append(each.text)
            at = end
    lines = b"".join(line for line, _ in named)
    newest = max((row.state[1] for _, row in named), default=0)
    head = head_line(stamp, len(lines), len(columns[0]), at - HEAD_BYTES, newest)
    return b"".join((head, *texts, lines, *(column.tobytes() for column in columns)))


def unpacked(rows: Rows, passed_over: Container[bytes] = ()) -> Iterator[ReadyRow]:
    """The rows as they were packed, without those of some hoists and those that are not to be trusted."""
    phases: dict[int, list[Phase]] = {}
    for row, begins, ends, due_on, overdue, start, cut, end in zip(*rows.columns, strict=True):
        phase = Phase(
            begins=begins,
            ends=ends,
            overdue=bool(overdue),
            due_on=due_on or None,
            text=rows.data[start:end],
            cut=cut - start,
        )
        phases.setdefault(row, []).append(phase)
    for number, line in enumerate(rows.lines.splitlines()):
        if line and line.partition(b" ")[0] not in passed_over:
            name, state = read_state_line(line)
            yield ReadyRow(name=name, state=state, phases=tuple(phases.get(number, ())))


def in_memory(rows: Sequence[ReadyRow]) -> Rows:
    """These rows as if a file held them."""
    newest = max((row.state[1] for row in rows), default=0)
    return rows_of(packed("", rows), "", written_ns=newest + RACY_NS)


def keep_ready(
    files: FileCalls, root: Path, stamp: str, kept: Kept, *, fresh: Sequence[ReadyRow], stale: set[bytes]
) -> None:
    """Write the rows for the next time: those worked out since alone, as long as they are few.

    `stale` are hoists whose kept rows are out of date. OSError where the system refuses. Each row is checked
    when it is read, so it does no harm that the two files are not replaced in one step, or that another
    session writes them too.
    """
    since = [*fresh, *unpacked(kept[0], stale)]
    if len(since) > SINCE_MOST or 2 * len(since) > kept[1].lines.count(b"\n"):
        left = unpacked(kept[1], stale.union(row.name.encode() for row in since))
        _write(files, root / FILE, packed(stamp, [*since, *left]))
        (root / SINCE).unlink(missing_ok=True)
    else:
        _write(files, root / SINCE, packed(stamp, since))


def _first_due(row: ReadyRow) -> tuple[int, str]:
    return min((each.due_on or LAST_DAY for each in row.phases), default=LAST_DAY), row.name


def _write(files: FileCalls, path: Path, data: bytes) -> None:
    replace_file(files, path, data, shared=is_shared(path.parent), durable=True)
