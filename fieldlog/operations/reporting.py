"""Reports as plain values, one verb for each; how they are drawn is not decided here.

What the rulebook asks for and the records do not hold stands in `Report.missing` and is marked in its place.
No report reads a clock: the same records, and for due list and figures the same day, give an equal value.
"""

from fieldlog.operations.reporting_chain_life import chain_report
from fieldlog.operations.reporting_due import due_report
from fieldlog.operations.reporting_figures import figures_report
from fieldlog.operations.reporting_inspection import inspection_report
from fieldlog.operations.reporting_logbook import logbook_report
from fieldlog.operations.reporting_notice import notice_report

__all__ = [
    "chain_report",
    "due_report",
    "figures_report",
    "inspection_report",
    "logbook_report",
    "notice_report",
]
