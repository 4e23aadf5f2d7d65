"""Which commands and options there are."""

import argparse
from collections.abc import Sequence
from typing import NoReturn

from fieldlog import __version__
from fieldlog.cli import calc, commands
from fieldlog.domain.label_content import DUE, TAG
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
    show.add_argument("tag", help="the tag, as SW-0008-M, sw8m or the bare number")
    show.add_argument("--on", metavar="YYYY-MM-DD", default="", help="as on this day (today)")
    show.add_argument("--json", action="store_true", help="as JSON")
    show.set_defaults(run=commands.hoist_show)
    listed = verbs.add_parser("list", help="all hoists, by tag")
    _add_store(listed)
    listed.add_argument("words", nargs="*", help="only hoists in whose facts these words occur")
    listed.add_argument("--json", action="store_true", help="as JSON")
    listed.set_defaults(run=commands.hoist_list)


def _label(commands_of: "argparse._SubParsersAction[_Parser]") -> None:
    label = commands_of.add_parser("label", help="print asset tags and due stickers")
    label.add_argument("kind", choices=(TAG, DUE), help="asset tag or due sticker")
    _add_store(label)
    label.add_argument("tags", nargs="+", metavar="TAG", help="one or more hoists")
    label.add_argument("--template", default="", help="sheet or roll (fieldlog sheets lists them)")
    label.add_argument("--start", type=int, default=1, help="first free label of a used sheet")
    label.add_argument("--out", metavar="FILE", default="", help="the PDF (KIND.pdf)")
    label.add_argument("--queue", metavar="NAME", default="", help="print on this CUPS queue as well")
    label.set_defaults(run=commands.label)
    sheets = commands_of.add_parser("sheets", help="list label sheets and rolls")
    _add_store(sheets)
    sheets.set_defaults(run=commands.sheets)


def _calc(commands_of: "argparse._SubParsersAction[_Parser]") -> None:
    calc.add_to(commands_of.add_parser("calc", help="verdicts, dates and loads from typed figures"))


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
    for add in (_due, _hoist, _label, _calc, _demo):
        add(commands_of)
    return parser


def parse(arguments: Sequence[str]) -> argparse.Namespace:
    """The chosen command with its options; `run` is what carries it out."""
    return build().parse_args(arguments)
