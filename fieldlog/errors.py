"""The tree of errors, each with the exit code a command ends with, and Problem.

Exit codes: 0 done, 1 problems were found, 2 bad input or a faulty rulebook, 3 not found,
4 refused, 5 not saved (conflict, lock, disk), 70 a fault in fieldlog itself.
"""

from collections.abc import Iterable

from msgspec import Struct


class Problem(Struct, frozen=True, kw_only=True):
    """Something wrong at a place: what it is and what to do about it, each a short sentence."""

    place: str
    wrong: str
    todo: str = ""

    def __str__(self) -> str:
        return f"{self.place}: {self.wrong}" + (f" {self.todo}" if self.todo else "")


class FieldlogError(Exception):
    """What went wrong, in one sentence a technician can act on."""

    exit_code = 1


class InputError(FieldlogError):
    """Something typed, scanned or imported can not be taken as it stands."""

    exit_code = 2


class ProblemsError(FieldlogError):
    """Several problems found together, so that all can be mended at once."""

    def __init__(self, heading: str, problems: Iterable[Problem]) -> None:
        """Keep `problems` and show them a line each below `heading`."""
        self.problems = tuple(problems)
        super().__init__("\n".join([heading, *(f"  {problem}" for problem in self.problems)]))


class IncompleteError(ProblemsError):
    """A form with fields that can not be taken."""

    exit_code = 2


class RulebookError(ProblemsError):
    """A rulebook file with faults; nothing starts on faulty rules."""

    exit_code = 2


class TemplateError(ProblemsError):
    """A label template with faults."""

    exit_code = 2


class NotFoundError(FieldlogError):
    """No such hoist, person, instrument or template."""

    exit_code = 3


class RefusedError(FieldlogError):
    """The trade's rules forbid it as things stand; the sentence says why and what is missing."""

    exit_code = 4


class StoreError(FieldlogError):
    """The store could not be read or written."""

    exit_code = 5


class ConflictError(StoreError):
    """Somebody sealed into the same logbook since it was last read; nothing was written."""


class LockedError(StoreError):
    """Another session holds the logbook; the sentence names it."""


class DamagedError(StoreError):
    """A logbook holds a line that can not be trusted; nothing is written to it any more."""


class NotSavedError(StoreError):
    """The disk refused the record; the logbook is as it was before."""


class PrinterError(FieldlogError):
    """The print queue refused, in its own words."""

    exit_code = 5
