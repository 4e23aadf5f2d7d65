"""What a support call asks first: does the store answer, are rights, clock, rules and keys right."""

import os
import stat
from collections.abc import Callable, Iterator
from datetime import datetime, timedelta
from enum import StrEnum
from pathlib import Path

from msgspec import Struct

from fieldlog.domain.counting import counted
from fieldlog.errors import FieldlogError
from fieldlog.operations.shop import Shop, damaged, open_shop, people, settings, summaries
from fieldlog.rulebook.loader import load_all
from fieldlog.store.files import is_shared
from fieldlog.store.signatures import ask_agent
from fieldlog.store.signers import read_signers

LITTLE_ROOM = 100_000_000
"""Bytes free below which a disk is told to be nearly full (common practice, no source)."""
CLOCK_SLACK = timedelta(minutes=5)


class State(StrEnum):
    """How a check came out."""

    OK = "ok"
    NOTE = "note"
    FAULT = "FAULT"


class Check(Struct, frozen=True, kw_only=True):
    """One thing that was looked at: what, how it stands, and what to do about it."""

    what: str
    state: State
    says: str
    todo: str = ""


def _check(what: str, says: str, state: State = State.OK, todo: str = "") -> Check:
    return Check(what=what, state=state, says=says, todo=todo)


def check_rules() -> Iterator[Check]:
    """The shipped rulebooks, all of them."""
    try:
        books = load_all()
    except FieldlogError as fault:
        yield _check("rulebooks", str(fault), State.FAULT, "Install fieldlog anew.")
        return
    yield _check("rulebooks", ", ".join(f"{name} {book.edition}" for name, book in books.items()))


def check_store(
    root: Path, now: datetime, progress: Callable[[int, int], None] | None = None
) -> Iterator[Check]:
    """Folder, rights, room, the shop's records, the register, the clock against the records, and keys.

    `progress` is told (done, all) of logbooks that the register does not know yet: those are read.
    """
    yield _check("store", str(root))
    yield from _rights(root)
    try:
        shop = open_shop(root)
        held = settings(shop)
    except FieldlogError as fault:
        yield _check("shop", str(fault), State.FAULT, "Put that right; nothing else could be checked.")
        return
    if held is None:
        yield _check("shop", "none is set up here", State.NOTE, "Start fieldlog once, or name --store.")
        return
    yield _check(
        "shop", f"{held.shop}, tags {held.prefix}, rulebook {held.rulebook}, {len(people(shop))} people"
    )
    if shop.own_rules:
        yield _check("own rules", ", ".join(shop.own_rules))
    yield from _records(shop, now, progress)
    yield from _keys(root)


def _rights(root: Path) -> Iterator[Check]:
    if not root.exists():
        yield _check("rights", "the folder is not there yet", State.NOTE, "It is made with the first record.")
        return
    readable = os.access(root, os.R_OK | os.X_OK)
    writable = os.access(root, os.W_OK)
    mode = stat.filemode(root.stat().st_mode)
    others = _others_may(root)
    if not (readable and writable):
        may = "may be read only" if readable else "may not be read"
        yield _check(
            "rights", f"it {may} ({mode})", State.FAULT, "Ask its owner (fieldlog store share GROUP)."
        )
    elif others:
        say = f"read and write, and {others} ({mode})."
        yield _check("rights", say, State.NOTE, "fieldlog store private closes it.")
    else:
        how = "shared with a group" if is_shared(root) else "for its owner alone"
        yield _check("rights", f"read and write, {how} ({mode})")
    held = os.statvfs(root)
    room = held.f_bavail * held.f_frsize
    state = State.OK if room > LITTLE_ROOM else State.FAULT
    yield _check("room", f"{room // 1_000_000:,} MB free", state, "" if room > LITTLE_ROOM else "Make room.")


def _others_may(root: Path) -> str:
    """What those may do in the folder whom nobody gave it to; empty where they may do nothing."""
    mode = root.stat().st_mode
    if mode & stat.S_IRWXO:
        return f"everybody on this host may {'write' if mode & stat.S_IWOTH else 'look in'}"
    if mode & stat.S_IRWXG and not is_shared(root):
        return f"its group may {'write' if mode & stat.S_IWGRP else 'look in'}"
    return ""


def _records(shop: Shop, now: datetime, progress: Callable[[int, int], None] | None) -> Iterator[Check]:
    known = summaries(shop, progress)
    bad = damaged(shop)
    drafts = list((shop.root / "drafts").glob("*.json"))
    yield _check("hoists", f"{len(known)}, {counted(len(drafts), 'draft')} left open")
    for sentence in bad.values():
        yield _check("logbook", sentence, State.FAULT, "Run fieldlog verify.")
    names = [*shop.logbooks.stat_all().items()]
    latest = max(names, key=lambda item: item[1][1], default=None)
    if latest is not None:
        entries = shop.logbooks.read(latest[0]).entries
        if entries and entries[-1].at > now + CLOCK_SLACK:
            told = (
                f"{entries[-1].at.isoformat(timespec='minutes')} is the last record's moment, in the future"
            )
            yield _check("clock", told, State.FAULT, "Set the host's clock.")


def _keys(root: Path) -> Iterator[Check]:
    signers = read_signers(root)
    held = ask_agent(seconds=2)
    agent = held.keys
    told = f"{len(signers)} trusted, {held.why or f'{len(agent)} in the agent'}"
    fits = {signer.key.fingerprint for signer in signers} & {key.fingerprint for key in agent}
    if held.why:
        yield _check("keys", f"{told}.", State.NOTE, "Without it fieldlog does not sign.")
    elif signers and agent and not fits:
        yield _check("keys", f"{told}: none of the agent's is trusted.", State.NOTE, "fieldlog people trust")
    else:
        yield _check("keys", told)
