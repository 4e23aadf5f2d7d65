"""Which commands and options there are."""

import argparse
import os
from collections.abc import Sequence
from typing import NoReturn

from fieldlog import __version__
from fieldlog.cli import (
    calc,
    commands,
    completing,
    doctor,
    exchanging,
    fleet,
    keeping,
    labels,
    reports,
    shop,
)
from fieldlog.cli.label_options import joined
from fieldlog.errors import InputError

EPILOG = """\
examples:
  fieldlog                          open the application on the shop's store
  fieldlog due                      what is due, overdue first
  fieldlog hoist show SW-0008-M     one hoist: state, dues, defects, logbook
  fieldlog label tag SW-0008-M --out tag.pdf
  fieldlog demo                     look around in an invented works

exit codes: 0 done, 2 bad input or faulty rules, 3 not found, 4 refused, 5 not saved, 70 a fault in fieldlog
A verdict helps a competent person and does not replace one.
"""


class _Parser(argparse.ArgumentParser):
    """Abbreviated options are refused: a script must not change its meaning with a new option."""

    def __init__(self, **options: object) -> None:
        super().__init__(allow_abbrev=False, **options)  # type: ignore[arg-type]

    def error(self, message: str) -> NoReturn:
        """One sentence, as for any other bad input."""
        raise InputError(f"{message}; see {self.prog} --help")


def _add_store(parser: argparse.ArgumentParser, *, nested: bool = True) -> None:
    default = argparse.SUPPRESS if nested else None
    parser.add_argument(
        "--store",
        metavar="DIR",
        default=default,
        help="the shop's store (else FIELDLOG_STORE, else your user data directory)",
    )
    parser.add_argument("--as", dest="by", metavar="NAME", default=default, help="who is at the keys")


def _due(commands_of: "argparse._SubParsersAction[_Parser]") -> None:
    due = commands_of.add_parser("due", help="the due list, overdue first")
    _add_store(due)
    due.add_argument("--site", default="", help="only this site")
    due.add_argument("--on", metavar="YYYY-MM-DD", default="", help="as on this day (today)")
    due.add_argument("--json", action="store_true", help="as JSON")
    due.set_defaults(run=commands.due)


def _hoist(commands_of: "argparse._SubParsersAction[_Parser]") -> None:
    hoist = commands_of.add_parser("hoist", help="show one hoist, list all")
    verbs = hoist.add_subparsers(dest="verb", required=True, metavar="VERB")
    show = verbs.add_parser("show", help="one hoist with its logbook")
    _add_store(show)
    show.add_argument("tag", help="the tag, as SW-0008-M, sw0008m or the bare number")
    show.add_argument("--on", metavar="YYYY-MM-DD", default="", help="as on this day (today)")
    show.add_argument("--json", action="store_true", help="as JSON")
    show.set_defaults(run=commands.hoist_show)
    exchanging.add_import(verbs, _add_store)
    fleet.add_verbs(verbs, _add_store)
    listed = verbs.add_parser("list", help="all hoists, by tag")
    _add_store(listed)
    listed.add_argument("words", nargs="*", help="only hoists in whose facts these words occur")
    listed.add_argument("--json", action="store_true", help="as JSON")
    listed.set_defaults(run=commands.hoist_list)


def _label(commands_of: "argparse._SubParsersAction[_Parser]") -> None:
    told = "print asset tags, stickers, out-of-service tags, chain plates"
    labels.add_to(commands_of.add_parser("label", help=told), _add_store)
    sheets = commands_of.add_parser("sheets", help="list label sheets and rolls")
    _add_store(sheets)
    sheets.set_defaults(run=labels.sheets)


def _calc(commands_of: "argparse._SubParsersAction[_Parser]") -> None:
    calc.add_to(commands_of.add_parser("calc", help="verdicts, dates and loads from typed figures"))


def _report(commands_of: "argparse._SubParsersAction[_Parser]") -> None:
    told = "reports as PDF: inspection, logbook, chain, due, notice"
    reports.add_to(commands_of.add_parser("report", help=told), _add_store)


def _demo(commands_of: "argparse._SubParsersAction[_Parser]") -> None:
    demo = commands_of.add_parser("demo", help="an invented works to look around in")
    without_terminal = demo.add_mutually_exclusive_group()
    without_terminal.add_argument(
        "--walk", metavar="DIR", default="", help="no terminal: do one job, leave its papers in DIR"
    )
    without_terminal.add_argument(
        "--make", metavar="DIR", default="", help="only write the invented store into DIR"
    )
    demo.set_defaults(run=commands.demo)


def build() -> argparse.ArgumentParser:
    """The whole parser."""
    parser = _Parser(
        prog="fieldlog",
        description="A logbook for chain hoists. Without a command it opens the application.",
        epilog=EPILOG,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    parser.add_argument("--version", action="version", version=f"fieldlog {__version__}")
    _add_store(parser, nested=False)
    parser.set_defaults(run=commands.app)
    commands_of = parser.add_subparsers(dest="command", metavar="COMMAND", parser_class=_Parser)
    for add in (_due, _hoist, _label, _calc, _report, _demo):
        add(commands_of)
    keeping.add_to(commands_of, _add_store)
    exchanging.add_to(commands_of, _add_store)
    fleet.add_to(commands_of, _add_store)
    doctor.add_to(commands_of, _add_store)
    shop.add_to(commands_of, _add_store)
    return parser


def parse(arguments: Sequence[str]) -> argparse.Namespace:
    """The chosen command with its options; `run` is what carries it out."""
    parser = build()
    if "_ARGCOMPLETE" in os.environ:
        completing.complete(parser)
    chosen = parser.parse_args(joined(arguments))
    if hasattr(chosen, "check"):
        chosen.check(chosen)
    return chosen
