"""The whole store checked: every logbook by its bytes, signatures, the register, and heads kept elsewhere."""

import os
from collections.abc import Callable, Iterator, Mapping, Sequence
from functools import partial
from pathlib import Path

from msgspec import Struct, field
from msgspec.structs import replace

from fieldlog.errors import Problem, StoreError
from fieldlog.store.cores import spread
from fieldlog.store.ending import GENESIS
from fieldlog.store.reading import SHOP_NAMES, Logbook, check_chain, place_of
from fieldlog.store.register import Register
from fieldlog.store.register_heads import Known, known_heads, shown_sum
from fieldlog.store.scan import HOIST_NAME, SUFFIX, TORN
from fieldlog.store.signatures import check_signature
from fieldlog.store.verify_logbook import COMPARE, Anchor, LogbookReport, read_whole, verify_book

REGISTER = "register.json"
ANEW = "End every fieldlog on this store, then delete register.json and due*.rows: they are worked out anew."
GONE = "Look for it in a backup; fieldlog restore writes one into a new folder."


class Job(Struct, frozen=True, kw_only=True):
    """One logbook to check, with what is known of it from elsewhere."""

    name: str
    anchors: tuple[Anchor, ...] = ()
    known: Known | None = None


class StoreReport(Struct, frozen=True, kw_only=True):
    """What was found. `problems` make the store not clean; `notes` are told beside them."""

    logbooks: tuple[LogbookReport, ...]
    problems: tuple[Problem, ...] = ()
    notes: tuple[Problem, ...] = field(default=())


def stored_names(root: Path) -> list[str]:
    """Every logbook of the store by name, the shop's own first; StoreError where it can not be listed."""
    try:
        hoists = sorted(
            item.name.removesuffix(SUFFIX)
            for item in _listed(root / "logbooks")
            if item.name.endswith(SUFFIX) and HOIST_NAME.fullmatch(item.name.removesuffix(SUFFIX))
        )
    except OSError as fault:
        raise StoreError(f"the logbooks in {root} can not be listed ({fault.strerror})") from fault
    return [name for name in SHOP_NAMES if _is_there(root / place_of(name))] + hoists


def _is_there(path: Path) -> bool:
    """Whether there is such a file; one in a folder that may not be opened is told when it is read."""
    try:
        path.lstat()
    except FileNotFoundError:
        return False
    except OSError:
        return True
    return True


def _listed(folder: Path) -> Iterator["os.DirEntry[str]"]:
    try:
        with os.scandir(folder) as items:
            yield from items
    except FileNotFoundError:
        return


def verify_store(
    root: Path,
    names: Sequence[str] = (),
    *,
    instruments: frozenset[str] | None = None,
    witnesses: Sequence[Mapping[str, Anchor]] = (),
    register: Register | None = None,
    progress: Callable[[int, int], None] | None = None,
) -> StoreReport:
    """Check the logbooks of these names, or all of them and what else stands in the store.

    `instruments` are the names that readings may give (None: not checked), `witnesses` lists of heads;
    `register` works out anew what its file shows (None: only its heads and lines are compared).
    No lock is taken and nothing is written. StoreError where the store can not be listed.
    """
    present = stored_names(root)
    known = known_heads(root / REGISTER, "" if register is None else register.stamp, empty=True)
    jobs = [
        Job(name=name, anchors=tuple(by[name] for by in witnesses if name in by), known=known.get(name))
        for name in names or present
    ]
    work = partial(verify_batch, root, instruments, register)
    reports = tuple(report for found in spread(work, jobs, progress) for report in found)
    problems = [problem for report in reports for problem in report.problems]
    if not names:
        problems += _missing(present, witnesses, known) + _strays(root)
    notes = [note for report in reports for note in report.notes]
    return StoreReport(
        logbooks=reports,
        problems=tuple(problems),
        notes=tuple(notes if names else [*notes, *_set_aside(root)]),
    )


def verify_batch(
    root: Path, instruments: frozenset[str] | None, register: Register | None, jobs: Sequence[Job]
) -> list[LogbookReport]:
    """The reports on these logbooks."""
    return [_verify_one(root, instruments, register, job) for job in jobs]


def _verify_one(
    root: Path, instruments: frozenset[str] | None, register: Register | None, job: Job
) -> LogbookReport:
    place = place_of(job.name)
    try:
        data, held = read_whole(root / place)
    except FileNotFoundError:
        return LogbookReport(
            name=job.name, problems=(Problem(place=place, wrong="there is no such logbook.", todo=GONE),)
        )
    except OSError as fault:
        wrong = f"it can not be read ({fault.strerror})."
        return LogbookReport(name=job.name, problems=(Problem(place=place, wrong=wrong, todo=COMPARE),))
    book = check_chain(job.name, data)
    report = verify_book(
        book,
        data,
        instruments=instruments,
        anchors=job.anchors + _remembered(job.known),
        check_signature=partial(check_signature, root),
    )
    if job.known is None or report.problems or (held.st_size, held.st_mtime_ns) != job.known.state:
        return report
    if _is_shown_right(book, job.known, register):
        return report
    return replace(report, problems=_otherwise(book))


def _is_shown_right(book: Logbook, known: Known, register: Register | None) -> bool:
    """Whether the register shows a logbook that has not changed since it was read as it stands."""
    if known.anchor.head != book.head or known.lines not in (len(book.entries), 0):
        return False
    return register is None or not known.shown or shown_sum(*register.shows(book)) == known.shown


def _remembered(known: Known | None) -> tuple[Anchor, ...]:
    """The line that must stand in the logbook still, where the register has seen one."""
    return () if known is None or known.anchor.head == GENESIS else (known.anchor,)


def _otherwise(book: Logbook) -> tuple[Problem]:
    wrong = f"the register shows {book.name} otherwise than its logbook stands."
    return (Problem(place=REGISTER, wrong=wrong, todo=ANEW),)


def _missing(
    present: Sequence[str], witnesses: Sequence[Mapping[str, Anchor]], known: Mapping[str, Known]
) -> list[Problem]:
    """Logbooks that were there once, as a list of heads or the register remembers."""
    there = set(present)
    found = {name: REGISTER for name, held in known.items() if name not in there and _remembered(held)}
    for witness in witnesses:
        found |= {name: anchor.source for name, anchor in witness.items() if name not in there}
    return [
        Problem(place=place_of(name), wrong=f"this logbook is gone; {source} knows it.", todo=GONE)
        for name, source in sorted(found.items())
    ]


def _strays(root: Path) -> list[Problem]:
    """Files among the logbooks that fieldlog neither wrote nor reads."""
    todo = "Move it out of the store, or give it back the name that it had."
    return [
        Problem(place=f"logbooks/{item.name[:60]}", wrong="this is no logbook of fieldlog.", todo=todo)
        for item in _listed(root / "logbooks")
        if not _belongs(item.name)
    ]


def _set_aside(root: Path) -> list[Problem]:
    """Pieces of lines that sealing moved out of the way: nothing that was acknowledged, if all went well."""
    found = sorted(
        f"{folder}/{item.name}"
        for folder in ("logbooks", "shop")
        for item in _listed(root / folder)
        if item.name.endswith(TORN)
    )
    told = "a piece of a line stands here that was cut off when power or disk failed."
    return [Problem(place=place, wrong=told, todo="Keep it with the logbook.") for place in found]


def _belongs(name: str) -> bool:
    known = name.removesuffix(TORN)
    return known.endswith(SUFFIX) and HOIST_NAME.fullmatch(known.removesuffix(SUFFIX)) is not None
