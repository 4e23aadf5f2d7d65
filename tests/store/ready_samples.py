"""Rows of a due list: three hoists that are due, one of them without a day, and one that is in no list."""

from datetime import date

from fieldlog.store.ready import LAST_DAY
from fieldlog.store.ready_rows import Phase, ReadyRow

STAMP = "stamp"
DAY = date(2026, 11, 25)
TURNS = date(2026, 11, 26).toordinal()


def due_row(name: str, state: tuple[int, int], due_on: str) -> ReadyRow:
    """A hoist that is due on a day and overdue from 2026-11-26 on."""
    due = date.fromisoformat(due_on).toordinal()
    soon = Phase(begins=1, ends=TURNS, overdue=False, due_on=due, text=b'{"days":,"o":0}', cut=8)
    late = Phase(begins=TURNS, ends=LAST_DAY + 1, overdue=True, due_on=due, text=b'{"days":,"o":1}', cut=8)
    return ReadyRow(name=name, state=state, phases=(soon, late))


NEVER_DUE = Phase(begins=1, ends=TURNS, overdue=False, due_on=None, text=b'{"c":3}', cut=0)
ROWS = (
    due_row("SW-0001-0", (10, 1), "2027-01-01"),
    due_row("SW-0002-Y", (20, 2), "2026-12-01"),
    ReadyRow(name="SW-0003-W", state=(30, 3)),
    ReadyRow(name="SW-0004-U", state=(40, 4), phases=(NEVER_DUE,)),
)
STATES = {row.name: row.state for row in ROWS}
