"""The shop's reports on paper: what is due by site and month, and the figures."""

from datetime import date
from functools import cached_property, partial
from typing import Any

from fieldlog.domain.report_content import Report
from fieldlog.operations import reporting
from fieldlog.operations.entering import Field, read_choice, read_month
from fieldlog.operations.shop import sites_in_use
from fieldlog.tui.long_work import Job
from fieldlog.tui.print_order import in_file_name
from fieldlog.tui.report_form import Make, ReportForm

DUE, FIGURES = "due", "figures"
KINDS = (DUE, FIGURES)
ALL_SITES = "all sites"


class ShopReportPage(ReportForm):
    """Which report of the shop, of which site, until when."""

    def __init__(self, kind: str = DUE) -> None:
        super().__init__({"kind": kind})

    def heading(self) -> str:
        """The day that it holds for."""
        return f"Reports of the shop   {self.today().isoformat()}"

    @cached_property
    def sites(self) -> tuple[str, ...]:
        """The sites where hoists hang."""
        return sites_in_use(self.shop)

    def about(self) -> tuple[Field, ...]:
        """What, where, how far ahead."""
        return self._about

    @cached_property
    def _about(self) -> tuple[Field, ...]:
        sites = (ALL_SITES, *self.sites)
        return (
            Field(
                name="kind",
                label="Report",
                read=read_choice("the report", KINDS),
                choices=KINDS,
                hint="F3 steps: due list by site and month, figures of the shop",
            ),
            Field(
                name="site",
                label="Site",
                read=read_choice("the site", sites),
                choices=sites,
                default=ALL_SITES,
                hint="F3 steps through the sites",
            ),
            Field(
                name="until",
                label="Until",
                read=read_month,
                required=False,
                hint="last month of the due list, as 2027-03; empty: all",
            ),
        )

    def file_name(self, values: dict[str, Any]) -> str:
        """As the command line proposes it: named after the only site as well."""
        site = values.get("site", ALL_SITES)
        about = self.sites[0] if len(self.sites) == 1 else site
        return f"{values.get('kind', DUE)}-{in_file_name(about)}.pdf"

    def making(self, values: dict[str, Any]) -> Make:
        """The operation for this kind."""
        site = "" if values["site"] == ALL_SITES else values["site"]
        return partial(_make, kind=values["kind"], site=site, until=values["until"], day=self.today())


def _make(job: Job, *, kind: str, site: str, until: date | None, day: date) -> Report:
    if kind == FIGURES:
        job.call("logbooks")
        return reporting.figures_report(job.shop, day, site=site, progress=job.tell)
    return reporting.due_report(job.shop, day, site=site, until=until)
