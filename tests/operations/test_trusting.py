"""Who may sign is recorded for people of the shop, one key a person, and never for a revoked key.

Each change stands in the file that ssh-keygen goes by and in a sealed record, also where a session was killed
in between and the command was given again, and where several sessions change them at once.
"""

import errno
import os
import subprocess
import sys
from datetime import timedelta
from pathlib import Path

import pytest
from msgspec.structs import replace

from fieldlog.domain.records import KeyDeed, Person, SigningKey
from fieldlog.errors import ConflictError, InputError, NotFoundError, NotSavedError, RefusedError, StoreError
from fieldlog.operations import signing
from fieldlog.operations.recorded_keys import recorded_keys
from fieldlog.operations.setting_up import add_person
from fieldlog.operations.shop import Shop, open_shop, people
from fieldlog.operations.signing import checked_principal
from fieldlog.operations.trusting import revoke_key, signers_by_person, trust_key
from fieldlog.operations.trusting_checks import trust_problems
from fieldlog.store.logbooks import Logbooks
from fieldlog.store.signers import read_revoked, read_signers
from tests.operations.builder import ADA, BEN, NOW, TODAY, ready_shop, with_ben
from tests.operations.trusting_session import MOST_CALLS, revoke, trust
from tests.store.faults import WatchedCalls
from tests.store.keys import make_key, public
from tests.store.writing_session import MOMENTS

REPOSITORY = Path(__file__).parents[2]


@pytest.fixture(scope="module")
def key(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return make_key(tmp_path_factory.mktemp("keys"))


@pytest.fixture
def shop(tmp_path: Path) -> Shop:
    return ready_shop(tmp_path / "store")


def trusted(shop: Shop, key: Path, **more: str) -> None:
    trust_key(shop, ADA, public(key), until=None, by=ADA, now=NOW, **more)


def revoked(shop: Shop, key: Path) -> None:
    revoke_key(shop, public(key), by=ADA, now=NOW)


def records(shop: Shop) -> list[SigningKey]:
    bodies = [entry.body for entry in shop.logbooks.read("people").entries]
    return [body for body in bodies if isinstance(body, SigningKey)]


def problems(shop: Shop) -> list[str]:
    entries = Logbooks(shop.root).read("people").entries
    return [str(problem) for problem in trust_problems(shop.root, entries)]


def session(*arguments: object) -> str:
    command = [sys.executable, "-m", "tests.operations.trusting_session", *map(str, arguments)]
    done = subprocess.run(command, cwd=REPOSITORY, capture_output=True, text=True, check=True, timeout=300)
    return done.stdout


def text_of(key: Path) -> str:
    """Type and text of the public key as ssh-keygen wrote them, without the comment."""
    return " ".join(public(key).read_text().split()[:2])


def fingerprint(key: Path) -> str:
    told = subprocess.run(["ssh-keygen", "-lf", str(public(key))], capture_output=True, text=True, check=True)
    return told.stdout.split()[1]


def test_people_and_their_keys_are_listed(shop: Shop, key: Path) -> None:
    with_ben(shop)
    trust_key(shop, ADA, public(key), until=TODAY, by=ADA, now=NOW)
    ada, ben = signers_by_person(shop)
    assert (ada.person.name, ben.person.name, ben.keys) == (ADA, BEN, ())
    assert ada.keys[0].endswith(f", may sign until {TODAY.isoformat()}")
    revoked(shop, key)
    assert signers_by_person(shop)[0].keys[0].endswith(", revoked")


def test_a_key_is_one_person_s(shop: Shop, key: Path) -> None:
    with_ben(shop)
    trusted(shop, key)
    with pytest.raises(RefusedError, match="signs for Ada_Fenn already"):
        trust_key(shop, BEN, public(key), until=None, by=ADA, now=NOW)


def test_a_revoked_key_is_not_trusted_again(shop: Shop, key: Path) -> None:
    revoked(shop, key)
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
    # the first start, the key and the person with the file
    assert len(shop.logbooks.read("people").entries) == 3


def test_a_trusted_key_is_sealed_whole_and_once(shop: Shop, key: Path) -> None:
    for until in (TODAY, TODAY, None):
        trust_key(shop, ADA, public(key), until=until, by=ADA, now=NOW)
    first, second = records(shop)
    assert first == SigningKey(
        deed=KeyDeed.MAY_SIGN,
        key=text_of(key),
        fingerprint=fingerprint(key),
        principal="Ada_Fenn",
        name=ADA,
        until=TODAY,
    )
    assert second == replace(first, until=None)
    assert shop.logbooks.read("people").entries[-1].by == ADA
    assert problems(shop) == []


def test_a_revoked_key_is_sealed_whole_and_once_with_whose_it_was(
    shop: Shop, key: Path, tmp_path: Path
) -> None:
    nobodys = make_key(tmp_path)
    trusted(shop, key)
    for _ in range(2):
        revoked(shop, key)
        revoked(shop, nobodys)
    _, first, second = records(shop)
    assert first == SigningKey(
        deed=KeyDeed.REVOKED,
        key=text_of(key),
        fingerprint=fingerprint(key),
        principal="Ada_Fenn",
        name=ADA,
    )
    assert (second.key, second.principal, second.name) == (text_of(nobodys), "", "")
    assert problems(shop) == []


def test_whose_a_key_was_is_known_from_a_file_without_a_record_too(shop: Shop, key: Path) -> None:
    """A store of an earlier fieldlog, which sealed nothing of keys."""
    (shop.root / "allowed_signers").write_text(f'Ada_Fenn namespaces="fieldlog" {text_of(key)}\n')
    revoked(shop, key)
    assert [body.name for body in records(shop)] == [ADA]
    assert problems(shop) == []


def test_only_somebody_of_the_shop_revokes(shop: Shop, key: Path) -> None:
    with pytest.raises(RefusedError, match="not among the shop's people"):
        revoke_key(shop, public(key), by="Nobody", now=NOW)
    assert not (shop.root / "revoked_keys").exists()
    assert records(shop) == []


def test_what_a_record_tells_holds_where_the_files_were_cut(shop: Shop, key: Path) -> None:
    with_ben(shop)
    trusted(shop, key)
    (shop.root / "allowed_signers").unlink()
    with pytest.raises(RefusedError, match="signs for Ada_Fenn already"):
        trust_key(shop, BEN, public(key), until=None, by=ADA, now=NOW)
    trusted(shop, key)
    revoked(shop, key)
    (shop.root / "revoked_keys").unlink()
    assert signers_by_person(shop)[0].keys[0].endswith(", revoked")
    with pytest.raises(RefusedError, match="is revoked: make a new key"):
        trusted(shop, key)


def test_a_key_that_the_store_knows_is_named_by_its_fingerprint(shop: Shop, key: Path) -> None:
    trusted(shop, key)
    (shop.root / "allowed_signers").unlink()
    trust_key(shop, ADA, fingerprint(key), until=None, by=ADA, now=NOW)
    assert [str(signer.key) for signer in read_signers(shop.root)] == [text_of(key)]
    revoke_key(shop, fingerprint(key), by=ADA, now=NOW)
    (shop.root / "revoked_keys").unlink()
    (shop.root / "allowed_signers").unlink()
    revoke_key(shop, fingerprint(key), by=ADA, now=NOW)
    assert [str(gone) for gone in read_revoked(shop.root)] == [text_of(key)]
    assert problems(shop) == []
    with pytest.raises(NotFoundError, match="no key SHA256:none is known here"):
        revoke_key(shop, "SHA256:none", by=ADA, now=NOW)


@pytest.mark.parametrize("deed", ["trust", "revoke"])
def test_a_deed_that_was_killed_errs_on_the_safe_side_and_is_completed_by_the_same_again(
    shop: Shop, key: Path, tmp_path: Path, deed: str
) -> None:
    told = session("kill", deed, tmp_path / "killed", shop.root, public(key)).split()
    ends = dict(zip(told[::2], told[1::2], strict=True))
    assert len(ends) == len(MOMENTS) * (MOST_CALLS - 1)
    assert all(ends[f"{moment}-{MOST_CALLS - 1}"] == "done" for moment in MOMENTS)
    seen = set()
    for name in ends:
        at = open_shop(tmp_path / "killed" / name)
        by_file = [*read_revoked(at.root), *(signer.key for signer in read_signers(at.root))] != []
        by_record = records(at) != []
        seen.add((by_record, by_file))
        assert (problems(at) == []) == (by_record == by_file)
        {"trust": trust, "revoke": revoke}[deed](at, str(public(key)))
        assert problems(at) == []
        assert len(records(at)) == 1
        assert len((*read_revoked(at.root), *read_signers(at.root))) == 1
    # a key that may sign is never in the file alone, and a revoked one never in the record alone
    between = (True, False) if deed == "trust" else (False, True)
    assert seen == {(False, False), between, (True, True)}


def test_sessions_that_trust_at_once_leave_every_key(shop: Shop, tmp_path: Path) -> None:
    keys = [make_key(tmp_path, f"key-{number}") for number in range(8)]
    session("once", shop.root, *(public(key) for key in keys))
    assert {str(signer.key) for signer in read_signers(shop.root)} == {text_of(key) for key in keys}
    assert {body.key for body in records(shop)} == {text_of(key) for key in keys}
    assert problems(shop) == []


def test_a_record_that_is_refused_lets_nobody_sign(shop: Shop, key: Path) -> None:
    watched = WatchedCalls()
    watched.fail("write", "people.jsonl", OSError(errno.ENOSPC, os.strerror(errno.ENOSPC)))
    with pytest.raises(NotSavedError, match="people was not saved"):
        trusted(replace(shop, logbooks=Logbooks(shop.root, files=watched)), key)
    assert read_signers(shop.root) == []


def test_a_key_is_revoked_even_where_the_record_is_refused_and_that_is_said(shop: Shop, key: Path) -> None:
    trusted(shop, key)
    watched = WatchedCalls()
    watched.fail("write", "people.jsonl", OSError(errno.ENOSPC, os.strerror(errno.ENOSPC)))
    said = f"{fingerprint(key)} is revoked, but the record that tells it was not sealed .*: put that right"
    with pytest.raises(StoreError, match=said.replace("+", r"\+")):
        revoked(replace(shop, logbooks=Logbooks(shop.root, files=watched)), key)
    assert [str(gone) for gone in read_revoked(shop.root)] == [text_of(key)]
    revoked(shop, key)
    assert problems(shop) == []


def test_a_record_goes_behind_what_others_seal_meanwhile(
    shop: Shop, key: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    append, tries = signing.append, []

    def overtaken(*arguments: object, **named: object) -> object:
        tries.append(1)
        if len(tries) < 3:
            raise ConflictError("overtaken")
        return append(*arguments, **named)  # type: ignore[arg-type]

    monkeypatch.setattr(signing, "append", overtaken)
    trusted(shop, key)
    assert len(tries) == 3
    assert problems(shop) == []


def test_a_key_revoked_in_the_moment_it_is_trusted_stays_revoked(shop: Shop, key: Path) -> None:
    """The record of trust may come last; the key is refused all the same when the file is gone."""
    revoked(shop, key)
    body = replace(records(shop)[0], deed=KeyDeed.MAY_SIGN, principal="Ada_Fenn", name=ADA)
    signing.append_in_turn(shop, "people", body, by=ADA, now=NOW + timedelta(1), uid="1" * 32)
    (shop.root / "revoked_keys").unlink()
    assert "was revoked by Ada Fenn on 2026-11-25, but does not stand here" in problems(shop)[0]
    with pytest.raises(RefusedError, match="is revoked"):
        trusted(shop, key)


def test_what_an_earlier_fieldlog_sealed_of_people_is_read_as_before(shop: Shop) -> None:
    entries = shop.logbooks.read("people").entries
    assert recorded_keys(entries) == recorded_keys([])
    assert problems(shop) == []
