"""The command line: exit codes, one sentence for every error, nothing loaded that a command does not need."""

import os
import sys
from collections.abc import Sequence
from io import TextIOWrapper

FAULT_OF_OURS = 70
INTERRUPTED = 130


def crash_words(error: BaseException) -> str:
    """Put the traceback of a fault in fieldlog itself into a file, and say where it is and how to go on.

    A note to the error says which draft was in hand.
    """
    import shlex
    import tempfile
    import traceback

    words = (
        f"fieldlog: a fault in fieldlog itself ({type(error).__name__}); nothing sealed is lost,"
        " drafts are kept."
    )
    try:
        descriptor, name = tempfile.mkstemp(prefix="fieldlog-crash-", suffix=".txt")
        with os.fdopen(descriptor, "w", encoding="utf-8") as file:
            file.write("".join(traceback.format_exception(error)))
    except OSError as refusal:
        said = f"Its details could not be kept ({refusal.strerror})."
    else:
        said = f"Please send {name}."
    notes = getattr(error, "__notes__", [])
    again = shlex.join(["fieldlog", *sys.argv[1:]])
    onward = [f"To go on: {again}   (d takes the draft up again)"] if notes else []
    return "\n".join([f"{words} {said}", *notes, *onward])


def _prepare_output() -> None:
    """A name that the terminal's encoding can not show must not keep the rest from being shown."""
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, TextIOWrapper):
            stream.reconfigure(errors="backslashreplace")


def _run(arguments: Sequence[str]) -> int:
    from fieldlog.cli.quick import quick_answer

    try:
        quick = quick_answer(arguments)
        if quick is not None:
            return quick
        from fieldlog.cli.parser import parse

        chosen = parse(arguments)
        code: int = chosen.run(chosen)
        return code
    finally:
        # Whoever reads may have gone; that has to show now, and not when Python shuts down.
        if sys.stdout is not None:
            sys.stdout.flush()


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command; gives back its exit code."""
    _prepare_output()
    try:
        return _run(sys.argv[1:] if arguments is None else arguments)
    except BrokenPipeError:
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return 0
    except KeyboardInterrupt:
        return INTERRUPTED
    except Exception as error:
        from fieldlog.errors import FieldlogError

        if isinstance(error, FieldlogError):
            print(f"fieldlog: {error}", file=sys.stderr)
            return error.exit_code
        print(crash_words(error), file=sys.stderr)
        return FAULT_OF_OURS
