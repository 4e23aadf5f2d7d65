"""What is sealed is signed where there is a key, and stays sealed, told as unsigned, where there is none.

The outside check is `ssh-keygen -Y verify`, run as README shows it.
"""

import subprocess
from collections.abc import Iterator
from datetime import datetime, timedelta, timezone
from hashlib import sha256
from pathlib import Path

import pytest
from msgspec.structs import replace

from fieldlog.domain.records import Entry, Signature
from fieldlog.errors import ConflictError, NotSavedError
from fieldlog.operations import signing
from fieldlog.operations.registering import register_hoist
from fieldlog.operations.servicing import withdraw
from fieldlog.operations.setting_up import add_person
from fieldlog.operations.shop import Shop, open_hoist, people
from fieldlog.operations.signing import sign_entry, sign_sealed
from fieldlog.operations.trusting import revoke_key, trust_key
from fieldlog.operations.verifying import verify
from fieldlog.store.signers import parse_key, revoke
from tests.operations.builder import ADA, BEN, NOW, REGISTRATION, TODAY, ready_shop, register, with_ben
from tests.store.keys import agent, by_hand, make_key, public, silent_agent


@pytest.fixture(scope="module")
def key(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return make_key(tmp_path_factory.mktemp("keys"))


@pytest.fixture(autouse=True)
def _no_keys_of_the_tester(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv("SSH_AUTH_SOCK", raising=False)
    monkeypatch.delenv("FIELDLOG_KEY", raising=False)


@pytest.fixture
def shop(tmp_path: Path) -> Shop:
    return ready_shop(tmp_path / "store")


@pytest.fixture
def held(tmp_path: Path, key: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Path]:
    """A key that a running agent holds, and no other."""
    with agent(tmp_path, key) as address:
        monkeypatch.setenv("SSH_AUTH_SOCK", address)
        yield key


@pytest.fixture
def tag(shop: Shop) -> str:
    return register(shop).id


def last(shop: Shop, tag: str) -> Entry:
    return open_hoist(shop, tag).history.entries[-1]


def trusted(shop: Shop, key: Path, **more: object) -> None:
    trust_key(shop, ADA, public(key), until=None, by=ADA, now=NOW, **more)  # type: ignore[arg-type]


def fingerprint(key: Path) -> str:
    told = subprocess.run(["ssh-keygen", "-lf", str(public(key))], capture_output=True, text=True, check=True)
    return told.stdout.split()[1]


def line_of(shop: Shop, tag: str, number: int) -> bytes:
    return (shop.root / "logbooks" / f"{tag}.jsonl").read_bytes().splitlines(keepends=True)[number - 1]


def counts(shop: Shop) -> tuple[int, int, int]:
    found = verify(shop)
    return found.signed, found.unsigned, len(found.problems)


def test_without_a_key_the_line_stands_and_is_told_as_unsigned(shop: Shop, tag: str) -> None:
    entry = last(shop, tag)
    signed = sign_sealed(shop, tag, entry, by=ADA, now=NOW)
    assert (signed.entry, signed.why) == (
        None,
        "unsigned: no key of Ada Fenn is trusted here (fieldlog people trust)",
    )
    assert last(shop, tag) == entry
    assert sign_entry(shop, tag, entry, by=ADA, now=NOW) is None
    assert counts(shop) == (0, 3, 0)


def test_without_a_key_no_program_is_started(shop: Shop, tag: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("fieldlog.store.ssh_keys.subprocess.Popen", lambda *_, **__: pytest.fail("started"))
    assert sign_entry(shop, tag, last(shop, tag), by=ADA, now=NOW) is None


@pytest.mark.parametrize("how", ["environment", "person", "agent"])
def test_a_signature_is_the_next_line_and_holds_by_hand(
    shop: Shop, key: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, how: str
) -> None:
    tag = register(shop).id
    trusted(shop, key, sign_with=str(key) if how == "person" else "")
    entry = last(shop, tag)
    if how == "environment":
        monkeypatch.setenv("FIELDLOG_KEY", str(key))
    if how == "agent":
        with agent(tmp_path, key) as address:
            monkeypatch.setenv("SSH_AUTH_SOCK", address)
            signed = sign_entry(shop, tag, entry, by=ADA, now=NOW)
    else:
        signed = sign_entry(shop, tag, entry, by=ADA, now=NOW)
    assert signed is not None
    assert (signed.number, signed.by) == (entry.number + 1, ADA)
    assert isinstance(signed.body, Signature)
    assert signed.body.line == entry.line
    line = line_of(shop, tag, entry.number)
    assert by_hand(shop.root, "Ada_Fenn", signed.body.signature, line, tmp_path)
    signed_lines, _, problems = counts(shop)
    assert (signed_lines, problems) == (1, 0)


def test_the_same_line_is_signed_once(
    shop: Shop, tag: str, key: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    trusted(shop, key)
    monkeypatch.setenv("FIELDLOG_KEY", str(key))
    entry = last(shop, tag)
    first = sign_entry(shop, tag, entry, by=ADA, now=NOW)
    assert sign_entry(shop, tag, entry, by=ADA, now=NOW) == first
    assert len(open_hoist(shop, tag).history.entries) == 2


def test_the_state_of_the_hoist_is_the_same_with_and_without_a_signature(
    shop: Shop, tag: str, key: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    trusted(shop, key)

    def facts() -> object:
        history = open_hoist(shop, tag).history
        return history.hoist, history.stops, history.chain, history.problems

    before = facts()
    monkeypatch.setenv("FIELDLOG_KEY", str(key))
    assert sign_entry(shop, tag, last(shop, tag), by=ADA, now=NOW) is not None
    assert facts() == before


def test_what_was_signed_before_a_key_was_revoked_is_told_by_verify(
    shop: Shop, tag: str, key: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("FIELDLOG_KEY", str(key))
    trusted(shop, key)
    assert sign_entry(shop, tag, last(shop, tag), by=ADA, now=NOW) is not None
    assert counts(shop)[::2] == (1, 0)
    revoke_key(shop, public(key), by=ADA, now=NOW)
    assert counts(shop)[::2] == (0, 1)


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


def test_the_line_that_is_named_is_signed_and_no_other(
    shop: Shop, key: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Others have sealed since, before and behind it."""
    tag = register(shop).id
    for reason in ("hook cracked", "chain worn", "brake slips"):
        withdraw(shop, tag, {"reason": reason}, by=ADA, now=NOW, today=TODAY)
    entry = open_hoist(shop, tag).history.entries[2]
    trusted(shop, key)
    monkeypatch.setenv("FIELDLOG_KEY", str(key))
    signed = sign_entry(shop, tag, entry, by=ADA, now=NOW)
    assert signed is not None
    assert isinstance(signed.body, Signature)
    assert (signed.number, signed.body.line) == (5, sha256(line_of(shop, tag, 3)).hexdigest())
    text = signed.body.signature
    held = [
        by_hand(shop.root, "Ada_Fenn", text, line_of(shop, tag, number), tmp_path) for number in range(1, 6)
    ]
    assert held == [False, False, True, False, False]


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


def test_a_disk_that_refuses_the_signature_leaves_the_sealed_line(
    shop: Shop, tag: str, key: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    trusted(shop, key)
    monkeypatch.setenv("FIELDLOG_KEY", str(key))
    entry = last(shop, tag)

    def refuse(*_: object, **__: object) -> None:
        raise NotSavedError("the disk is full")

    monkeypatch.setattr(signing, "append", refuse)
    signed = sign_sealed(shop, tag, entry, by=ADA, now=NOW)
    assert (signed.entry, signed.why) == (None, "unsigned: the disk is full")
    assert last(shop, tag) == entry


def test_others_may_seal_between_a_line_and_its_signature(
    shop: Shop, tag: str, key: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    trusted(shop, key)
    monkeypatch.setenv("FIELDLOG_KEY", str(key))
    entry, append, tries = last(shop, tag), signing.append, []

    def overtaken(*arguments: object, **named: object) -> object:
        tries.append(1)
        if len(tries) < 3:
            raise ConflictError("overtaken")
        return append(*arguments, **named)  # type: ignore[arg-type]

    monkeypatch.setattr(signing, "append", overtaken)
    assert sign_entry(shop, tag, entry, by=ADA, now=NOW) is not None
    assert len(tries) == 3
    tries.clear()
    monkeypatch.setattr(signing, "append", lambda *_, **__: (_ for _ in ()).throw(ConflictError("overtaken")))
    assert sign_sealed(shop, tag, entry, by=ADA, now=NOW).why == "unsigned: overtaken"


def test_a_line_that_was_changed_since_is_not_signed(
    shop: Shop, tag: str, key: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("FIELDLOG_KEY", str(key))
    entry = last(shop, tag)
    path = shop.root / "logbooks" / f"{tag}.jsonl"
    path.write_bytes(path.read_bytes().replace(b"bay 2", b"bay 3"))
    assert "is no longer what was sealed" in sign_sealed(shop, tag, entry, by=ADA, now=NOW).why
