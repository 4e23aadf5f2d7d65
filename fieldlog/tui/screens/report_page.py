"""A report of one hoist on paper: an inspection, the logbook, the chain's life, or a notice to the owner."""

from collections.abc import Mapping
from functools import partial
from typing import Any

from fieldlog.domain.records import LabelPrinted, Notice, Signature
from fieldlog.domain.report_content import Report
from fieldlog.errors import Problem
from fieldlog.operations import reporting
from fieldlog.operations.entering import Field, read_choice
from fieldlog.operations.shop import OpenHoist, open_hoist
from fieldlog.tui.long_work import Job
from fieldlog.tui.report_form import AS_RECORDED, COMPLETE, Make, ReportForm

INSPECTION, LOGBOOK, CHAIN, NOTICE = "inspection", "logbook", "chain", "notice"
KINDS = (INSPECTION, LOGBOOK, CHAIN, NOTICE)
ALL_OPEN = "all open"
HINTS = "F3 steps: inspection, logbook, chain, notice to the owner"


def proposed_kind(opened: OpenHoist) -> str:
    """A notice where a defect is open and was just told; else the inspection, where one is sealed.

    Labels and signatures since the telling do not count.
    """
    history = opened.history
    deeds = [e.body for e in history.entries if not isinstance(e.body, LabelPrinted | Signature)]
    if isinstance(deeds[-1], Notice) and any(state.mended_on is None for state in history.defects):
        return NOTICE
    return INSPECTION if history.inspections else LOGBOOK


def report_page(opened: OpenHoist, line: int | None = None, defect: str = "") -> "ReportPage":
    """The reports of a hoist, or with a line the one of that inspection; with a defect its notice first."""
    defects = tuple(state.defect.id for state in opened.history.defects if state.mended_on is None)
    texts = {} if line is not None else {"kind": NOTICE if defect else proposed_kind(opened)}
    if defect in defects:
        texts["defect"] = defect
    return ReportPage(opened.hoist.id, line, texts, defects)


class ReportPage(ReportForm):
    """Which report of this hoist; `line` asks for the inspection in that line of its logbook.

    `defects` are those that are open: a notice is of all of them or of one.
    """

    def __init__(
        self, hoist_id: str, line: int | None, texts: Mapping[str, str], defects: tuple[str, ...]
    ) -> None:
        super().__init__(texts)
        self.hoist_id, self.line, self.defects = hoist_id, line, defects

    def heading(self) -> str:
        """The tag, and the line where one was chosen."""
        which = "report" if self.line is None else f"report of the inspection in line {self.line}"
        return f"{self.hoist_id}   {which}"

    def about(self) -> tuple[Field, ...]:
        """The kind of report, and the defects of a notice; a line that was chosen needs no question."""
        if self.line is not None:
            return ()
        kinds = read_choice("the report", KINDS)
        kind = Field(name="kind", label="Report", read=kinds, choices=KINDS, hint=HINTS)
        return (kind, self._defect_field()) if self.defects else (kind,)

    def _defect_field(self) -> Field:
        choices = (ALL_OPEN, *self.defects)
        return Field(
            name="defect",
            label="Defects",
            read=read_choice("the defects", choices),
            choices=choices,
            default=ALL_OPEN,
            hint="of a notice: all that are open, or one",
        )

    def _kind(self, values: dict[str, Any]) -> str:
        return str(values.get("kind", INSPECTION))

    def _defect(self, values: dict[str, Any]) -> str:
        """The one defect that a notice is of; empty for all, and for other reports."""
        defect = str(values.get("defect", ALL_OPEN))
        return defect if self._kind(values) == NOTICE and defect != ALL_OPEN else ""

    def file_name(self, values: dict[str, Any]) -> str:
        """As the command line proposes it."""
        parts = (self._kind(values), self.hoist_id, self._defect(values))
        return f"{'-'.join(filter(None, parts))}.pdf"

    def making(self, values: dict[str, Any]) -> Make:
        """The operation for this kind."""
        return partial(
            _make,
            hoist_id=self.hoist_id,
            kind=self._kind(values),
            line=self.line,
            defect=self._defect(values),
        )

    def complete_words(self) -> str:
        """Only an inspection's report and a notice have to say certain things."""
        values = self._values() or {}
        return COMPLETE if self._kind(values) in (INSPECTION, NOTICE) else AS_RECORDED

    def record(self, report: Report, problem: Problem) -> bool:
        """Owner and premises stand with the site, the examiner with the people."""
        if problem.place in ("owner", "premises"):
            site = open_hoist(self.shop, self.hoist_id).hoist.site
            self.fieldlog.edit_register("sites", site)
        elif problem.place == "examiner":
            self.fieldlog.edit_register("people", report.author)
        else:
            return False
        return True


def _make(job: Job, *, hoist_id: str, kind: str, line: int | None, defect: str) -> Report:
    if kind == LOGBOOK:
        return reporting.logbook_report(job.shop, hoist_id)
    if kind == CHAIN:
        return reporting.chain_report(job.shop, hoist_id)
    if kind == NOTICE:
        return reporting.notice_report(job.shop, hoist_id, defect)
    return reporting.inspection_report(job.shop, hoist_id, line)
