"""Faults of a table as lines: all of them, but a fault that every row has is told three times and counted."""

import re
from collections import Counter
from collections.abc import Iterable, Iterator

from fieldlog.errors import Problem

TOLD = 3
_CELL = re.compile(r"'[^']*'")


def fault_lines(problems: Iterable[Problem]) -> Iterator[str]:
    """A line a fault, in order; after them how many more each column has of one it was told of."""
    counts: Counter[tuple[str, str]] = Counter()
    for problem in problems:
        alike = (problem.place.rpartition(":")[2], _CELL.sub("", f"{problem.wrong} {problem.todo}"))
        counts[alike] += 1
        if counts[alike] <= TOLD:
            yield str(problem)
    for (column, _), count in counts.items():
        if count > TOLD:
            more = count - TOLD
            yield f"and {more} more cell{'s' if more > 1 else ''} of column {column} with the same fault"
