"""Who may sign stands in files of OpenSSH's own formats; what is odd is refused before it gets there.

Fingerprints are compared with `ssh-keygen -l`; that `ssh-keygen -Y verify` takes the lines is shown in
test_signatures.py.
"""

import errno
import os
import subprocess
from datetime import date
from pathlib import Path

import pytest

from fieldlog.errors import InputError, NotSavedError, StoreError
from fieldlog.store.signers import (
    PublicKey,
    Signer,
    parse_key,
    principal_of,
    read_revoked,
    read_signers,
    revoke,
    trust,
)
from tests.store.faults import WatchedCalls
from tests.store.keys import make_key, public


@pytest.fixture(scope="module")
def file(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return public(make_key(tmp_path_factory.mktemp("keys")))


@pytest.fixture(scope="module")
def key(file: Path) -> PublicKey:
    return parse_key(file.read_text(), "the test")


def test_a_fingerprint_is_the_one_that_ssh_keygen_shows(file: Path, key: PublicKey) -> None:
    told = subprocess.run(["ssh-keygen", "-lf", str(file)], capture_output=True, text=True, check=True)
    assert told.stdout.split()[1] == key.fingerprint


def test_a_key_is_read_without_its_comment(file: Path, key: PublicKey) -> None:
    assert str(key) == " ".join(file.read_text().split()[:2])


@pytest.mark.parametrize(
    "text",
    [
        "",
        "ssh-ed25519",
        "ssh-ed25519 AAAA",
        "ssh-rsa {ed}",
        "ssh-ed25519 {ed}\nssh-ed25519 {ed}",
        '* namespaces="x" ssh-ed25519 {ed}',
        "ssh-ed25519 not*base64",
    ],
)
def test_what_is_no_public_key_is_refused(key: PublicKey, text: str) -> None:
    with pytest.raises(InputError, match="holds no SSH public key"):
        parse_key(text.format(ed=key.text), "x.pub")


def test_a_private_key_is_refused_by_name(file: Path) -> None:
    with pytest.raises(InputError, match="private key"):
        parse_key(file.with_suffix("").read_text(), "x")


def test_a_person_is_called_without_spaces() -> None:
    assert principal_of("Ada Fenn") == "Ada_Fenn"
    assert principal_of(" Åse  Ørn ") == "Åse_Ørn"
    for name in ("", " ", "*", "Ada, Ben", 'Ada "A" Fenn', "!Ada", "A?a", "#Ada", "A\\da"):
        with pytest.raises(InputError, match="can not sign"):
            principal_of(name)


def test_what_was_trusted_last_holds(tmp_path: Path, key: PublicKey) -> None:
    trust(tmp_path, Signer(principal="Ada_Fenn", key=key))
    trust(tmp_path, Signer(principal="Ben", key=key, until=date(2026, 12, 31)))
    trust(tmp_path, Signer(principal="Ada_Fenn", key=key, until=date(2027, 1, 31)))
    assert read_signers(tmp_path) == [
        Signer(principal="Ben", key=key, until=date(2026, 12, 31)),
        Signer(principal="Ada_Fenn", key=key, until=date(2027, 1, 31)),
    ]
    # valid-before is the last moment that counts; its form YYYYMMDDHHMMSS is that of ssh-keygen(1)
    assert (
        'Ben namespaces="fieldlog",valid-before="20261231235959" ssh-ed25519'
        in (tmp_path / "allowed_signers").read_text()
    )


def test_lines_that_somebody_else_wrote_are_kept(tmp_path: Path, key: PublicKey) -> None:
    own = f"# ours\nops@saltmarsh.example cert-authority {key}\n"
    (tmp_path / "allowed_signers").write_text(own)
    assert read_signers(tmp_path) == []
    trust(tmp_path, Signer(principal="Ada_Fenn", key=key))
    assert f"ops@saltmarsh.example cert-authority {key}\n" in (tmp_path / "allowed_signers").read_text()


def test_a_key_is_revoked_once(tmp_path: Path, key: PublicKey) -> None:
    revoke(tmp_path, key)
    revoke(tmp_path, key)
    assert read_revoked(tmp_path) == [key]
    assert (tmp_path / "revoked_keys").read_text() == f"{key}\n"


def test_a_disk_that_refuses_leaves_the_old_list(tmp_path: Path, key: PublicKey) -> None:
    trust(tmp_path, Signer(principal="Ada_Fenn", key=key))
    before = (tmp_path / "allowed_signers").read_bytes()
    calls = WatchedCalls()
    calls.fail("fsync", ".tmp", OSError(errno.ENOSPC, os.strerror(errno.ENOSPC)))
    with pytest.raises(NotSavedError, match="allowed_signers was not saved: the disk is full"):
        trust(tmp_path, Signer(principal="Ben", key=key), files=calls)
    assert (tmp_path / "allowed_signers").read_bytes() == before


def test_a_list_that_does_not_read_is_said(tmp_path: Path) -> None:
    (tmp_path / "allowed_signers").write_bytes(b"\xff\xfe")
    with pytest.raises(StoreError, match="allowed_signers of the store can not be read"):
        read_signers(tmp_path)
