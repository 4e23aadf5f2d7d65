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
from fieldlog.store.files import FileCalls, is_shared, make_folder, refusal, replace_file, sync_folder
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


class Row(Struct, frozen=True, kw_only=True):
    """A line of allowed_signers or revoked_keys: its number, counted from 1, and what fieldlog reads in it.

    Both are None where fieldlog does not write lines like it; ssh-keygen may go by such a line all the same.
    """

    number: int
    signer: Signer | None = None
    key: PublicKey | None = None


def signer_rows(root: Path) -> list[Row]:
    """The lines of the store's allowed_signers, without comments; StoreError where it does not read."""
    found = []
    for number, text in _rows(root / ALLOWED):
        signer = _signer(text)
        found.append(Row(number=number, signer=signer, key=signer.key if signer else None))
    return found


def revoked_rows(root: Path) -> list[Row]:
    """The lines of the store's revoked_keys, likewise."""
    return [Row(number=number, key=_key(text)) for number, text in _rows(root / REVOKED)]


def read_signers(root: Path) -> list[Signer]:
    """Everybody whom the store's allowed_signers names; lines of other shapes are left to ssh-keygen."""
    return [row.signer for row in signer_rows(root) if row.signer]


def read_revoked(root: Path) -> list[PublicKey]:
    """The keys that are believed no more."""
    return [row.key for row in revoked_rows(root) if row.key]


def _signer(text: str) -> Signer | None:
    held = _SIGNER.fullmatch(text)
    key = _key(held[3]) if held else None
    if held is None or key is None:
        return None
    try:
        until = date.fromisoformat(held[2]) if held[2] else None
    except ValueError:
        return None  # no day that there is
    return Signer(principal=held[1], key=key, until=until)


def _key(text: str) -> PublicKey | None:
    held = _KEY.fullmatch(text)
    return PublicKey(type=held[1], text=held[2]) if held else None


def _nothing() -> None:
    return


def trust(
    root: Path, signer: Signer, *, before: Callable[[], object] = _nothing, files: FileCalls | None = None
) -> None:
    """Record that this key may sign for this principal, in the place of what was recorded of the two.

    `before` is done under the lock of the file, ahead of it: what that raises leaves the file as it was.
    """

    def change(rows: list[str]) -> list[str]:
        before()
        # the last second that still counts, as tried with OpenSSH 9.2
        until = f',valid-before="{signer.until:%Y%m%d}235959"' if signer.until else ""
        kept = [
            row for row in rows if not (row.startswith(f"{signer.principal} ") and signer.key.text in row)
        ]
        return [*kept, f'{signer.principal} namespaces="{NAMESPACE}"{until} {signer.key}']

    _change(root, ALLOWED, change, files or FileCalls())


def revoke(
    root: Path, key: PublicKey, *, after: Callable[[], object] = _nothing, files: FileCalls | None = None
) -> None:
    """Record that nothing which this key signed is believed any more.

    `after` is done under the same lock of the file, once the disk has it.
    """

    def change(rows: list[str]) -> list[str]:
        return [*(row for row in rows if key.text not in row), str(key)]

    _change(root, REVOKED, change, files or FileCalls(), after=after)


def _rows(path: Path) -> list[tuple[int, str]]:
    """The lines that count for ssh-keygen, which knows no blanks but space and tab, with their numbers."""
    try:
        text = path.read_bytes().decode()
    except FileNotFoundError:
        return []
    except (OSError, UnicodeDecodeError) as fault:
        raise StoreError(f"{path.name} of the store can not be read ({fault})") from fault
    rows = [
        (number, row.lstrip(" \t").rstrip(" \t\r")) for number, row in enumerate(text.split("\n"), start=1)
    ]
    return [(number, row) for number, row in rows if row and not row.startswith("#")]


def _change(
    root: Path,
    name: str,
    change: Callable[[list[str]], list[str]],
    files: FileCalls,
    *,
    after: Callable[[], object] = _nothing,
) -> None:
    shared = is_shared(root)
    try:
        make_folder(files, root / "locks", shared=shared)
    except OSError as fault:
        raise refusal(fault, name) from fault
    with hold(root / "locks" / f"{name}.lock", name, shared=shared, files=files):
        data = "".join(f"{row}\n" for row in change([row for _, row in _rows(root / name)])).encode()
        try:
            replace_file(files, root / name, data, shared=shared, durable=True)
            # a power cut must not bring back the file from before a key was revoked
            sync_folder(files, root)
        except OSError as fault:
            raise refusal(fault, name) from fault
        after()
