"""Who may sign is recorded for people of the shop, one key a person, and never for a revoked key."""

from pathlib import Path

import pytest

from fieldlog.domain.records import Person
from fieldlog.errors import InputError, NotFoundError, RefusedError
from fieldlog.operations.setting_up import add_person
from fieldlog.operations.shop import Shop, people
from fieldlog.operations.signing import checked_principal
from fieldlog.operations.trusting import revoke_key, signers_by_person, trust_key
from tests.operations.builder import ADA, BEN, NOW, TODAY, ready_shop, with_ben
from tests.store.keys import make_key, public


@pytest.fixture(scope="module")
def key(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return make_key(tmp_path_factory.mktemp("keys"))


@pytest.fixture
def shop(tmp_path: Path) -> Shop:
    return ready_shop(tmp_path / "store")


def trusted(shop: Shop, key: Path, **more: str) -> None:
    trust_key(shop, ADA, public(key), until=None, by=ADA, now=NOW, **more)


def test_people_and_their_keys_are_listed(shop: Shop, key: Path) -> None:
    with_ben(shop)
    trust_key(shop, ADA, public(key), until=TODAY, by=ADA, now=NOW)
    ada, ben = signers_by_person(shop)
    assert (ada.person.name, ben.person.name, ben.keys) == (ADA, BEN, ())
    assert ada.keys[0].endswith(f", may sign until {TODAY.isoformat()}")
    revoke_key(shop, public(key))
    assert signers_by_person(shop)[0].keys[0].endswith(", revoked")


def test_a_key_is_one_person_s(shop: Shop, key: Path) -> None:
    with_ben(shop)
    trusted(shop, key)
    with pytest.raises(RefusedError, match="signs for Ada_Fenn already"):
        trust_key(shop, BEN, public(key), until=None, by=ADA, now=NOW)


def test_a_revoked_key_is_not_trusted_again(shop: Shop, key: Path) -> None:
    revoke_key(shop, public(key))
    with pytest.raises(RefusedError, match="is revoked: make a new key"):
        trusted(shop, key)


def test_a_stranger_is_neither_trusted_nor_trusts(shop: Shop, key: Path) -> None:
    with pytest.raises(NotFoundError, match="not among the shop's people: Ada Fenn"):
        trust_key(shop, "Nobody", public(key), until=None, by=ADA, now=NOW)
    with pytest.raises(RefusedError, match="not among the shop's people"):
        trust_key(shop, ADA, public(key), until=None, by="Nobody", now=NOW)


def test_two_people_who_would_sign_alike_are_told(shop: Shop) -> None:
    add_person(shop, Person(name="Ada  Fenn"), by=ADA, now=NOW)
    with pytest.raises(InputError, match="would sign under one name"):
        checked_principal(shop, ADA)


def test_a_file_that_is_not_there_is_said(shop: Shop, tmp_path: Path) -> None:
    with pytest.raises(NotFoundError, match="can not be read"):
        trust_key(shop, ADA, tmp_path / "none.pub", until=None, by=ADA, now=NOW)


def test_the_key_file_to_sign_with_goes_into_the_person_s_record_once(shop: Shop, key: Path) -> None:
    for _ in range(2):
        trusted(shop, key, sign_with="~/.ssh/id_ed25519")
    assert people(shop)[ADA].key_file == "~/.ssh/id_ed25519"
    assert people(shop)[ADA].qualification == "hoist fitter"
    assert len(shop.logbooks.read("people").entries) == 2
