"""fieldlog calc: verdicts and dates for the command line and for scripts."""

import argparse
from argparse import Namespace
from collections.abc import Callable
from decimal import Decimal
from typing import Any

from fieldlog.cli.output import print_json
from fieldlog.domain.records import Basis
from fieldlog.domain.rules import DateRule
from fieldlog.errors import InputError
from fieldlog.operations import calculating, calculating_use
from fieldlog.operations.entering import read_chain_size, read_length, read_mass
from fieldlog.units import parse_date, parse_decimal, parse_whole

GENERAL = "general"
LONGEST_LABEL = 18


def print_words(answer: dict[str, Any]) -> None:
    """The answer for people, a line a figure."""
    for name, value in answer.items():
        label = name.replace("_", " ")
        if isinstance(value, list) and value and isinstance(value[0], dict):
            for row in value:
                words = ", ".join(f"{key.replace('_', ' ')} {part}" for key, part in row.items() if part)
                print(f"{label[:-1] if label.endswith('s') else label:<{LONGEST_LABEL}} {words}")
        elif isinstance(value, list):
            print(f"{label:<{LONGEST_LABEL}} {', '.join(value) or '-'}")
        else:
            print(f"{label:<{LONGEST_LABEL}} {_word(value)}")


def _word(value: Any) -> str:
    if value is None:
        return "-"
    return {True: "yes", False: "no"}[value] if isinstance(value, bool) else str(value)


def _answer(chosen: Namespace, answer: dict[str, Any]) -> int:
    if chosen.json:
        print_json(answer)
    else:
        print_words(answer)
    return 0


def _chain(chosen: Namespace) -> int:
    return _answer(
        chosen,
        calculating.chain(
            size=read_chain_size(chosen.size),
            links=parse_whole(chosen.links, "--links", 1, 99),
            basis=Basis(chosen.basis),
            drive=chosen.drive,
            rulebook=chosen.rulebook,
            book_length=chosen.book_length,
            book_discard=chosen.book_discard,
            unused=chosen.unused,
            tool=chosen.tool,
            readings=chosen.reading,
        ),
    )


def _diameter(chosen: Namespace) -> int:
    read = {name: read_length(f"--{name}")(getattr(chosen, name)) for name in ("nominal", "d1", "d2")}
    return _answer(chosen, calculating.diameter(**read, rulebook=chosen.rulebook))


def _hook(chosen: Namespace) -> int:
    twist = parse_decimal(chosen.twist_deg, "--twist-deg")
    return _answer(
        chosen,
        calculating.hook(
            new=read_length("--new")(chosen.new),
            now=read_length("--now")(chosen.now),
            rulebook=chosen.rulebook,
            twist_deg=twist,
            crack=chosen.crack,
        ),
    )


def _due(chosen: Namespace) -> int:
    return _answer(
        chosen,
        calculating_use.due(
            done=parse_date(chosen.done, "--done"),
            every=chosen.every,
            rule=chosen.rule,
            due_month=chosen.due,
            count=parse_whole(chosen.count, "--count", 1, calculating_use.MOST_DATES),
            out_of_service=chosen.out_of_service,
        ),
    )


def _life(chosen: Namespace) -> int:
    return _answer(chosen, calculating_use.life(group=chosen.group, uses=chosen.use))


def _spectrum(chosen: Namespace) -> int:
    return _answer(chosen, calculating_use.spectrum(parts=chosen.part))


def _load_test(chosen: Namespace) -> int:
    capacity: Decimal = read_mass("--capacity")(chosen.capacity)
    return _answer(
        chosen,
        calculating_use.load_test(
            capacity_kg=capacity,
            drive=chosen.drive,
            rulebook=chosen.rulebook,
            overload_device=chosen.overload_device,
        ),
    )


def _length(chosen: Namespace) -> int:
    return _answer(chosen, calculating_use.length(chosen.text))


def _id(chosen: Namespace) -> int:
    if chosen.typed:
        return _answer(chosen, calculating_use.check_id(chosen.typed))
    if len(chosen.parts) != 2:
        raise InputError("give a prefix and a number, as calc id SW 8, or --check TEXT")
    return _answer(chosen, calculating_use.give_id(*chosen.parts))


def _required(parser: argparse.ArgumentParser, *names: str) -> None:
    for name in names:
        parser.add_argument(name, required=True, metavar="L")


def _chain_parser(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--size", required=True, metavar="DNxPN", help="diameter x pitch, as 5x15")
    parser.add_argument("--links", default="11", help="links measured over (11)")
    parser.add_argument("--basis", choices=[basis.value for basis in Basis], default=Basis.INSIDE.value)
    parser.add_argument("--drive", choices=calculating.DRIVES, default=calculating.POWERED)
    parser.add_argument("--rulebook", default=GENERAL)
    parser.add_argument("--book-length", default="", metavar="L", help="the maker's length as new")
    parser.add_argument("--book-discard", default="", metavar="L", help="the maker's discard length")
    parser.add_argument("--unused", default="", metavar="L", help="measured on unused links")
    parser.add_argument("--tool", default="", help="rule-ii, caliper-0.05, caliper-0.02 ...")
    parser.add_argument("--reading", action="append", required=True, metavar="L", help="once a place")


def _diameter_parser(parser: argparse.ArgumentParser) -> None:
    _required(parser, "--nominal", "--d1", "--d2")
    parser.add_argument("--rulebook", default=GENERAL)


def _hook_parser(parser: argparse.ArgumentParser) -> None:
    _required(parser, "--new", "--now")
    parser.add_argument("--rulebook", default=GENERAL, help="a rulebook, or us-osha, us-b30")
    parser.add_argument("--twist-deg", default="0")
    parser.add_argument("--crack", action="store_true", help="a crack was seen")


def _due_parser(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--done", required=True, metavar="YYYY-MM-DD", help="day of the inspection")
    parser.add_argument("--every", required=True, metavar="12m", help="months or days, as 12m or 7d")
    rules = [rule.value for rule in DateRule]
    parser.add_argument("--rule", choices=rules, default=DateRule.CALENDAR.value)
    parser.add_argument("--due", default="", metavar="YYYY-MM", help="the month it was due")
    parser.add_argument("--count", default="1", help="how many dates")
    parser.add_argument("--out-of-service", action="store_true", help="it was out of service when due")


def _life_parser(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--group", required=True, help="M4 or 1Am")
    parser.add_argument("--use", action="append", required=True, metavar="HOURS:KM:F")


def _spectrum_parser(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--part", action="append", required=True, metavar="LOADSHARE:TIMESHARE")


def _load_test_parser(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--capacity", required=True, help="rated capacity, as '500 kg'")
    parser.add_argument("--drive", choices=calculating.DRIVES, default=calculating.POWERED)
    parser.add_argument("--rulebook", default=GENERAL)
    parser.add_argument("--overload-device", action="store_true", help="one is fitted")


def _length_parser(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("text", metavar="TEXT", help="as typed: 234,1, '9 7/32 in'")


def _id_parser(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("parts", nargs="*", metavar="PREFIX NUMBER")
    # Kept as `typed`: the parser calls what a command keeps as `check`.
    parser.add_argument("--check", dest="typed", default="", metavar="TEXT", help="a tag as typed")


CALCULATIONS: dict[str, tuple[str, Callable[[argparse.ArgumentParser], None], Callable[[Namespace], int]]] = {
    "chain": ("chain elongation over n links", _chain_parser, _chain),
    "diameter": ("wire diameter", _diameter_parser, _diameter),
    "hook": ("hook throat, twist, crack", _hook_parser, _hook),
    "due": ("next due dates", _due_parser, _due),
    "life": ("used share of the design life", _life_parser, _life),
    "spectrum": ("load spectrum factor and class", _spectrum_parser, _spectrum),
    "loadtest": ("test load", _load_test_parser, _load_test),
    "length": ("a length as typed, in mm", _length_parser, _length),
    "id": ("tag IDs and their check character", _id_parser, _id),
}


def add_to(calc: argparse.ArgumentParser) -> None:
    """Add every calculation below `fieldlog calc`."""
    verbs = calc.add_subparsers(dest="verb", required=True, metavar="WHAT")
    for name, (says, arguments, run) in CALCULATIONS.items():
        parser = verbs.add_parser(name, help=says, description=says)
        arguments(parser)
        parser.add_argument("--json", action="store_true", help="as JSON; numbers are exact decimals")
        parser.set_defaults(run=run)
