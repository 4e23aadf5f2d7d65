"""The SSH agent signs with a key that may sign that day; what it does not do leaves the line unsigned."""

from collections.abc import Iterator
from datetime import timedelta
from pathlib import Path

import pytest

from fieldlog.domain.records import Signature
from fieldlog.operations.shop import Shop
from fieldlog.operations.signing import sign_entry, sign_sealed
from fieldlog.operations.trusting import revoke_key, trust_key
from fieldlog.store.signers import parse_key, revoke
from tests.operations.builder import ADA, NOW, TODAY, ready_shop, register
from tests.operations.signed import counts, fingerprint, last, trusted, without_keys_of_the_tester
from tests.store.keys import agent, make_key, public, silent_agent


@pytest.fixture(scope="module")
def key(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return make_key(tmp_path_factory.mktemp("keys"))


@pytest.fixture(autouse=True)
def _no_keys_of_the_tester(monkeypatch: pytest.MonkeyPatch) -> None:
    without_keys_of_the_tester(monkeypatch)


@pytest.fixture
def shop(tmp_path: Path) -> Shop:
    return ready_shop(tmp_path / "store")


@pytest.fixture
def tag(shop: Shop) -> str:
    return register(shop).id


@pytest.fixture
def held(tmp_path: Path, key: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Path]:
    """A key that a running agent holds, and no other."""
    with agent(tmp_path, key) as address:
        monkeypatch.setenv("SSH_AUTH_SOCK", address)
        yield key


@pytest.mark.parametrize(("days", "signs"), [(-1, False), (0, True), (1, True)])
def test_a_key_of_the_agent_signs_until_the_end_of_its_last_day(
    shop: Shop, tag: str, held: Path, days: int, signs: bool
) -> None:
    trusted(shop, make_key(shop.root.parent, "another"))
    trust_key(shop, ADA, public(held), until=TODAY + timedelta(days), by=ADA, now=NOW)
    signed = sign_sealed(shop, tag, last(shop, tag), by=ADA, now=NOW)
    assert (signed.entry is not None) == signs
    if not signs:
        key_words = f"unsigned: the SSH agent's key {fingerprint(held)}"
        assert signed.why == f"{key_words} might sign until 2026-11-24 only (fieldlog people trust)"
    assert counts(shop)[::2] == (int(signs), 0)


def test_a_key_of_the_agent_that_is_over_is_passed_over_for_one_that_may_sign(
    shop: Shop, tag: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    gone, over, good = (make_key(tmp_path, name) for name in ("gone", "over", "good"))
    trusted(shop, gone)
    trust_key(shop, ADA, public(over), until=TODAY - timedelta(1), by=ADA, now=NOW)
    revoke_key(shop, public(gone), by=ADA, now=NOW)
    trusted(shop, good)
    with agent(tmp_path, gone, over, good) as address:
        monkeypatch.setenv("SSH_AUTH_SOCK", address)
        signed = sign_entry(shop, tag, last(shop, tag), by=ADA, now=NOW)
    assert signed is not None
    assert isinstance(signed.body, Signature)
    assert signed.body.key == fingerprint(good)
    assert counts(shop)[::2] == (1, 0)


@pytest.mark.parametrize("cut", [False, True])
def test_a_revoked_key_of_the_agent_signs_nothing(shop: Shop, tag: str, held: Path, cut: bool) -> None:
    trusted(shop, make_key(shop.root.parent, "another"))
    trusted(shop, held)
    revoke_key(shop, public(held), by=ADA, now=NOW)
    if cut:
        (shop.root / "revoked_keys").unlink()
    signed = sign_sealed(shop, tag, last(shop, tag), by=ADA, now=NOW)
    assert signed.entry is None
    assert signed.why == f"unsigned: the SSH agent's key {fingerprint(held)} is revoked: make a new key"


def test_a_key_revoked_in_the_file_alone_signs_nothing(shop: Shop, tag: str, held: Path) -> None:
    """As an earlier fieldlog revoked it, without a record."""
    trusted(shop, held)
    revoke(shop.root, parse_key(public(held).read_text(), "the test"))
    signed = sign_sealed(shop, tag, last(shop, tag), by=ADA, now=NOW)
    assert "is revoked: make a new key" in signed.why


def test_without_a_key_that_may_sign_no_agent_is_asked(
    shop: Shop, tag: str, key: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    trust_key(shop, ADA, public(key), until=TODAY - timedelta(1), by=ADA, now=NOW)
    told = f"unsigned: the key {fingerprint(key)} of Ada Fenn might sign until 2026-11-24 only"
    monkeypatch.setenv("SSH_AUTH_SOCK", "/none")
    monkeypatch.setattr("fieldlog.store.ssh_keys.subprocess.Popen", lambda *_, **__: pytest.fail("started"))
    signed = sign_sealed(shop, tag, last(shop, tag), by=ADA, now=NOW)
    assert signed.why == f"{told} (fieldlog people trust)"


def test_an_agent_is_only_asked_for_keys_that_are_trusted_as_this_person_s(
    shop: Shop, tag: str, key: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    trusted(shop, make_key(tmp_path, "another"))
    with agent(tmp_path, key) as address:
        monkeypatch.setenv("SSH_AUTH_SOCK", address)
        signed = sign_sealed(shop, tag, last(shop, tag), by=ADA, now=NOW)
    assert signed.why == "unsigned: the SSH agent holds no key that is trusted as Ada Fenn's"


def test_an_agent_that_never_answers_holds_nobody_up(
    shop: Shop, tag: str, key: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    trusted(shop, key)
    with silent_agent(tmp_path) as address:
        monkeypatch.setenv("SSH_AUTH_SOCK", address)
        signed = sign_sealed(shop, tag, last(shop, tag), by=ADA, now=NOW, seconds=0.2)
    assert signed.entry is None
    assert signed.why == "unsigned: the SSH agent does not answer (waited 0.2 seconds)"


def test_an_agent_that_has_gone_is_told(
    shop: Shop, tag: str, key: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    trusted(shop, key)
    monkeypatch.setenv("SSH_AUTH_SOCK", str(tmp_path / "none"))
    signed = sign_sealed(shop, tag, last(shop, tag), by=ADA, now=NOW)
    assert signed.why.startswith("unsigned: the SSH agent can not be asked (")
