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

from fieldlog.errors import InputError, LockedError, NotSavedError, RefusedError, StoreError
from fieldlog.store.files import FileCalls
from fieldlog.store.locks import hold
from fieldlog.store.signers import (
    PublicKey,
    Signer,
    parse_key,
    principal_of,
    read_revoked,
    read_signers,
    revoke,
    revoked_rows,
    signer_rows,
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


def test_a_day_that_there_is_not_is_no_last_day(tmp_path: Path, key: PublicKey) -> None:
    row = f'Ada_Fenn namespaces="fieldlog",valid-before="20260231235959" {key}\n'
    (tmp_path / "allowed_signers").write_text(row)
    assert read_signers(tmp_path) == []


def test_lines_are_numbered_as_they_stand_and_odd_ones_are_empty(tmp_path: Path, key: PublicKey) -> None:
    ada = f'Ada_Fenn namespaces="fieldlog" {key}'
    (tmp_path / "allowed_signers").write_bytes(f"# ours\n\n{ada}\r\n\x0b#\n  # ours\n".encode())
    (tmp_path / "revoked_keys").write_text(f"\nserial: 1\n{key} old laptop\n")
    signer = Signer(principal="Ada_Fenn", key=key)
    # a vertical tab is no blank for ssh-keygen, so that what follows it is no comment
    assert [(row.number, row.signer, row.key) for row in signer_rows(tmp_path)] == [
        (3, signer, key),
        (4, None, None),
    ]
    assert [(row.number, row.key) for row in revoked_rows(tmp_path)] == [(2, None), (3, key)]


@pytest.mark.parametrize("name", ["allowed_signers", "revoked_keys"])
def test_nobody_else_changes_a_list_from_its_reading_to_its_end(
    tmp_path: Path, key: PublicKey, name: str
) -> None:
    """Two sessions at once are in test_trusting.py; here the lock is looked at when it must be held."""
    seen: list[str] = []

    def locked(moment: str) -> None:
        with pytest.raises(LockedError), hold(tmp_path / "locks" / f"{name}.lock", "the test", seconds=0):
            pass
        seen.append(moment)

    class Looking(FileCalls):
        def replace(self, old: Path, new: Path) -> None:
            locked("replace")
            super().replace(old, new)

    if name == "allowed_signers":
        signer = Signer(principal="Ada_Fenn", key=key)
        trust(tmp_path, signer, before=lambda: locked("before"), files=Looking())
        assert seen == ["before", "replace"]
    else:
        revoke(tmp_path, key, after=lambda: locked("after"), files=Looking())
        assert seen == ["replace", "after"]
    with hold(tmp_path / "locks" / f"{name}.lock", "the test", seconds=0):
        pass


def test_what_comes_before_may_refuse_and_leaves_the_list(tmp_path: Path, key: PublicKey) -> None:
    trust(tmp_path, Signer(principal="Ada_Fenn", key=key))
    before = (tmp_path / "allowed_signers").read_bytes()

    def refuse() -> None:
        raise RefusedError("not this one")

    with pytest.raises(RefusedError, match="not this one"):
        trust(tmp_path, Signer(principal="Ben", key=key), before=refuse)
    assert (tmp_path / "allowed_signers").read_bytes() == before


def test_what_comes_after_finds_the_key_revoked_on_the_disk(tmp_path: Path, key: PublicKey) -> None:
    calls, found = WatchedCalls(), []

    def look() -> None:
        found.append((read_revoked(tmp_path), calls.seen[-2:]))

    revoke(tmp_path, key, after=look, files=calls)
    # the name of a file is on the disk when its folder is: fsync(2), notes
    assert found == [([key], [("replace", "revoked_keys"), ("fsync", "folder")])]
    calls.fail("replace", "revoked_keys", OSError(errno.ENOSPC, os.strerror(errno.ENOSPC)))
    with pytest.raises(NotSavedError):
        revoke(tmp_path, key, after=look, files=calls)
    assert len(found) == 1
