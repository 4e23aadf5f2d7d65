"""Signing a sealed line with a technician's SSH key, and checking such a signature, both by ssh-keygen.

The message is the exact bytes of the line with its newline, the namespace 'fieldlog'. Source: ssh-keygen(1),
-Y sign and -Y verify; format: PROTOCOL.sshsig of OpenSSH.
"""

import re
import tempfile
from collections.abc import Sequence
from datetime import UTC, datetime
from pathlib import Path

from msgspec import Struct

from fieldlog.domain.records import Signature
from fieldlog.errors import InputError
from fieldlog.store.signers import (
    ALLOWED,
    NAMESPACE,
    REVOKED,
    PublicKey,
    parse_key,
    principal_of,
    read_revoked,
    read_signers,
)
from fieldlog.store.ssh_keys import SECONDS, run

_SIGNED = re.compile(r"-----BEGIN SSH SIGNATURE-----\n(?:[A-Za-z0-9+/=]+\n)+-----END SSH SIGNATURE-----\n?")


class AgentKeys(Struct, frozen=True, kw_only=True):
    """The public keys that the SSH agent holds; or none, and in a sentence without its full stop why."""

    keys: tuple[PublicKey, ...] = ()
    why: str = ""


def ask_agent(*, seconds: float = SECONDS) -> AgentKeys:
    """What the SSH agent holds. An agent that holds no key is no fault: both are empty then."""
    answer = run(["ssh-add", "-L"], seconds=seconds)
    if answer.late:
        return AgentKeys(why=f"the SSH agent does not answer (waited {seconds:g} seconds)")
    if not answer.ok and answer.words:  # that it holds no key is said on standard output
        return AgentKeys(why=f"the SSH agent can not be asked ({answer.words})")
    found = []
    for row in answer.out.decode(errors="replace").splitlines() if answer.ok else []:
        try:
            found.append(parse_key(row, "the agent"))
        except InputError:
            continue  # a certificate or a kind of key that is not known here
    return AgentKeys(keys=tuple(found))


def agent_keys(*, seconds: float = SECONDS) -> tuple[PublicKey, ...]:
    """The public keys that the SSH agent holds; none where there is no agent or it does not answer."""
    return ask_agent(seconds=seconds).keys


def sign(line: bytes, key: Path, *, seconds: float = SECONDS) -> tuple[str, str]:
    """The signature text over these bytes and an empty text; or an empty text and why there is none.

    `key` is a private key file, or a public one whose private half the agent holds.
    """
    answer = run(["ssh-keygen", "-Y", "sign", "-f", str(key), "-n", NAMESPACE], line, seconds=seconds)
    text = answer.out.decode(errors="replace")
    if answer.ok and _SIGNED.fullmatch(text):
        return text, ""
    if answer.late:
        # a key in a token waits for a touch, and a key that the agent holds for the agent
        return "", f"no signature came within {seconds:g} seconds: the SSH agent or the key did not answer"
    return "", answer.words or "ssh-keygen gave no signature"


def sign_with_agent(line: bytes, key: PublicKey, *, seconds: float = SECONDS) -> tuple[str, str]:
    """As `sign`, with the private half of `key` that the agent holds."""
    try:
        with tempfile.TemporaryDirectory(prefix="fieldlog-key-") as folder:
            path = Path(folder) / "key.pub"
            path.write_text(f"{key}\n", encoding="utf-8")
            return sign(line, path, seconds=seconds)
    except OSError as fault:
        return "", f"there is no room for a temporary file ({fault.strerror})"


def check_signature(root: Path, line: bytes, by: str, at: datetime, body: Signature) -> str:
    """An empty text where the signature holds, else what is wrong with it in one sentence.

    It must be the person's who sealed the line, by a key that the store's allowed_signers trusted at that
    moment and that is not revoked.
    """
    if not _is_principal_of(body.principal, by):
        return f"the line was sealed by {by[:40]}, but signed by {body.principal[:40]}."
    if not _SIGNED.fullmatch(body.signature):
        return "it holds no SSH signature."
    try:
        with tempfile.TemporaryDirectory(prefix="fieldlog-check-") as folder:
            path = Path(folder) / "line.sig"
            path.write_text(body.signature, encoding="ascii")
            answer = run([*_verify(root, body.principal, at), "-s", str(path)], line)
    except OSError as fault:
        return f"it could not be checked: there is no room for a temporary file ({fault.strerror})."
    if not answer.ok:
        return f"the signature by {body.principal[:40]} does not hold: {_why_not(root, at, body)}."
    if body.key.encode() not in answer.out.split():
        return f"it names the key {body.key[:50]}, but another one signed."
    return ""


def _is_principal_of(principal: str, by: str) -> bool:
    try:
        return principal_of(by) == principal
    except InputError:
        return False


def _verify(root: Path, principal: str, at: datetime) -> Sequence[str]:
    # ssh-keygen is run in UTC; before OpenSSH 9.1 it does not know the Z that could stand here
    moment = at.astimezone(UTC).strftime("%Y%m%d%H%M%S")
    command = ["ssh-keygen", "-Y", "verify", "-f", str(root / ALLOWED), "-I", principal, "-n", NAMESPACE]
    command += ["-O", f"verify-time={moment}"]
    revoked = root / REVOKED
    return [*command, "-r", str(revoked)] if revoked.exists() else command


def _why_not(root: Path, at: datetime, body: Signature) -> str:
    """ssh-keygen says only that it could not verify; the two files tell the usual reasons."""
    if any(key.fingerprint == body.key for key in read_revoked(root)):
        return f"the key {body.key[:50]} is revoked"
    own = [signer for signer in read_signers(root) if signer.principal == body.principal]
    known = [signer for signer in own if signer.key.fingerprint == body.key]
    if not known:
        return f"the key {body.key[:50]} is unknown here as theirs"
    ended = [signer.until for signer in known if signer.until and signer.until < at.astimezone(UTC).date()]
    if ended:
        return f"the key might sign until {max(ended).isoformat()} only"
    return "the line or the signature was changed, or ssh-keygen could not check it"
