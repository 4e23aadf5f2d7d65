"""A signature made by ssh-keygen holds for exactly the bytes, person, key and time that it is for.

The outside check is ssh-keygen itself (OpenSSH, ssh-keygen(1): -Y sign, -Y verify), run as README shows it.
"""

import errno
import os
from collections.abc import Callable
from datetime import UTC, date, datetime
from pathlib import Path

import pytest
from msgspec.structs import replace

from fieldlog.domain.records import Signature
from fieldlog.store.signatures import agent_keys, ask_agent, check_signature, sign, sign_with_agent
from fieldlog.store.signers import PublicKey, Signer, parse_key, revoke, trust
from fieldlog.store.ssh_keys import run
from tests.store.keys import agent, by_hand, make_key, public, silent_agent

LINE = b'{"v":1,"prev":"00","uid":"01"}\n'
AT = datetime(2026, 11, 25, 12, 0, tzinfo=UTC)
ADA = "Ada Fenn"


@pytest.fixture(scope="module")
def key(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return make_key(tmp_path_factory.mktemp("keys"))


@pytest.fixture(scope="module")
def other(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return make_key(tmp_path_factory.mktemp("keys"))


@pytest.fixture(scope="module")
def body(key: Path) -> Signature:
    text, why = sign(LINE, key)
    assert why == ""
    return Signature(line="0" * 64, principal="Ada_Fenn", key=of(key).fingerprint, signature=text)


@pytest.fixture
def check(tmp_path: Path, key: Path, body: Signature) -> Callable[..., str]:
    """The check in a store that trusts Ada's key; what is named differs from the case that holds."""
    trust(tmp_path, Signer(principal="Ada_Fenn", key=of(key)))

    def holds(line: bytes = LINE, by: str = ADA, at: datetime = AT, **changes: str) -> str:
        return check_signature(tmp_path, line, by, at, replace(body, **changes))

    return holds


def of(key: Path) -> PublicKey:
    return parse_key(public(key).read_text(), "the test")


def test_a_signature_holds_here_and_by_hand(
    tmp_path: Path, check: Callable[..., str], body: Signature
) -> None:
    assert check() == ""
    assert by_hand(tmp_path, "Ada_Fenn", body.signature, LINE, tmp_path)
    assert not by_hand(tmp_path, "Ada_Fenn", body.signature, LINE.replace(b"01", b"02"), tmp_path)


@pytest.mark.parametrize("place", range(0, len(LINE), 5))
def test_another_line_is_not_what_was_signed(check: Callable[..., str], place: int) -> None:
    changed = bytearray(LINE)
    changed[place] ^= 1
    assert "was changed" in check(line=bytes(changed))


def test_it_is_the_signature_of_who_sealed_the_line(check: Callable[..., str]) -> None:
    assert check(by="Ben Sorrel") == "the line was sealed by Ben Sorrel, but signed by Ada_Fenn."
    assert "but signed by Ben_Sorrel" in check(principal="Ben_Sorrel")
    # a name that could be a pattern is never matched
    assert "but signed by" in check(by="*", principal="*")


def test_an_unknown_key_is_told(check: Callable[..., str], other: Path) -> None:
    text, _ = sign(LINE, other)
    told = check(signature=text, key=of(other).fingerprint)
    assert "is unknown here as theirs" in told


def test_a_signature_that_names_another_key_is_told(check: Callable[..., str], other: Path) -> None:
    assert "another one signed" in check(key=of(other).fingerprint)


def test_nothing_but_a_signature_is_one(check: Callable[..., str], body: Signature) -> None:
    assert check(signature="") == "it holds no SSH signature."
    assert check(signature=body.signature + "x") == "it holds no SSH signature."
    middle = body.signature.splitlines()
    middle[2] = middle[2][::-1]
    assert check(signature="\n".join(middle) + "\n") != ""


def test_another_namespace_does_not_hold(tmp_path: Path, key: Path, body: Signature) -> None:
    trust(tmp_path, Signer(principal="Ada_Fenn", key=of(key)))
    foreign = run(["ssh-keygen", "-Y", "sign", "-f", str(key), "-n", "file"], LINE).out.decode()
    assert check_signature(tmp_path, LINE, ADA, AT, replace(body, signature=foreign)) != ""


@pytest.mark.parametrize(
    ("until", "holds"), [(date(2026, 11, 24), False), (date(2026, 11, 25), True), (date(2026, 11, 26), True)]
)
def test_a_key_signs_until_the_end_of_its_last_day(
    tmp_path: Path, key: Path, body: Signature, until: date, holds: bool
) -> None:
    trust(tmp_path, Signer(principal="Ada_Fenn", key=of(key), until=until))
    last, first = AT.replace(hour=23, minute=59, second=59), AT.replace(hour=0)
    for moment in (first, AT, last):
        told = check_signature(tmp_path, LINE, ADA, moment, body)
        assert (told == "") == holds, told
    if not holds:
        assert f"until {until.isoformat()} only" in told


def test_a_revoked_key_never_holds(tmp_path: Path, check: Callable[..., str], key: Path) -> None:
    revoke(tmp_path, of(key))
    assert "is revoked" in check()


def test_without_anybody_who_may_sign_nothing_holds(tmp_path: Path, body: Signature) -> None:
    assert "is unknown here" in check_signature(tmp_path, LINE, ADA, AT, body)


def test_the_agent_s_keys_are_seen_and_sign(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, key: Path, body: Signature, check: Callable[..., str]
) -> None:
    with agent(tmp_path, key) as address:
        monkeypatch.setenv("SSH_AUTH_SOCK", address)
        assert agent_keys() == (of(key),)
        text, why = sign_with_agent(LINE, of(key))
    assert why == ""
    assert check(signature=text) == ""
    # the agent has gone
    assert agent_keys() == ()
    assert ask_agent().why.startswith("the SSH agent can not be asked (")
    assert sign_with_agent(LINE, of(key))[0] == ""


def test_an_agent_that_holds_no_key_is_no_fault(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    with agent(tmp_path) as address:
        monkeypatch.setenv("SSH_AUTH_SOCK", address)
        assert (ask_agent().keys, ask_agent().why) == ((), "")


def test_an_agent_that_never_answers_does_not_hold_anybody_up_and_is_told(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, key: Path
) -> None:
    with silent_agent(tmp_path) as address:
        monkeypatch.setenv("SSH_AUTH_SOCK", address)
        assert agent_keys(seconds=0.2) == ()
        assert ask_agent(seconds=0.2).why == "the SSH agent does not answer (waited 0.2 seconds)"
        text, why = sign_with_agent(LINE, of(key), seconds=0.2)
    assert text == ""
    assert why == "no signature came within 0.2 seconds: the SSH agent or the key did not answer"


def test_a_host_without_room_for_a_temporary_file_is_said(
    monkeypatch: pytest.MonkeyPatch, key: Path, check: Callable[..., str]
) -> None:
    def refuse(**_: object) -> None:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    monkeypatch.setattr("fieldlog.store.signatures.tempfile.TemporaryDirectory", refuse)
    text, why = sign_with_agent(LINE, of(key))
    assert (text, why) == ("", "there is no room for a temporary file (No space left on device)")
    assert check() == (
        "it could not be checked: there is no room for a temporary file (No space left on device)."
    )


def test_a_key_with_a_passphrase_asks_nobody(tmp_path: Path) -> None:
    locked = make_key(tmp_path, passphrase="saltmarsh")
    text, why = sign(LINE, locked, seconds=5)
    assert text == ""
    assert why != ""


def test_a_key_that_is_not_there_is_said(tmp_path: Path) -> None:
    text, why = sign(LINE, tmp_path / "none")
    assert (text, why != "") == ("", True)


@pytest.mark.parametrize(("day", "holds"), [(1, True), (2, False)])
def test_what_was_signed_in_time_holds_for_ever(
    tmp_path: Path, key: Path, body: Signature, day: int, holds: bool
) -> None:
    """The moment of sealing counts, and not the day on which somebody verifies."""
    trust(tmp_path, Signer(principal="Ada_Fenn", key=of(key), until=date(2020, 1, 1)))
    sealed = datetime(2020, 1, day, 12, tzinfo=UTC)
    assert (check_signature(tmp_path, LINE, ADA, sealed, body) == "") == holds
