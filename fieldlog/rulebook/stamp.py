"""A stamp of the rules as shipped, so that what was worked out under other rules is worked out again."""

from functools import cache
from hashlib import sha256

from fieldlog import __version__
from fieldlog.rulebook.loader import DATA


@cache
def rules_stamp() -> str:
    """The SHA-256 over this version's name and the bytes of every rule file, in a fixed order."""
    digest = sha256(__version__.encode())
    for path in sorted(DATA.rglob("*.toml")):
        digest.update(path.relative_to(DATA).as_posix().encode())
        digest.update(path.read_bytes())
    return digest.hexdigest()
