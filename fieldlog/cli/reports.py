"""fieldlog report: a report as a PDF, after saying which particulars the records do not hold."""

import argparse
import sys
from argparse import Namespace
from collections.abc import Callable
from datetime import date
from pathlib import Path

from fieldlog.cli.commands import one_tag
from fieldlog.cli.context import day_of, shop_of, surveyed_shop
from fieldlog.cli.progress import working
from fieldlog.cli.putting import add_replace, check_free, checked, put
from fieldlog.domain.counting import counted
from fieldlog.domain.report_content import Report
from fieldlog.errors import InputError
from fieldlog.operations.entering import read_month
from fieldlog.operations.shop import Shop, need_settings

PAPERS = ("a4", "letter")
EXAMPLES = """\
examples:
  fieldlog report inspection SW-0008-M              the latest inspection
  fieldlog report inspection SW-0008-M --line 12    the one in line 12 of the logbook
  fieldlog report logbook SW-0008-M --paper letter
  fieldlog report due --site 'filter house' --until 2027-03 --out march.pdf
  fieldlog report notice SW-0008-M --defect D2
  fieldlog report figures --out figures.pdf

What the rulebook asks for and the records do not hold is said on standard error and marked on paper; the
report is written all the same; over a file that is there already only with --replace. fieldlog keeps the
record and does not certify.
"""

AddStore = Callable[[argparse.ArgumentParser], None]


def _open_shop(chosen: Namespace) -> Shop:
    shop = shop_of(chosen)
    need_settings(shop)
    return shop


def _month(text: str) -> date | None:
    """Any day of the month, or None for no text."""
    if not text.strip():
        return None
    try:
        return read_month(text.strip())
    except InputError as error:
        raise InputError(f"--until {error}") from None


def _inspection(chosen: Namespace) -> int:
    from fieldlog.operations.reporting import inspection_report

    shop = _open_shop(chosen)
    return _write(chosen, inspection_report(shop, one_tag(shop, chosen.tag), chosen.line))


def _logbook(chosen: Namespace) -> int:
    from fieldlog.operations.reporting import logbook_report

    shop = _open_shop(chosen)
    return _write(chosen, logbook_report(shop, one_tag(shop, chosen.tag)))


def _chain(chosen: Namespace) -> int:
    from fieldlog.operations.reporting import chain_report

    shop = _open_shop(chosen)
    return _write(chosen, chain_report(shop, one_tag(shop, chosen.tag)))


def _notice(chosen: Namespace) -> int:
    from fieldlog.operations.reporting import notice_report

    shop = _open_shop(chosen)
    return _write(chosen, notice_report(shop, one_tag(shop, chosen.tag), chosen.defect))


def _due(chosen: Namespace) -> int:
    from fieldlog.operations.reporting import due_report

    until, day = _month(chosen.until), day_of(chosen)
    shop = surveyed_shop(chosen)
    with working("working out"):
        report = due_report(shop, day, site=chosen.site, until=until)
    return _write(chosen, report)


def _figures(chosen: Namespace) -> int:
    from fieldlog.operations.reporting import figures_report

    day, shop = day_of(chosen), surveyed_shop(chosen)
    with working("reading") as tell:
        report = figures_report(shop, day, site=chosen.site, progress=tell)
    return _write(chosen, report)


def _write(chosen: Namespace, report: Report) -> int:
    """Say what is missing, draw the report and write it; NotSavedError where the file can not be written."""
    from fieldlog.printing.reports import render_report

    path = Path(chosen.out or _usual_name(chosen, report)).expanduser()
    check_free(chosen, path)
    _say_missing(report)
    with working("drawing") as tell:
        printed = render_report(report, chosen.paper, tell)
    put(chosen, path, printed.pdf, counted(printed.pages, "page"))
    for notice in printed.notices:
        print(notice, file=sys.stderr)
    return 0


def _usual_name(chosen: Namespace, report: Report) -> str:
    """WHAT-TAG.pdf; a notice of one defect names that too."""
    parts = (chosen.verb, *report.about.replace("/", " ").split(), getattr(chosen, "defect", ""))
    return f"{'-'.join(filter(None, parts))}.pdf"


def _say_missing(report: Report) -> None:
    if not report.missing:
        return
    print("The records do not hold these, and the paper says so:", file=sys.stderr)
    for problem in report.missing:
        print(f"  {problem}", file=sys.stderr)


def _tag_argument(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("tag", metavar="TAG", help="the hoist, as SW-0008-M, sw0008m or the bare number")


def _inspection_parser(parser: argparse.ArgumentParser) -> None:
    _tag_argument(parser)
    parser.add_argument(
        "--line", metavar="N", type=int, help="the line of its logbook (the latest inspection)"
    )


def _notice_parser(parser: argparse.ArgumentParser) -> None:
    _tag_argument(parser)
    parser.add_argument("--defect", metavar="D1", default="", help="one defect (all that are open)")


def _site_and_day_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--site", default="", help="only this site")
    parser.add_argument("--on", metavar="YYYY-MM-DD", default="", help="as on this day (today)")


def _due_parser(parser: argparse.ArgumentParser) -> None:
    _site_and_day_arguments(parser)
    parser.add_argument("--until", metavar="YYYY-MM", default="", help="the last month listed (all)")


REPORTS: dict[str, tuple[str, Callable[[argparse.ArgumentParser], None], Callable[[Namespace], int]]] = {
    "inspection": ("one inspection, with all that the rulebook asks for", _inspection_parser, _inspection),
    "logbook": ("every line of a hoist's logbook", _tag_argument, _logbook),
    "chain": ("the life and wear of a hoist's chains", _tag_argument, _chain),
    "due": ("what is due, by site and month", _due_parser, _due),
    "notice": ("defects, for the owner", _notice_parser, _notice),
    "figures": (
        "load by month, overdue, worn chains, doubt, chain lives",
        _site_and_day_arguments,
        _figures,
    ),
}


def add_to(report: argparse.ArgumentParser, add_store: AddStore) -> None:
    """Add every kind of report below `fieldlog report`; `add_store` adds what names the store."""
    report.epilog, report.formatter_class = EXAMPLES, argparse.RawDescriptionHelpFormatter
    verbs = report.add_subparsers(dest="verb", required=True, metavar="WHAT")
    for name, (says, arguments, run) in REPORTS.items():
        parser = verbs.add_parser(name, help=says, description=says)
        add_store(parser)
        arguments(parser)
        parser.add_argument("--out", metavar="FILE", default="", help="the PDF (WHAT-TAG.pdf)")
        add_replace(parser)
        parser.add_argument("--paper", choices=PAPERS, default=PAPERS[0], help="size of the sheet (a4)")
        parser.set_defaults(run=checked(run))
