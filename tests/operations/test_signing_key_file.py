"""A key file that verify would not believe does not sign: the line is told as unsigned, with the reason."""

from datetime import datetime, timedelta, timezone
from pathlib import Path

import pytest
from msgspec.structs import replace

from fieldlog.operations.registering import register_hoist
from fieldlog.operations.setting_up import add_person
from fieldlog.operations.shop import Shop, people
from fieldlog.operations.signing import sign_sealed
from fieldlog.operations.trusting import revoke_key, trust_key
from tests.operations.builder import ADA, BEN, NOW, REGISTRATION, TODAY, ready_shop, register, with_ben
from tests.operations.signed import fingerprint, last, trusted, without_keys_of_the_tester
from tests.store.keys import make_key, public


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


@pytest.mark.parametrize("named", ["environment", "person"])
def test_a_key_file_that_verify_would_not_believe_does_not_sign(
    shop: Shop, tag: str, key: Path, monkeypatch: pytest.MonkeyPatch, named: str
) -> None:
    entry = last(shop, tag)
    if named == "environment":
        monkeypatch.setenv("FIELDLOG_KEY", str(key))
    else:
        add_person(shop, replace(people(shop)[ADA], key_file=str(key)), by=ADA, now=NOW)
    start = f"unsigned: the key {fingerprint(key)} of {key} "

    def why() -> str:
        signed = sign_sealed(shop, tag, entry, by=ADA, now=NOW)
        assert signed.entry is None
        return signed.why

    assert why() == f"{start}is not trusted as Ada Fenn's (fieldlog people trust)"
    trust_key(shop, ADA, public(key), until=TODAY - timedelta(1), by=ADA, now=NOW)
    assert why() == f"{start}might sign until 2026-11-24 only (fieldlog people trust)"
    trusted(shop, key)
    revoke_key(shop, public(key), by=ADA, now=NOW)
    assert why() == f"{start}is revoked: make a new key"
    # the file was cut, but the record tells it still
    (shop.root / "revoked_keys").unlink()
    assert why() == f"{start}is revoked: make a new key"
    assert last(shop, tag) == entry


def test_somebody_elses_key_file_does_not_sign(
    shop: Shop, tag: str, key: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    with_ben(shop)
    trust_key(shop, BEN, public(key), until=None, by=ADA, now=NOW)
    monkeypatch.setenv("FIELDLOG_KEY", str(key))
    signed = sign_sealed(shop, tag, last(shop, tag), by=ADA, now=NOW)
    assert "is not trusted as Ada Fenn's" in signed.why


def test_a_public_half_that_lies_beside_another_private_key_does_not_sign(
    shop: Shop, tag: str, key: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    trusted(shop, key)
    strange = make_key(tmp_path, "strange")
    public(strange).write_text(public(key).read_text())
    monkeypatch.setenv("FIELDLOG_KEY", str(strange))
    signed = sign_sealed(shop, tag, last(shop, tag), by=ADA, now=NOW)
    assert signed.entry is None
    assert signed.why.startswith("unsigned: ")


def test_a_signature_that_verify_would_not_believe_for_any_other_reason_is_not_sealed(
    shop: Shop, tag: str, key: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A line that ssh-keygen can not read in revoked_keys makes it believe nothing."""
    trusted(shop, key)
    (shop.root / "revoked_keys").write_text("ssh-ed25519 AAAA\n")
    monkeypatch.setenv("FIELDLOG_KEY", str(key))
    signed = sign_sealed(shop, tag, last(shop, tag), by=ADA, now=NOW)
    assert signed.entry is None
    assert signed.why.startswith("unsigned: the signature by Ada_Fenn does not hold: ")


def test_the_day_of_the_line_counts_in_utc_as_verify_takes_it(
    shop: Shop, key: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Sealed on the 25th where it was done, which is the 26th in UTC: the key's day is over."""
    west = datetime(2026, 11, 25, 20, 0, tzinfo=timezone(timedelta(hours=-8)))
    tag = register_hoist(shop, REGISTRATION, by=ADA, now=west, today=TODAY, uid="a" * 32).id
    trust_key(shop, ADA, public(key), until=TODAY, by=ADA, now=NOW)
    monkeypatch.setenv("FIELDLOG_KEY", str(key))
    signed = sign_sealed(shop, tag, last(shop, tag), by=ADA, now=west)
    assert "might sign until 2026-11-25 only" in signed.why


@pytest.mark.parametrize("named", ["none", "a private key without its public half"])
def test_a_key_file_that_is_not_there_leaves_the_line_unsigned(
    shop: Shop, tag: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, named: str
) -> None:
    path = tmp_path / "none"
    if named != "none":
        path = make_key(tmp_path, "half")
        public(path).unlink()
    monkeypatch.setenv("FIELDLOG_KEY", str(path))
    signed = sign_sealed(shop, tag, last(shop, tag), by=ADA, now=NOW)
    assert signed.entry is None
    assert f"unsigned: the public key {path}.pub can not be read" in signed.why
