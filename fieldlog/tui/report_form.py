"""A form that ends in a report; what the rulebook asks for and the records lack is listed first.

Nothing of printing is loaded before a page asks for it.
"""

from abc import abstractmethod
from collections.abc import Callable, Mapping, Sequence
from functools import cached_property, partial
from pathlib import Path
from typing import Any, ClassVar

from msgspec import Struct
from msgspec.structs import replace
from textual.app import ComposeResult
from textual.binding import BindingType

from fieldlog.domain.counting import counted
from fieldlog.domain.report_content import Report
from fieldlog.errors import FieldlogError, InputError, Problem
from fieldlog.operations.entering import Field, read_choice, take_all
from fieldlog.tui.commands import bindings
from fieldlog.tui.file_form import FileForm
from fieldlog.tui.listed_form import ListedForm, wrapped_rows
from fieldlog.tui.long_work import Job
from fieldlog.tui.print_order import file_field, queue_field, write_file
from fieldlog.tui.widgets.line_table import CONTINUED, Column, LineTable, Row
from fieldlog.tui.widgets.progress_line import ProgressLine

PAPERS = ("a4", "letter")
LABEL = 16
LACKING = "The rulebook asks for these, the records lack them, and the paper says so:"
AS_RECORDED = "The rulebook asks for no particulars here: it says what is recorded."
COMPLETE = "All that the rulebook asks of it is in the records."
NOWHERE = "Name a file or a print queue: it has to go somewhere."

Make = Callable[[Job], Report]


class Found(Struct, frozen=True, kw_only=True):
    """The report as the form asks for it, or why there is none, in the words of the operation."""

    report: Report | None = None
    refused: str = ""


class PaperOrder(Struct, frozen=True, kw_only=True):
    """On what paper, and where to: a file, a queue or both; `replace` lets it write over the file."""

    paper: str
    queue: str
    file: str
    replace: bool = False


class ReportForm(FileForm, ListedForm):
    """Subclasses give `about()`, `file_name()` and `making()`."""

    BINDINGS: ClassVar[list[BindingType]] = [*bindings("report")]

    def __init__(self, texts: Mapping[str, str] | None = None) -> None:
        super().__init__(texts)
        self.found: Found | None = None
        self.proposed = ""
        self._sent: dict[str, Any] | None = None

    def about(self) -> tuple[Field, ...]:
        """What the report is about."""
        return ()

    @abstractmethod
    def file_name(self, values: dict[str, Any]) -> str:
        """The name proposed for the file, from what is asked."""

    @abstractmethod
    def making(self, values: dict[str, Any]) -> Make:
        """What makes the report in the background, from what is asked."""

    def complete_words(self) -> str:
        """What is said where nothing is missing: COMPLETE of a report that a rulebook asks things of."""
        return AS_RECORDED

    @cached_property
    def queues(self) -> tuple[str, ...]:
        """The host's print queues, asked for once."""
        from fieldlog.printing.printers import queues  # noqa: PLC0415

        return tuple(queues())

    def fields(self) -> Sequence[Field]:
        """What it is about, the paper, and where it goes."""
        return self._fields

    @cached_property
    def _fields(self) -> tuple[Field, ...]:
        asked = self.about()
        paper = Field(
            name="paper",
            label="Paper",
            read=read_choice("the paper", PAPERS),
            choices=PAPERS,
            default=PAPERS[0],
        )
        self.proposed = self.file_name(take_all(asked, self.texts)[0])
        file = file_field(self.proposed)
        if not self.queues:
            hint = "a PDF; F10 writes it there"
            return (*asked, paper, replace(file, required=True, hint=hint))
        return (*asked, paper, queue_field(self.queues), file)

    def body(self) -> ComposeResult:
        """The form, what is missing, and how far it is."""
        yield from super().body()
        yield LineTable((Column(title="", width=LABEL), Column(title="")), id="missing", title=False)
        yield ProgressLine()

    def on_mount(self) -> None:
        """Look for what the proposed report lacks."""
        self.look()

    def on_screen_resume(self) -> None:
        """Coming back, what was recorded meanwhile is not missing any more."""
        if self.found is not None:
            self.look()

    def on_resize(self) -> None:
        """Wrap again."""
        self.show_rows()

    def _values(self) -> dict[str, Any] | None:
        """What is asked as it stands, or None while it can not be taken."""
        texts = {field.name: self._row(field.name).text for field in self.about()}
        values, problems = take_all(self.about(), texts)
        return None if problems else values

    def take_edit(self, name: str, text: str) -> None:
        """Another report proposes its file, and is looked at once the keys pause."""
        super().take_edit(name, text)
        asks = name in {field.name for field in self.about()}
        values = self._values()
        if (asks or name == "queue") and values is not None:
            self._propose("" if self.queues and self._row("queue").text.strip() else self.file_name(values))
        if not asks:
            return
        self.found = None
        self.show_rows()
        self.soon(self.look)

    def _propose(self, name: str) -> None:
        if self._row("file").text == self.proposed:
            self._row("file").put(name)
            self.proposed = name

    def look(self) -> None:
        """Make the report in the background to see what it lacks."""
        values = self._values()
        if values is None:
            self.take_found(None)
        else:
            self.begin(partial(_look, make=self.making(values)), self.take_found, "reading the records")

    def take_found(self, found: Found | None) -> None:
        """Show what it lacks."""
        self.found = found
        self.show_rows()

    def show_rows(self) -> None:
        """What it is and what it lacks, or why there is none."""
        rows = [] if self.found is None else found_rows(self.found, self.complete_words())
        for table in self.query(LineTable):
            table.set_rows(wrapped_rows(rows, self.app.size.width, LABEL))

    def after_last(self) -> None:
        """Below the last field stands what is missing."""
        super().after_last()
        if self.found is not None and self.found.report is not None and self.found.report.missing:
            self.say("Enter opens the page where a particular is recorded.")

    def on_line_table_chosen(self, event: LineTable.Chosen) -> None:
        """Lead to where it is recorded, or say the whole of it."""
        event.prevent_default()
        key = event.key.split(CONTINUED)[0]
        found = self.found or Found()
        report = found.report
        if report is None or not key.isdigit():
            self.say(found.refused or "F10 prints it.", bad=bool(found.refused))
        elif not self.record(report, report.missing[int(key)]):
            self.say(str(report.missing[int(key)]))

    def record(self, report: Report, problem: Problem) -> bool:
        """Open where this is recorded; False where no page is for it."""
        del report, problem
        return False

    def send(self, texts: dict[str, str]) -> None:
        """Write it, print it, or both."""
        values = self.taken(texts)
        order = PaperOrder(
            paper=values["paper"],
            queue=values.get("queue") or "",
            file=values["file"] or "",
            replace=self.may_replace(),
        )
        if not order.file and not order.queue:
            raise InputError(NOWHERE)
        self._sent = self._values()
        self.say("Printing." if order.queue else "Writing.")
        self.begin(
            partial(_print, make=self.making(values), order=order), self.printed, "reading the records"
        )

    def printed(self, told: tuple[Found, str]) -> None:
        """It is on paper, or there is none; the list is of the same, or of what was asked for meanwhile."""
        if self._values() == self._sent:
            self.take_found(told[0])
        else:
            self.look()
        self.say(told[1], bad=told[0].report is None)

    def failed(self, error: FieldlogError) -> None:
        """Disk or queue refused; the list stays, or is made where the keys were quicker than it."""
        super().failed(error)
        if self.found is None:
            self.look()


def _look(job: Job, *, make: Make) -> Found:
    try:
        return Found(report=make(job))
    except FieldlogError as error:
        return Found(refused=str(error))


def _print(job: Job, *, make: Make, order: PaperOrder) -> tuple[Found, str]:
    from fieldlog.printing.reports import render_report  # noqa: PLC0415

    found = _look(job, make=make)
    report = found.report
    if report is None:
        return found, found.refused
    job.call("sections")
    printed = render_report(report, order.paper, job.tell)
    job.past_stopping("the report is handed over")
    said = hand_over(order, printed.pdf, report, counted(printed.pages, "page"))
    if report.missing:
        said.append(f"Missing and marked on it: {counted(len(report.missing), 'particular')}.")
    return found, " ".join([*said, *printed.notices])


def hand_over(order: PaperOrder, pdf: bytes, report: Report, pages: str) -> list[str]:
    """Put the PDF where it was asked for and say where it is, the queue's answer in its own words.

    InputError for a file that is there already, NotSavedError; PrinterError, which names the file that
    holds the report.
    """
    from fieldlog.printing.printers import send  # noqa: PLC0415

    said, path = [], Path(order.file).expanduser()
    if order.file:
        write_file(path, pdf, replace=order.replace)
        said.append(f"Written to {path}: {pages}.")
    if order.queue:
        title = f"{report.title} {report.about}"
        answer = send(path if order.file else pdf, order.queue, title, called="report is")
        said.append(f"Sent to {order.queue}, {pages}: {answer}".rstrip(": "))
    return said


def found_rows(found: Found, complete: str) -> list[Row]:
    """The report's title, then a row for each particular that is missing; their keys are their places."""
    report = found.report
    if report is None:
        return [Row(key="refused", cells=("X none", found.refused), tone="bad")]
    what = f"{report.title}, {report.about}, {report.subject}"
    rows = [Row(key="title", cells=("Prints", what), selectable=False)]
    if not report.missing:
        return [*rows, Row(key="complete", cells=("+ complete" if complete == COMPLETE else "", complete))]
    rows.append(Row(key="lacking", cells=(LACKING,), tone="heading", selectable=False))
    rows += [
        Row(key=str(place), cells=(lack.place, f"{lack.wrong} {lack.todo}".strip()), tone="caution")
        for place, lack in enumerate(report.missing)
    ]
    return rows
