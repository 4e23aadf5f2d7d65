"""Checking every logbook byte by byte: what is wrong, where, and what to do."""

import re
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import BindingType

from fieldlog.domain.counting import counted
from fieldlog.errors import Problem
from fieldlog.operations.verifying import Verification, verify
from fieldlog.tui.commands import bindings
from fieldlog.tui.listed_form import wrapped_rows
from fieldlog.tui.long_work import Job, LongWork
from fieldlog.tui.widgets.line_table import CONTINUED, Column, LineTable, Row
from fieldlog.tui.widgets.progress_line import ProgressLine

PLACE = 24
HOIST_PLACE = re.compile(r"logbooks/(?P<id>[^/]+)\.jsonl")


def hoist_of(problem: Problem) -> str:
    """The tag of the hoist whose logbook it is in, or an empty text."""
    found = HOIST_PLACE.match(problem.place)
    return found["id"] if found else ""


def outcome(found: Verification) -> str:
    """What was looked at and how it stands, in one sentence."""
    looked = f"{counted(found.lines, 'line')} in {counted(found.logbooks, 'logbook')}"
    signed = f"{found.signed:,} signed, {found.unsigned:,} unsigned"
    end = counted(len(found.problems), "problem") if found.problems else "clean"
    return f"{looked}, {signed}: {end}."


class VerifyPage(LongWork):
    """Begins at once. Enter on a problem of a hoist opens that hoist."""

    BINDINGS: ClassVar[list[BindingType]] = [*bindings("verify")]
    first_focus = "#found"

    def __init__(self) -> None:
        super().__init__()
        self.found: Verification | None = None

    def heading(self) -> str:
        """The title."""
        return "Verify   every byte of every logbook"

    def body(self) -> ComposeResult:
        """What was found, and how far it is."""
        columns = (Column(title="Where", width=PLACE), Column(title="What is wrong, and what to do"))
        yield LineTable(columns, id="found")
        yield ProgressLine()

    def on_mount(self) -> None:
        """Begin."""
        self.action_again()

    def on_resize(self) -> None:
        """Wrap again."""
        self.show_rows()

    def action_again(self) -> None:
        """Check all from the start."""
        self.say("No record is touched by this.")
        self.begin(_verify, self.take, "logbooks")

    def take(self, found: Verification) -> None:
        """Show what was found."""
        self.found = found
        self.show_rows()
        opens = " Enter opens the hoist." if any(map(hoist_of, found.problems)) else ""
        self.say(outcome(found) + opens, bad=bool(found.problems))

    def _listed(self) -> tuple[Problem, ...]:
        return () if self.found is None else (*self.found.problems, *self.found.notes)

    def show_rows(self) -> None:
        """A row for each problem with what to do below it, then the notes."""
        rows: list[Row] = []
        for place, problem in enumerate(self._listed()):
            note = self.found is not None and place >= len(self.found.problems)
            where = HOIST_PLACE.sub(r"\g<id>", problem.place)
            wrong = f"note: {problem.wrong}" if note else problem.wrong
            rows.append(Row(key=str(place), cells=(where, wrong), tone="caution" if note else "bad"))
            if problem.todo:
                rows.append(Row(key=f"{place}{CONTINUED}do", cells=("", f"-> {problem.todo}")))
        for table in self.query(LineTable):
            table.set_rows(wrapped_rows(rows, self.app.size.width, PLACE))

    def stopped(self) -> None:
        """The last whole result stays."""
        self.say("Stopped before the end: this says nothing of the store. r begins again.", bad=True)

    def on_line_table_chosen(self, event: LineTable.Chosen) -> None:
        """Open the hoist."""
        problem = self._listed()[int(event.key.split(CONTINUED)[0])]
        if hoist_of(problem):
            self.fieldlog.open_hoist(hoist_of(problem))
        else:
            self.say(f"{problem.place} belongs to no hoist: there is nothing to open.")


def _verify(job: Job) -> Verification:
    return verify(job.shop, progress=job.tell)
