"""Checking the store as a whole, with what the shop knows of its instruments, and heads kept elsewhere."""

from collections.abc import Callable, Mapping, Sequence
from contextlib import suppress
from pathlib import Path

from msgspec import Struct

from fieldlog.domain.records import Instrument
from fieldlog.errors import InputError, NotSavedError, Problem, RulebookError
from fieldlog.operations.shop import Shop, open_shop
from fieldlog.operations.trusting_checks import trust_problems
from fieldlog.rulebook.loader import load_all
from fieldlog.store.files import is_shared
from fieldlog.store.heads import read_heads, write_heads
from fieldlog.store.reading import SHOP_NAMES, place_of
from fieldlog.store.register import Register
from fieldlog.store.verify import GONE, StoreReport, verify_store
from fieldlog.store.verify_logbook import Anchor

VERIFIED = "verified.txt"


class Verification(Struct, frozen=True, kw_only=True):
    """What verifying found. `heads` says what was done with the heads file, or is empty."""

    logbooks: int
    lines: int
    size: int
    signed: int
    unsigned: int
    problems: tuple[Problem, ...]
    notes: tuple[Problem, ...]
    heads: str = ""


def known_instruments(shop: Shop) -> frozenset[str]:
    """Every name that a reading may give: the shop's tools, of now and before, and the bare types."""
    bodies = [entry.body for entry in shop.logbooks.read("instruments").entries]
    own = {body.name for body in bodies if isinstance(body, Instrument)}
    types = {known.id for rulebook in load_all().values() for known in rulebook.instruments}
    return frozenset(own | types)


def verify(
    shop: Shop,
    names: Sequence[str] = (),
    *,
    heads: Path | None = None,
    renew: bool = False,
    progress: Callable[[int, int], None] | None = None,
) -> Verification:
    """Check the logbooks of these IDs, or the whole store.

    What the last clean verify of the whole store has seen (verified.txt in the store) must stand there
    still. A heads file that is not there is written, if the whole store is clean; one that is there is
    compared with, and written anew only where `renew` asks for it and nothing was found. InputError for a
    heads file that does not read, or that should be written from some logbooks only.
    """
    anchors = None if heads is None else read_heads(heads)
    if names and heads is not None and (anchors is None or renew):
        raise InputError(f"{heads} is written from the whole store: verify without naming hoists")
    last, odd = _last_verified(shop.root)
    report = verify_store(
        shop.root,
        names,
        instruments=known_instruments(shop),
        witnesses=[witness for witness in (last, anchors) if witness],
        register=_judging(shop.root),
        progress=progress,
    )
    problems = (
        *report.problems,
        *odd,
        *trust_problems(shop.root, shop.logbooks.read("people").entries),
        *(() if names else _first_ones_gone(report)),
    )
    if not problems and not names:
        _keep_verified(shop.root, report)
    if heads is None:
        return _counted(report, problems, "")
    known, clean = anchors is not None, not problems
    return _counted(
        report, problems, _with_heads(heads, report, names, known=known, renew=renew, clean=clean)
    )


def _judging(root: Path) -> Register | None:
    """The register with the rules that its rows were worked out by; None where those can not be had."""
    try:
        return open_shop(root).register
    except RulebookError:
        return None


def _first_ones_gone(report: StoreReport) -> list[Problem]:
    """The logbooks that a first start writes before any other: they must be there where others are."""
    present = {book.name for book in report.logbooks}
    told = {problem.place for problem in report.problems}
    needed = ["settings"] if present else []
    needed += ["people"] if present.difference(SHOP_NAMES) else []
    return [
        Problem(place=place_of(name), wrong="this logbook is gone, though others are here.", todo=GONE)
        for name in needed
        if name not in present and place_of(name) not in told
    ]


def _counted(report: StoreReport, problems: tuple[Problem, ...], heads: str) -> Verification:
    signed = sum(book.signed for book in report.logbooks)
    return Verification(
        logbooks=len(report.logbooks),
        lines=sum(book.lines for book in report.logbooks),
        size=sum(book.size for book in report.logbooks),
        signed=signed,
        unsigned=sum(book.seals for book in report.logbooks) - signed,
        problems=problems,
        notes=report.notes,
        heads=heads,
    )


def _last_verified(root: Path) -> tuple[Mapping[str, Anchor] | None, tuple[Problem, ...]]:
    """The heads as of the last clean verify of the whole store, or why they do not read."""
    try:
        return read_heads(root / VERIFIED), ()
    except InputError as fault:
        todo = f"Delete {VERIFIED}; the next clean verify writes it anew."
        return None, (Problem(place=VERIFIED, wrong=f"{fault}.", todo=todo),)


def _keep_verified(root: Path, report: StoreReport) -> None:
    """Remember the heads, so that the next verify finds what is changed from now on, also in a last line.

    A store that can only be read is verified all the same.
    """
    with suppress(NotSavedError):
        write_heads(root / VERIFIED, report.logbooks, shared=is_shared(root))


def _with_heads(
    path: Path, report: StoreReport, names: Sequence[str], *, known: bool, renew: bool, clean: bool
) -> str:
    """What is done with the heads file; written only where all is clean, and anew only where asked for."""
    if not clean:
        return f"{path}: not written, because there are problems" if renew or not known else ""
    if names:
        return f"{path}: compared for {', '.join(names)} alone"
    if known and not renew:
        return f"{path}: every head of it still stands"
    write_heads(path, report.logbooks)
    return f"{path}: heads written"
