"""Which files a backup may hold, and the list of those that it was taken without."""

import re
from collections.abc import Mapping

from fieldlog.errors import InputError
from fieldlog.store.reading import SHOP_NAMES, place_of
from fieldlog.store.scan import HOIST_NAME, SUFFIX, TORN
from fieldlog.store.signers import ALLOWED, REVOKED

HEADS, SUMS, MISSING = "heads.txt", "SHA256SUMS", "missing.txt"
ABOUT = frozenset({HEADS, SUMS, MISSING})
"""What tells of the backup itself and belongs into no store."""
SETTINGS = place_of("settings")
OWN_FOLDERS = ("label_templates", "rulebook")
_TITLE = "# what could not be read when this backup was taken"
_OWN = re.compile(rf"(?:{'|'.join(OWN_FOLDERS)})/[A-Za-z0-9][A-Za-z0-9_-]{{0,60}}\.toml")
_SHOP_LOGBOOKS = frozenset(place_of(name) for name in SHOP_NAMES)
_SINGLE = ABOUT | {ALLOWED, REVOKED}


def may_stand(name: str) -> bool:
    """Whether a backup may hold a file of this name: nothing else is ever written by a restore."""
    return name in _SINGLE or _OWN.fullmatch(name) is not None or is_logbook(name.removesuffix(TORN))


def is_logbook(name: str) -> bool:
    """Whether it is the place of a hoist's logbook or of one of the shop's own."""
    hoist = name.removeprefix("logbooks/").removesuffix(SUFFIX)
    return name in _SHOP_LOGBOOKS or (
        name == f"logbooks/{hoist}{SUFFIX}" and HOIST_NAME.fullmatch(hoist) is not None
    )


def missing_text(missing: Mapping[str, str]) -> str:
    """The list of what is missing, a line each: its place in the store and why."""
    return "\n".join([_TITLE, *(printed(f"{place}: {why}") for place, why in missing.items())]) + "\n"


def parse_missing(text: str, source: str) -> dict[str, str]:
    """Why each place is missing, as the list says it; InputError names the line that does not read.

    `source` says for people where the list comes from.
    """
    title, *rows = text.removesuffix("\n").split("\n")
    if title != _TITLE:
        raise InputError(f"{source} is no list of what is missing: its first line is not '{_TITLE}'")
    found: dict[str, str] = {}
    for number, row in enumerate(rows, start=2):
        place, between, why = row.rpartition(": ")
        if not (place and between and why) or row != printed(row):
            raise InputError(f"{source} line {number} does not say what is missing and why")
        found[place] = why
    return found


def printed(text: str) -> str:
    """The text as it may be shown on one line: a file's name may hold anything."""
    return "".join(sign if sign.isprintable() else "?" for sign in text)
