"""A stamp of the rules as shipped, so that what was worked out under other rules is worked out again."""

from collections.abc import Iterable
from functools import cache
from hashlib import sha256
from pathlib import Path

from fieldlog import __version__, domain
from fieldlog.rulebook.loader import DATA


def stamp_of(folders: Iterable[Path]) -> str:
    """The SHA-256 over this version's name and the names and bytes of all files, in a fixed order."""
    digest = sha256(__version__.encode())
    for folder in folders:
        for path in sorted([*folder.rglob("*.toml"), *folder.glob("*.py")]):
            digest.update(path.relative_to(folder).as_posix().encode())
            digest.update(path.read_bytes())
    return digest.hexdigest()


@cache
def rules_stamp() -> str:
    """The stamp of the shipped numbers and of the formulas that read them."""
    return stamp_of((DATA, Path(domain.__file__ or "").parent))
