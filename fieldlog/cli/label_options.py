"""The options of fieldlog label, and which of them need each other."""

import argparse
import re
from argparse import Namespace
from collections.abc import Callable, Sequence

from fieldlog.cli.putting import add_replace
from fieldlog.domain.label_content import CHAIN, DUE, PROOF, SPARE, TAG, WITHDRAWN

AddStore = Callable[[argparse.ArgumentParser], None]
Run = Callable[[Namespace], int]

OF_HOISTS = (TAG, DUE, WITHDRAWN, CHAIN)
WORDS = {
    TAG: "asset tag",
    DUE: "due sticker",
    WITHDRAWN: "out-of-service tag",
    CHAIN: "chain plate",
    SPARE: "shelf label of a spare chain",
    PROOF: "proof page of a sheet: outlines, rulers, crosses",
}
SPARE_OPTIONS = {
    "chain": ("DNxPN", "size, as 5x15 (that of TAG)"),
    "grade": ("GRADE", "grade (that of TAG)"),
    "length": ("LENGTH", "length in m, or with its unit"),
    "certificate": ("NUMBER", "certificate number"),
    "received": ("YYYY-MM-DD", "day of receipt (today)"),
    "note": ("TEXT", "rack, heat, whatever helps"),
}
OFFSET = re.compile(r"([+-]?[0-9]{1,3}(?:\.[0-9]{1,3})?),([+-]?[0-9]{1,3}(?:\.[0-9]{1,3})?)")
_A_DAY = "a date as 2026-11-24, today or yesterday"
DONE_ON = {
    TAG: f"all hoists registered on that day: {_A_DAY}",
    DUE: f"all hoists whose due date counts from an inspection of that day: {_A_DAY}",
    WITHDRAWN: f"all hoists taken out of service on that day: {_A_DAY}",
    CHAIN: f"all hoists on which a chain was fitted that day: {_A_DAY}",
}
YEAR_COLOUR = (
    "colour the field of the year by a scheme of the rulebook (six-years-due, four-years-done); the sticker"
    " names the colour too"
)
EXAMPLES = """\
examples:
  fieldlog label tag SW-0008-M --out tag.pdf
  fieldlog label due --done-on yesterday                 all stickers of yesterday's work
  fieldlog label due --done-on 2026-11-24 --site 'filter house' --start 5 --preview
  fieldlog label due SW-0008-M --year-colour six-years-due
  fieldlog label withdrawn SW-0008-M --template roll-102 --queue bench
  fieldlog label spare SW-0008-M --length 12.5 --certificate C-0418
  fieldlog label proof --template roll-62 --queue bench --offset -1.5,0.5 --keep-offset

What is printed is recorded in the hoist's logbook, and a second print of the same sticker says so. A file
that is there already is written over only with --replace.
"""


def add_to(label: argparse.ArgumentParser, add_store: AddStore, run: Run) -> None:
    """Add every kind of label below `fieldlog label`; `add_store` adds what names the store."""
    label.epilog, label.formatter_class = EXAMPLES, argparse.RawDescriptionHelpFormatter
    kinds = label.add_subparsers(dest="kind", required=True, metavar="KIND")
    for kind, words in WORDS.items():
        parser = kinds.add_parser(kind, help=words, description=words)
        add_store(parser)
        if kind != PROOF:
            told = "the hoist it is kept for" if kind == SPARE else "one or more hoists"
            parser.add_argument("tags", nargs="?" if kind == SPARE else "*", metavar="TAG", help=told)
        _add_choice(parser, kind)
        _add_printing(parser, kind)
        parser.set_defaults(run=run, check=lambda chosen, parser=parser: _check(parser, chosen))


def _add_choice(parser: argparse.ArgumentParser, kind: str) -> None:
    """Options that choose hoists, or that say what stands on the label."""
    if kind in OF_HOISTS:
        parser.add_argument("--site", default="", help="all hoists of this site; a part of its name will do")
        parser.add_argument("--done-on", metavar="DAY", default="", help=DONE_ON[kind])
    if kind == DUE:
        parser.add_argument("--year-colour", metavar="SCHEME", default="", help=YEAR_COLOUR)
    if kind == SPARE:
        for name, (metavar, told) in SPARE_OPTIONS.items():
            parser.add_argument(f"--{name}", metavar=metavar, default="", help=told)


def _add_printing(parser: argparse.ArgumentParser, kind: str) -> None:
    parser.add_argument("--template", default="", help="sheet or roll (see fieldlog sheets)")
    if kind != PROOF:
        parser.add_argument("--start", type=int, default=1, help="first free label of a used sheet")
        parser.add_argument("--copies", type=int, default=1, help="how many of each")
        parser.add_argument(
            "--preview", action="store_true", help="only say which label goes where, with a map of the sheet"
        )
    parser.add_argument("--offset", metavar="X,Y", default="", help="mm to the right and down")
    parser.add_argument("--keep-offset", action="store_true", help="keep it for the queue")
    parser.add_argument("--out", metavar="FILE", default="", help=f"the PDF ({kind}.pdf without a queue)")
    add_replace(parser)
    parser.add_argument("--queue", metavar="NAME", default="", help="print on this CUPS queue")


def joined(arguments: Sequence[str]) -> list[str]:
    """The arguments with a negative offset tied to its option, which argparse would take for another one."""
    tied: list[str] = []
    for argument in arguments:
        if tied and tied[-1] == "--offset" and OFFSET.fullmatch(argument):
            tied[-1] = f"--offset={argument}"
        else:
            tied.append(argument)
    return tied


def _check(parser: argparse.ArgumentParser, chosen: Namespace) -> None:
    """What argparse can not see: which options need each other."""
    kind = chosen.kind
    if kind in OF_HOISTS and not (chosen.tags or chosen.site or chosen.done_on):
        parser.error("name at least one TAG, or choose hoists with --site or --done-on")
    if kind in OF_HOISTS and chosen.tags and (chosen.site or chosen.done_on):
        parser.error("name hoists by TAG or choose them with --site and --done-on, not both")
    if chosen.keep_offset and not (chosen.queue and chosen.offset):
        parser.error("--keep-offset needs --offset and --queue: it is kept for that queue")
