"""Where a command leaves what it made: a file, which is never written over unasked, or standard output."""

import argparse
import sys
from argparse import Namespace
from collections.abc import Callable
from pathlib import Path
from typing import TextIO

from fieldlog.errors import InputError

STDOUT = "-"


def add_replace(parser: argparse.ArgumentParser) -> None:
    """Add the option that lets a command write over a file."""
    parser.add_argument("--replace", action="store_true", help="write over a file that is there already")


def tell(chosen: Namespace, sentence: str) -> None:
    """A sentence for people; on standard error where the file itself goes to standard output."""
    stream: TextIO = sys.stderr if chosen.out == STDOUT else sys.stdout
    print(sentence, file=stream)


def check_free(chosen: Namespace, path: Path) -> None:
    """InputError where a file stands there and --replace was not given; asked before any work is done."""
    from fieldlog.printing.whole import is_taken

    if chosen.out != STDOUT and not chosen.replace and is_taken(path):
        raise InputError(f"{path} is there already: name another file with --out, or add --replace")


def checked(run: Callable[[Namespace], int]) -> Callable[[Namespace], int]:
    """The command, which looks at the file named with --out before anything else."""

    def run_checked(chosen: Namespace) -> int:
        if chosen.out:
            check_free(chosen, Path(chosen.out).expanduser())
        return run(chosen)

    return run_checked


def put(chosen: Namespace, path: Path, data: bytes, says: str, *, goes_on: bool = False) -> None:
    """Leave it at the path, or with --out - on standard output, and say so.

    `goes_on`: it goes on from the file that stands there, which is not lost. InputError, NotSavedError.
    """
    from fieldlog.printing.whole import whole_file

    if chosen.out == STDOUT:
        write_out(data)
        return
    if not goes_on:
        check_free(chosen, path)
    with whole_file(path, replace=goes_on or chosen.replace) as stream:
        stream.write(data)
    print(f"{path}: {says}")


def write_out(data: bytes) -> None:
    """The bytes on standard output."""
    sys.stdout.flush()
    stream = getattr(sys.stdout, "buffer", None)
    if stream is None:
        sys.stdout.write(data.decode())
        return
    stream.write(data)
    stream.flush()
