"""fieldlog doctor: everything a support call asks first, one line each."""

import argparse
import os
import platform
import shutil
import sys
from argparse import Namespace
from collections.abc import Callable, Iterator
from importlib.metadata import PackageNotFoundError, version
from typing import Any

from fieldlog import __version__
from fieldlog.cli import context
from fieldlog.cli.context import has_terminal, login, store_root
from fieldlog.cli.progress import working
from fieldlog.errors import FieldlogError

PACKAGES = (
    *("textual", "pint", "tinydb", "qrcode", "reportlab", "python-dateutil", "platformdirs", "msgspec"),
    *("icalendar", "argcomplete"),
)
LEAST_COLUMNS, LEAST_LINES = 80, 24
FOUND = 1
HELP = """\
Looks at versions, terminal, clock, printer, rulebooks, store, rights and keys, and seals nothing. Send its
lines with every question.

exit codes: 0 nothing is wrong, 1 faults were found
"""


def add_to(commands_of: Any, add_store: Callable[[argparse.ArgumentParser], None]) -> None:
    """Add `fieldlog doctor` and `fieldlog completion`."""
    parser = commands_of.add_parser(
        "doctor",
        help="look for what is wrong with this installation and store",
        description=HELP,
        epilog="example:\n  fieldlog doctor --json > doctor.json",
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    add_store(parser)
    parser.add_argument("--json", action="store_true", help="as JSON")
    parser.set_defaults(run=doctor)
    completion = commands_of.add_parser(
        "completion",
        help="print what makes the shell complete commands and tags",
        epilog='examples:\n  eval "$(fieldlog completion bash)"        in ~/.bashrc\n'
        '  eval "$(fieldlog completion zsh)"         in ~/.zshrc, after compinit\n'
        "  fieldlog completion fish > ~/.config/fish/completions/fieldlog.fish",
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    completion.add_argument("shell", choices=("bash", "zsh", "fish"))
    completion.set_defaults(run=print_completion)


def doctor(chosen: Namespace) -> int:
    """All checks."""
    from fieldlog.cli.output import print_json
    from fieldlog.operations.diagnosing import State, check_rules, check_store

    with working("checking") as tell:
        checks = [*_versions(), *_terminal(), *_clock(), *_printer(), *check_rules()]
        try:
            checks += check_store(store_root(chosen), context.now(), tell)
        except (FieldlogError, OSError) as fault:
            checks.append(_told("store", State.FAULT, str(fault)))
    faults = sum(check.state is State.FAULT for check in checks)
    if chosen.json:
        print_json(checks)
    else:
        for check in checks:
            print(f"{check.state:<6}{check.what}: {check.says}" + (f" {check.todo}" if check.todo else ""))
        print(f"{faults} faults" if faults else "nothing is wrong")
    return FOUND if faults else 0


def _told(what: str, state: Any, says: str, todo: str = "") -> Any:
    from fieldlog.operations.diagnosing import Check

    return Check(what=what, state=state, says=says, todo=todo)


def _versions() -> Iterator[Any]:
    from fieldlog.operations.diagnosing import State

    system = f"{platform.system()} {platform.release()}"
    yield _told("fieldlog", State.OK, f"{__version__}, Python {platform.python_version()}, {system}")
    found, missing = [], []
    for name in PACKAGES:
        try:
            found.append(f"{name} {version(name)}")
        except PackageNotFoundError:
            missing.append(name)
    yield _told("packages", State.OK, ", ".join(found))
    if missing:
        yield _told("packages", State.FAULT, f"not there: {', '.join(missing)}.", "Install fieldlog anew.")


def _terminal() -> Iterator[Any]:
    from fieldlog.operations.diagnosing import State

    size = shutil.get_terminal_size()
    name = os.environ.get("TERM", "none")
    encoding = sys.stdout.encoding or "none" if sys.stdout is not None else "none"
    says = f"{name}, {size.columns}x{size.lines}, {encoding}, login {login() or 'not known'}"
    if not has_terminal():
        yield _told("terminal", State.NOTE, f"{says}; none is attached here")
    elif size.columns < LEAST_COLUMNS or size.lines < LEAST_LINES:
        yield _told("terminal", State.NOTE, says, f"Make it {LEAST_COLUMNS}x{LEAST_LINES} or larger.")
    else:
        yield _told("terminal", State.OK, says)


def _clock() -> Iterator[Any]:
    from fieldlog.operations.diagnosing import State

    yield _told("clock", State.OK, context.now().isoformat(timespec="seconds"))


def _printer() -> Iterator[Any]:
    from fieldlog.operations.diagnosing import State
    from fieldlog.printing.printers import queues

    if shutil.which("lp") is None:
        yield _told(
            "printer", State.NOTE, "this host has no lp command.", "Labels and reports go into files."
        )
        return
    found = queues()
    yield _told("printer", State.OK if found else State.NOTE, ", ".join(found) or "no print queue")


def print_completion(chosen: Namespace) -> int:
    """The shell's own lines that make it ask fieldlog."""
    from argcomplete.shell_integration import shellcode

    print(shellcode(["fieldlog"], shell=chosen.shell))
    return 0
