"""The work list for a visit: what is due at a site, the tools, and the spare chain to take along."""

from collections.abc import Iterator, Sequence
from datetime import date
from functools import cached_property, partial
from itertools import zip_longest
from pathlib import Path
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import BindingType

from fieldlog.domain.counting import counted
from fieldlog.domain.records import InspectionKind
from fieldlog.errors import FieldlogError
from fieldlog.operations.due import due_list
from fieldlog.operations.entering import Field, check_field, read_choice, read_whole
from fieldlog.operations.reporting_work_list import NO_TOOL, work_list_report
from fieldlog.operations.shop import sites_in_use
from fieldlog.operations.visiting import DAYS, Visit, VisitJob, plan_visit
from fieldlog.tui.commands import bindings
from fieldlog.tui.file_form import FileForm
from fieldlog.tui.listed_form import ListedForm, wrapped_rows
from fieldlog.tui.long_work import Job
from fieldlog.tui.marks import FITNESS_TONES, short_state
from fieldlog.tui.print_order import in_file_name, read_file, write_file
from fieldlog.tui.widgets.line_table import Column, LineTable, Row
from fieldlog.tui.widgets.progress_line import ProgressLine
from fieldlog.units import format_length, format_mm

MOST_DAYS = 3660
NOT_TRUSTED = "its record can not be trusted: fieldlog verify tells why"
NO_HOIST = "There is no hoist yet: n on the due list registers one."
PAPERS = ("a4", "letter")
TAG, DUE, STATE, KIND = 10, 12, 12, 9
SHORT_KINDS = {InspectionKind.FIRST_USE: "first use", InspectionKind.AFTER_MOVE: "move"}
LABEL_WIDTH = TAG + DUE + STATE + 2


class VisitPage(FileForm, ListedForm):
    """The list follows site and days; Enter opens a hoist, F10 writes the list for paper."""

    BINDINGS: ClassVar[list[BindingType]] = [*bindings("visit")]

    def __init__(self) -> None:
        super().__init__()
        self.visit: Visit | None = None
        self.proposed = ""

    def heading(self) -> str:
        """The title."""
        return f"Visit   work list for one site, {self.today().isoformat()}"

    @cached_property
    def sites(self) -> tuple[str, ...]:
        """The sites where hoists hang."""
        return sites_in_use(self.shop)

    @cached_property
    def first_site(self) -> str:
        """The site of the most urgent hoist."""
        return next((row.site for row in due_list(self.shop, self.today())), "")

    def fields(self) -> Sequence[Field]:
        """Where, how far ahead, and the paper."""
        return (
            Field(
                name="site",
                label="Site",
                read=read_choice("the site", self.sites),
                choices=self.sites,
                default=self.first_site,
                hint="F3 steps through the sites" if self.sites else NO_HOIST,
            ),
            Field(
                name="days",
                label="Due within",
                read=read_whole("the days", 0, MOST_DAYS),
                unit="d",
                default=str(DAYS),
                hint="and what is overdue",
            ),
            Field(
                name="paper",
                label="Paper",
                read=read_choice("the paper", PAPERS),
                choices=PAPERS,
                default="a4",
            ),
            Field(
                name="file",
                label="File",
                read=read_file,
                default=self._proposal(self.first_site),
                hint="F10 writes the list there, a PDF",
            ),
        )

    def body(self) -> ComposeResult:
        """The form, the list, and how far it is."""
        yield from super().body()
        columns = (
            Column(title="Hoist", width=TAG),
            Column(title="Due", width=DUE),
            Column(title="State", width=STATE),
            Column(title="What"),
        )
        yield LineTable(columns, id="work")
        yield ProgressLine()

    def on_mount(self) -> None:
        """Work the proposed list out."""
        self.proposed = self._proposal(self.first_site)
        self.plan()

    def on_screen_resume(self) -> None:
        """Coming back, the list shows what was done meanwhile."""
        if self.visit is not None:
            self.plan()

    def on_resize(self) -> None:
        """Wrap again."""
        self.show_rows()

    def _proposal(self, site: str) -> str:
        return f"visit-{in_file_name(site)}-{self.today().isoformat()}.pdf"

    def take_edit(self, name: str, text: str) -> None:
        """Other words of where and when work the list out anew, once the keys pause."""
        super().take_edit(name, text)
        if name not in ("site", "days"):
            return
        asked = self._asked()
        if asked is not None and self._row("file").text == self.proposed:
            self.proposed = self._proposal(asked[0])
            self._row("file").put(self.proposed)
        self.soon(self.plan)

    def _asked(self) -> tuple[str, int] | None:
        """Site and days as they stand, or None while they can not be taken."""
        site, days = self._row("site"), self._row("days")
        if any(check_field(row.field, row.text) for row in (site, days)):
            return None
        return site.field.read(site.text.strip()), days.field.read(days.text.strip())

    def plan(self) -> None:
        """Work the list out in the background."""
        asked = self._asked()
        if asked is None:
            self.visit = None
            self.show_rows()
        else:
            work = partial(_plan, site=asked[0], day=self.today(), days=asked[1])
            self.begin(work, self.take_visit, "looking at the hoists")

    def take_visit(self, visit: Visit) -> None:
        """Show the list."""
        self.visit = visit
        self.show_rows()

    def failed(self, error: FieldlogError) -> None:
        """What stood there before is not the list that was asked for."""
        self.visit = None
        self.show_rows()
        super().failed(error)

    def show_rows(self) -> None:
        """Work, tools, chain."""
        rows = [] if self.visit is None else list(visit_rows(self.visit))
        for table in self.query(LineTable):
            table.set_rows(wrapped_rows(rows, self.app.size.width, LABEL_WIDTH))

    def send(self, texts: dict[str, str]) -> None:
        """Write the list for paper."""
        values = self.taken(texts)
        work = partial(
            _write,
            site=values["site"],
            day=self.today(),
            days=values["days"],
            paper=values["paper"],
            path=Path(values["file"]).expanduser(),
            replace=self.may_replace(),
        )
        self.say("Writing.")
        self.begin(work, self.written, "writing the list")

    def written(self, told: tuple[Visit, str]) -> None:
        """It is on paper; the screen shows the same."""
        self.take_visit(told[0])
        self.say(told[1])


def _plan(job: Job, *, site: str, day: date, days: int) -> Visit:
    return plan_visit(job.shop, site, day, days=days, progress=job.tell)


def _write(
    job: Job, *, site: str, day: date, days: int, paper: str, path: Path, replace: bool
) -> tuple[Visit, str]:
    from fieldlog.printing.reports import render_report  # noqa: PLC0415

    job.call("hoists")
    visit = plan_visit(job.shop, site, day, days=days, progress=job.tell)
    job.call("sections")
    printed = render_report(work_list_report(job.shop, visit), paper, job.tell)
    job.past_stopping("writing the list")
    write_file(path, printed.pdf, replace=replace)
    said = f"Written to {path}: {counted(printed.pages, 'page')}."
    return visit, " ".join([said, *printed.notices])


def visit_rows(visit: Visit) -> Iterator[Row]:
    """The work list as rows: only those of hoists can be chosen, and their keys are the tags."""
    late = sum(job.overdue for job in visit.jobs)
    yield _heading(
        "work",
        f"{counted(len(visit.jobs), 'hoist')} to see until {visit.until.isoformat()}, {late} overdue"
        if visit.jobs
        else f"Nothing is due until {visit.until.isoformat()}, and no defect is open.",
    )
    for tag in visit.distrusted:
        yield Row(key=f"-{tag}-distrusted", cells=(tag, "", "X", NOT_TRUSTED), tone="bad", selectable=False)
    for job in visit.jobs:
        yield from _job_rows(job)
    if not visit.jobs:
        return
    yield _heading("tools", "Tools: lengths as new to be measured, and what reaches them")
    for place, need in enumerate(visit.tools):
        length = f"{format_mm(need.length_mm)} mm over {counted(need.links, 'link')} {need.basis}"
        yield _line(
            f"tool-{place}", f"{length}, chain {need.size}, {counted(need.hoists, 'hoist')}", "measure"
        )
        for number, tool in enumerate(need.tools or (NO_TOOL,)):
            good = "(in calibration" in tool
            yield _line(f"tool-{place}-{number}", tool, "", "plain" if good else "caution")
    yield _heading("chain", "Spare chain, for chains near or at their limit")
    for place, chain in enumerate(visit.chains):
        size = f"{format_mm(chain.dn_mm)} x {format_mm(chain.pn_mm)}, {chain.grade or 'grade not known'}"
        text = f"{size}: {format_length(chain.length_mm, 'm')} for {', '.join(chain.hoists)}"
        yield _line(f"chain-{place}", text, "take")
    if not visit.chains:
        yield _line("chain-none", "none")


def _heading(key: str, text: str) -> Row:
    return Row(key=key, cells=(text,), tone="heading", selectable=False)


def _line(key: str, text: str, label: str = "", tone: str = "plain") -> Row:
    return Row(key=f"-{key}", cells=(label, "", "", text), tone=tone)


def _job_rows(job: VisitJob) -> Iterator[Row]:
    """Its due inspections with its place and name beside them, then its defects and its need of chain."""
    tone = "bad" if job.overdue else FITNESS_TONES[job.fitness]
    dues = sorted(job.dues, key=lambda due: due.due_on)
    about = list(filter(None, (job.place, f"{job.name}, {job.serial}")))
    for place, (due, words) in enumerate(zip_longest(dues, about)):
        day = "" if due is None else due.due_on.isoformat()
        kind = "" if due is None else SHORT_KINDS.get(due.inspection, str(due.inspection))
        what = f"{kind:<{KIND}} {words or ''}".rstrip()
        if place == 0:
            late = " !" if job.overdue else ""
            yield Row(
                key=job.id,
                cells=(job.id, day + late, short_state(job.fitness, overdue=job.overdue), what),
                tone=tone,
            )
        else:
            yield Row(key=f"-{job.id}-{place}", cells=("", day, "", what), selectable=False)
    told = [f"defect {defect}" for defect in job.defects]
    if job.needs_chain:
        told.append("take spare chain along")
    for place, text in enumerate(told):
        yield _line(f"{job.id}-told-{place}", text, tone="caution")
