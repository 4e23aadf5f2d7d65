"""Who may sign: the store's allowed_signers and revoked_keys, in the formats of OpenSSH's ssh-keygen(1).

`allowed_signers`: a line a key: the principal, namespaces="fieldlog", valid-before where it ends, and the
public key. `revoked_keys`: public keys, one a line, that are believed no more whenever they signed.
"""

import re
from base64 import b64decode, b64encode
from binascii import Error as Base64Error
from collections.abc import Callable
from datetime import date
from hashlib import sha256
from pathlib import Path

from msgspec import Struct

from fieldlog.errors import InputError, StoreError
from fieldlog.store.files import FileCalls, is_shared, make_folder, refusal, replace_file
from fieldlog.store.locks import hold

ALLOWED, REVOKED = "allowed_signers", "revoked_keys"
NAMESPACE = "fieldlog"
_KEY = re.compile(r"((?:sk-)?(?:ssh|ecdsa)-[a-z0-9@.-]+) +([A-Za-z0-9+/]+=*)(?: +(.*))?")
_SIGNER = re.compile(r'(\S+) +namespaces="fieldlog"(?:,valid-before="(\d{8})235959")? +(.+)')
_NO_PRINCIPAL = re.compile(r'[*?!,"\\#]')


class PublicKey(Struct, frozen=True, kw_only=True):
    """A public key as OpenSSH writes it, without its comment."""

    type: str
    text: str

    @property
    def fingerprint(self) -> str:
        """SHA256 and the hash, as `ssh-keygen -l` shows it."""
        digest = b64encode(sha256(b64decode(self.text)).digest()).decode().rstrip("=")
        return f"SHA256:{digest}"

    def __str__(self) -> str:
        return f"{self.type} {self.text}"


class Signer(Struct, frozen=True, kw_only=True):
    """A key that may sign for a principal, until the end of a day where one is set."""

    principal: str
    key: PublicKey
    until: date | None = None


def principal_of(name: str) -> str:
    """How a person is called in allowed_signers: the name with underscores for spaces.

    InputError for a name with a character that has a meaning of its own there.
    """
    if not name.strip() or _NO_PRINCIPAL.search(name):
        raise InputError(f'{name or "nobody"} can not sign: a name with one of * ? ! , " \\ # is not taken')
    return "_".join(name.split())


def parse_key(text: str, source: str) -> PublicKey:
    """The public key that a .pub file holds; InputError where it holds none, or a private one."""
    if "PRIVATE KEY" in text:
        raise InputError(
            f"{source} is a private key, which nobody else may see: name the file that ends in .pub"
        )
    held = _KEY.fullmatch(text.strip())
    try:
        # the key says its own type once more inside
        inside = b64decode(held[2], validate=True) if held else b""
    except Base64Error:
        inside = b""
    if held is None or inside[4 : 4 + len(held[1])] != held[1].encode():
        raise InputError(f"{source} holds no SSH public key: it is one line, as in id_ed25519.pub")
    return PublicKey(type=held[1], text=held[2])


def read_signers(root: Path) -> list[Signer]:
    """Everybody whom the store's allowed_signers names; lines of other shapes are left to ssh-keygen."""
    found = []
    for row in _rows(root / ALLOWED):
        held = _SIGNER.fullmatch(row)
        key = _KEY.fullmatch(held[3]) if held else None
        if held is None or key is None:
            continue
        until = date.fromisoformat(held[2]) if held[2] else None
        signer = Signer(principal=held[1], key=PublicKey(type=key[1], text=key[2]), until=until)
        found.append(signer)
    return found


def read_revoked(root: Path) -> list[PublicKey]:
    """The keys that are believed no more."""
    found = [_KEY.fullmatch(row) for row in _rows(root / REVOKED)]
    return [PublicKey(type=held[1], text=held[2]) for held in found if held]


def trust(root: Path, signer: Signer, *, files: FileCalls | None = None) -> None:
    """Record that this key may sign for this principal, in the place of what was recorded of the two."""

    def change(rows: list[str]) -> list[str]:
        # the last second that still counts, as tried with OpenSSH 9.2
        until = f',valid-before="{signer.until:%Y%m%d}235959"' if signer.until else ""
        kept = [
            row for row in rows if not (row.startswith(f"{signer.principal} ") and signer.key.text in row)
        ]
        return [*kept, f'{signer.principal} namespaces="{NAMESPACE}"{until} {signer.key}']

    _change(root, ALLOWED, change, files or FileCalls())


def revoke(root: Path, key: PublicKey, *, files: FileCalls | None = None) -> None:
    """Record that nothing which this key signed is believed any more."""

    def change(rows: list[str]) -> list[str]:
        return [*(row for row in rows if key.text not in row), str(key)]

    _change(root, REVOKED, change, files or FileCalls())


def _rows(path: Path) -> list[str]:
    try:
        text = path.read_text(encoding="utf-8")
    except FileNotFoundError:
        return []
    except (OSError, UnicodeDecodeError) as fault:
        raise StoreError(f"{path.name} of the store can not be read ({fault})") from fault
    rows = (row.strip() for row in text.splitlines())
    return [row for row in rows if row and not row.startswith("#")]


def _change(root: Path, name: str, change: Callable[[list[str]], list[str]], files: FileCalls) -> None:
    shared = is_shared(root)
    try:
        make_folder(files, root / "locks", shared=shared)
    except OSError as fault:
        raise refusal(fault, name) from fault
    with hold(root / "locks" / f"{name}.lock", name, shared=shared, files=files):
        data = "".join(f"{row}\n" for row in change(_rows(root / name))).encode()
        try:
            replace_file(files, root / name, data, shared=shared, durable=True)
        except OSError as fault:
            raise refusal(fault, name) from fault
