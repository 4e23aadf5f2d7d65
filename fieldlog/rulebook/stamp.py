"""A stamp of the rules in force, so that what was worked out under other rules is worked out again."""

from collections.abc import Iterable
from functools import cache
from hashlib import sha256
from pathlib import Path

from fieldlog import __version__, domain
from fieldlog.rulebook.loader import DATA
from fieldlog.rulebook.own import own_stamp


def stamp_of(folders: Iterable[Path]) -> str:
    """The SHA-256 over this version's name and the names and bytes of all files, in a fixed order."""
    digest = sha256(__version__.encode())
    for folder in folders:
        for path in sorted([*folder.rglob("*.toml"), *folder.glob("*.py")]):
            digest.update(path.relative_to(folder).as_posix().encode())
            digest.update(path.read_bytes())
    return digest.hexdigest()


def rules_stamp(store: Path | None = None) -> str:
    """The stamp of the shipped numbers and formulas and, where a store is named, of the shop's own rules."""
    own = "" if store is None else own_stamp(store)
    return f"{_shipped()}+{own}" if own else _shipped()


@cache
def _shipped() -> str:
    """The stamp of the shipped numbers and of the formulas that read them."""
    return stamp_of((DATA, Path(domain.__file__ or "").parent))
