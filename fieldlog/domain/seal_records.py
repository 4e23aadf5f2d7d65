"""What stands beside a sealed line to say who sealed it."""

from typing import ClassVar

from msgspec import Struct


class Signature(Struct, frozen=True, kw_only=True):
    """A technician's SSH signature over the exact bytes of an earlier line of the same logbook.

    `line` is the SHA-256 of that line, `principal` who signed as the store's allowed_signers names them,
    `key` the fingerprint of the key, and `signature` the text that `ssh-keygen -Y sign -n fieldlog` gave.
    """

    kind: ClassVar[str] = "signature"

    line: str
    principal: str
    key: str
    signature: str
