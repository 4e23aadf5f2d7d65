"""The ways to what is put on paper: labels, work list, reports. Their pages are loaded when asked for."""

from fieldlog.tui.ways import Ways


class PaperWays(Ways):
    """What screens ask the app for where it ends on paper."""

    def print_for(self, hoist_id: str) -> None:
        """Print a hoist's labels."""
        from fieldlog.tui.screens.print_page import PrintPage  # noqa: PLC0415

        self.open(lambda: PrintPage(hoist_id))

    def action_print_many(self) -> None:
        """Labels for many hoists at once."""
        from fieldlog.tui.screens.print_many import PrintManyPage  # noqa: PLC0415

        self.open(PrintManyPage)

    def action_visit(self) -> None:
        """Work list for a site."""
        from fieldlog.tui.screens.visit import VisitPage  # noqa: PLC0415

        self.open(VisitPage)

    def report(self, hoist_id: str, line: int | None = None, defect: str = "") -> None:
        """A hoist's reports; with a line that of the inspection in this line of its logbook.

        With a defect the notice of it is proposed.
        """
        from fieldlog.operations.shop import open_hoist  # noqa: PLC0415
        from fieldlog.tui.screens.report_page import report_page  # noqa: PLC0415

        self.open(lambda: report_page(open_hoist(self.shop, hoist_id), line, defect))

    def shop_report(self, kind: str) -> None:
        """The shop's reports, 'due' or 'figures' proposed."""
        from fieldlog.tui.screens.shop_report import ShopReportPage  # noqa: PLC0415

        self.open(lambda: ShopReportPage(kind))

    def action_reports(self) -> None:
        """The shop's reports."""
        self.shop_report("due")
