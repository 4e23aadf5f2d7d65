"""Print queues of the host, through the commands lpstat and lp as found on the path (CUPS)."""

import os
import subprocess
import tempfile
from contextlib import suppress
from pathlib import Path

from fieldlog.errors import InputError, PrinterError

PATIENCE_S, GLANCE_S = 60, 3
"""How long printing, and asking for names, may take before it is stuck (common practice, no source)."""

TRUE_SIZE = ("-o", "print-scaling=none")
"""Asks the queue not to fit the page to its margins: a label shrunk or enlarged misses its sheet.

Keyword of the IPP attribute print-scaling (PWG 5100.13, from memory); queues that do not know it pass over
it.
"""


def queues() -> list[str]:
    """Names of the print queues, in alphabetical order; empty where CUPS is absent or does not answer.

    `lpstat -e` names all destinations; older ones know only `lpstat -a`, which puts each name first on its
    line.
    """
    for option in ("-e", "-a"):
        try:
            answer = _run(["lpstat", option], GLANCE_S)
        except (OSError, subprocess.TimeoutExpired):
            return []
        if answer.returncode == 0:
            return sorted({line.split()[0] for line in answer.stdout.splitlines() if line[:1].strip()})
    return []


def send(pdf: Path | bytes, queue: str, title: str, *, called: str = "labels are") -> str:
    """Print a PDF, given as a file or as its bytes, and return what the queue answered.

    Raises PrinterError with the queue's own words where it refuses; the sentence says which file can be
    printed by other means, and what is in it as `called` names it. Bytes are put in a file for that, which is
    removed once the queue has them.
    """
    if not queue or queue.startswith("-"):
        raise InputError(f"{queue!r} is no name of a print queue.")
    if isinstance(pdf, Path):
        return _send_file(pdf.resolve(), queue, title, called)
    file = _kept_aside(pdf)
    answer = _send_file(file, queue, title, called)
    with suppress(OSError):
        file.unlink()
    return answer


def _kept_aside(pdf: bytes) -> Path:
    """A file of one's own for the queue to read; nothing of it stays where it can not be written whole."""
    name = ""
    try:
        handle, name = tempfile.mkstemp(prefix="fieldlog-", suffix=".pdf")
        with os.fdopen(handle, "wb") as stream:
            stream.write(pdf)
    except OSError as error:
        if name:
            Path(name).unlink(missing_ok=True)
        raise PrinterError(
            f"The file for the queue can not be written, so nothing was printed ({error.strerror})."
            " Set TMPDIR to a folder with room, or print to a file."
        ) from error
    return Path(name)


def _send_file(file: Path, queue: str, title: str, called: str) -> str:
    instead = f"The {called} in {file}."
    if not file.is_file():
        raise PrinterError(f"There is no file {file} to print.")
    try:
        answer = _run(["lp", "-d", queue, "-t", title, *TRUE_SIZE, str(file)], PATIENCE_S)
    except FileNotFoundError as error:
        raise PrinterError(f"This host has no lp command, so nothing was printed. {instead}") from error
    except (OSError, ValueError) as error:
        raise PrinterError(f"The lp command could not be run: {error}. {instead}") from error
    except subprocess.TimeoutExpired as error:
        raise PrinterError(f"The queue {queue} did not answer within {PATIENCE_S} s. {instead}") from error
    if answer.returncode != 0:
        words = " ".join((answer.stderr or answer.stdout).split()).rstrip(".")
        words = words or f"exit code {answer.returncode}, without a word"
        raise PrinterError(f"The queue {queue} refused: {words}. {instead}")
    return answer.stdout.strip()


def _run(command: list[str], seconds: float) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        command,
        stdin=subprocess.DEVNULL,
        capture_output=True,
        text=True,
        errors="replace",
        timeout=seconds,
        check=False,
    )
