"""Technicians' sessions for the tests, in processes of their own that may be killed.

Run as `python -m tests.store.writing_session WHAT ARGUMENTS`. It forks from a process without threads, so
that a session costs a few milliseconds and can be killed hundreds of times.
"""

import os
import random
import resource
import select
import shutil
import signal
import sys
import time
from collections.abc import Callable
from functools import partial
from pathlib import Path

from fieldlog.domain.records import Draft
from fieldlog.errors import ConflictError, NotSavedError
from fieldlog.store.drafts import Drafts
from fieldlog.store.files import FileCalls
from fieldlog.store.locks import hold
from fieldlog.store.logbooks import Logbooks
from fieldlog.store.reading import Logbook
from fieldlog.store.register import Register
from tests.store.faults import KillingCalls
from tests.store.samples import HOIST, WHEN, seal, uid, withdrawal

NAMES = ("SW-0001-N", "SW-0002-L", "SW-0003-J")
MOMENTS = ("before", "half", "after")
MOST_CALLS = 20  # more than any save makes, which the tests check


def _fork(work: Callable[[], None]) -> int:
    child = os.fork()
    if child:
        return child
    status = 1
    try:
        work()
        status = 0
    finally:
        os._exit(status)


def _was_killed(child: int) -> bool:
    _, status = os.waitpid(child, 0)
    if os.WIFSIGNALED(status):
        return os.WTERMSIG(status) == signal.SIGKILL
    if os.WEXITSTATUS(status) != 0:
        raise SystemExit(f"a session failed with {status}")
    return False


def hold_lock(path: str) -> None:
    """Hold a lock and say so, until standard input ends."""
    with hold(Path(path), "the test"):
        print("held", flush=True)
        sys.stdin.read()


def kill_at_random(root: str, kills: str, seed: str) -> None:
    """An append loop killed again and again; prints 'uid hash' for each record that was acknowledged.

    A new session begins with the record that the one before got no answer for. Every second one is let
    live until its first answer, so that a busy machine does not kill all of them before they seal.
    """
    chance = random.Random(int(seed))
    acknowledged = 0
    for session in range(int(kills)):
        ear, mouth = os.pipe()

        def work(begin: int = acknowledged, mouth: int = mouth) -> None:
            logbooks = Logbooks(Path(root))
            for number in range(begin, begin + 100_000):
                entry = seal(logbooks, number, name=NAMES[number % 3])
                os.write(mouth, f"{entry.uid} {entry.line}\n".encode())

        child = _fork(work)
        os.close(mouth)
        if session % 2:
            select.select([ear], [], [], 30)
        time.sleep(chance.uniform(0.001, 0.03))
        os.kill(child, signal.SIGKILL)
        if not _was_killed(child):
            raise SystemExit("a session ended by itself")
        with os.fdopen(ear) as answers:
            for line in answers:
                print(line, end="")
                acknowledged += 1


def kill_at_each_call(base: str, template: str) -> None:
    """One append for each call that it makes, killed there, each in an own copy of the template's store."""
    for moment in MOMENTS:
        for number in range(1, MOST_CALLS):
            root, files = Path(base) / f"{moment}-{number}", KillingCalls(number, moment)
            shutil.copytree(template, root)

            def work(root: Path = root, files: FileCalls = files) -> None:
                seal(Logbooks(root, files=files), 99)

            killed = _was_killed(_fork(work))
            print(root.name, "killed" if killed else "sealed")


def kill_draft_at_each_call(base: str, uid_text: str) -> None:
    """Saving over a draft, killed at each call."""
    for moment in MOMENTS:
        for number in range(1, MOST_CALLS):
            root, files = Path(base) / f"{moment}-{number}", KillingCalls(number, moment)
            Drafts(root).save(draft(uid_text, "old"))

            def work(root: Path = root, files: FileCalls = files) -> None:
                Drafts(root, files=files).save(draft(uid_text, "new"))

            killed = _was_killed(_fork(work))
            print(root.name, "killed" if killed else "saved")


def draft(uid_text: str, typed: str) -> Draft:
    fresh = Draft.fresh(uid=uid_text, kind="inspection", about=HOIST, by="Ada Fenn", now=WHEN)
    fresh.fields["place 1"] = typed
    return fresh


def many_writers(root: str, writers: str, appends: str) -> None:
    """Several sessions that seal into the same few logbooks at once, each trying again after a conflict."""
    count = int(appends)

    def work(writer: int) -> None:
        logbooks, chance = Logbooks(Path(root), wait_seconds=60), random.Random(writer)
        for number in range(writer * count, (writer + 1) * count):
            name = chance.choice(NAMES)
            while True:
                head = logbooks.read(name).head
                try:
                    logbooks.append(
                        name,
                        withdrawal(f"reason {number}"),
                        uid=uid(number),
                        by=f"writer {writer}",
                        at=WHEN,
                        expected_head=head,
                    )
                except ConflictError:
                    continue
                break

    children = [_fork(partial(work, writer)) for writer in range(int(writers))]
    for child in children:
        _was_killed(child)


def row_of(logbook: Logbook) -> dict[str, object]:
    return {"lines": len(logbook.entries), "last": logbook.entries[-1].uid if logbook.entries else ""}


def many_registers(root: str, refreshes: str) -> None:
    """Two sessions that refresh the register of one store over and over while a third one seals."""

    def look() -> None:
        register = Register(Path(root) / "register.json", Logbooks(Path(root)), stamp="test", row_of=row_of)
        for _ in range(int(refreshes)):
            register.refresh()

    def write() -> None:
        logbooks = Logbooks(Path(root))
        for number in range(int(refreshes)):
            seal(logbooks, number, name=NAMES[number % 3])

    for child in [_fork(look), _fork(look), _fork(write)]:
        _was_killed(child)


def seal_on_a_small_disk(root: str, most_bytes: str) -> None:
    """Seal until the kernel refuses to let a file grow; how many records were acknowledged, and the error."""
    resource.setrlimit(resource.RLIMIT_FSIZE, (int(most_bytes), int(most_bytes)))
    logbooks, number = Logbooks(Path(root)), 0
    try:
        while True:
            seal(logbooks, number)
            number += 1
    except NotSavedError as fault:
        print(number, fault)


if __name__ == "__main__":
    WORK: dict[str, Callable[..., None]] = {
        "hold": hold_lock,
        "kill-at-random": kill_at_random,
        "kill-at-each-call": kill_at_each_call,
        "kill-draft-at-each-call": kill_draft_at_each_call,
        "many-writers": many_writers,
        "many-registers": many_registers,
        "small-disk": seal_on_a_small_disk,
    }
    WORK[sys.argv[1]](*sys.argv[2:])
