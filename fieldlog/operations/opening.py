"""Who may open a new store: whoever sets it up alone, or a group of the host's users."""

import grp
import os
import stat
from collections.abc import Iterator
from contextlib import suppress
from pathlib import Path

from fieldlog.errors import InputError, StoreError
from fieldlog.operations.entering import Field
from fieldlog.store.files import PRIVATE_FOLDER, is_shared
from fieldlog.store.rights import share_with
from fieldlog.units import quoted

ALONE = "me alone"


def opening_field(root: Path) -> Field:
    """What the first start asks; a folder that was made ready for a group is proposed as it is."""
    return Field(
        name="opens",
        label="Who may open it",
        read=read_opening,
        choices=(ALONE, *_own_groups()),
        default=_group_of(root) or ALONE,
        hint="or a group of this host that you are in",
    )


def read_opening(text: str) -> str:
    """'me alone', or the name of a group; InputError for one that the host or the login does not have."""
    if text in _own_groups():
        return text
    if ALONE.startswith(text.lower()):
        return ALONE
    try:
        grp.getgrnam(text)
    except KeyError:
        raise InputError(f"this host knows no group {quoted(text)}") from None
    raise InputError(f"you are not in the group {quoted(text)}, so you can not open the store to it")


def open_to(root: Path, chosen: str) -> str:
    """Give the store's folder the rights that were chosen; what was done in a sentence, empty for nothing.

    StoreError where the system refuses, as in a folder that somebody else made.
    """
    if chosen != ALONE:
        if _group_of(root) == chosen:
            return ""
        share_with(root, chosen)
        return f"The store is open to the group {chosen} now."
    try:
        if not stat.S_IMODE(root.stat().st_mode) & 0o077:
            return ""
        # The folder alone: what lies in it can not be reached through it any more, and may be no record.
        root.chmod(PRIVATE_FOLDER)
    except OSError as fault:
        raise StoreError(
            f"others may still open {root} ({fault.strerror}): only who made that folder may close it"
        ) from fault
    return "The folder was open to others; it is yours alone now."


def _group_of(root: Path) -> str:
    """The group that the folder, or the one that it will be made in, is shared with; empty for none."""
    if not is_shared(root):
        return ""
    there = root
    while not there.exists():
        there = there.parent
    with suppress(KeyError, OSError):
        return grp.getgrgid(there.stat().st_gid).gr_name
    return ""


def _own_groups() -> tuple[str, ...]:
    """The groups of the login by name."""

    def names() -> Iterator[str]:
        for number in {os.getegid(), *os.getgroups()}:
            with suppress(KeyError):  # a number that the host has no name for
                yield grp.getgrgid(number).gr_name

    return tuple(sorted(names()))
