"""Runs ssh-keygen and ssh-add: no shell, no terminal, a time limit, and never a question to anybody."""

import os
import signal
import subprocess
from collections.abc import Sequence
from contextlib import suppress

from msgspec import Struct

SECONDS = 10.0
"""An agent may be far away at the other end of a slow line; a person should not wait longer than this."""


class Answer(Struct, frozen=True, kw_only=True):
    """What a run left: whether it went well, what it printed, and its last words where it did not.

    `late` says that it was ended because it gave no answer in time.
    """

    ok: bool
    late: bool = False
    out: bytes = b""
    words: str = ""


def run(command: Sequence[str], data: bytes = b"", *, seconds: float = SECONDS) -> Answer:
    """Run a program of OpenSSH with `data` on its standard input."""
    # A session of its own has no terminal, so that nothing can ask for a passphrase across the screen.
    quiet = os.environ | {"SSH_ASKPASS_REQUIRE": "never", "LC_ALL": "C", "TZ": "UTC"}
    try:
        process = subprocess.Popen(
            command,
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            env=quiet,
            start_new_session=True,
        )
    except OSError as fault:
        return Answer(ok=False, words=f"{command[0]} could not be started ({fault.strerror})")
    try:
        out, told = process.communicate(data, timeout=seconds)
    except subprocess.TimeoutExpired:
        _end(process)
        return Answer(ok=False, late=True, words=f"{command[0]} gave no answer within {seconds:g} seconds")
    except BaseException:
        _end(process)
        raise
    lines = told.decode(errors="replace").strip().splitlines()
    return Answer(ok=process.returncode == 0, out=out, words=lines[-1] if lines else "")


def _end(process: "subprocess.Popen[bytes]") -> None:
    with suppress(ProcessLookupError):
        os.killpg(process.pid, signal.SIGKILL)
    process.communicate()
