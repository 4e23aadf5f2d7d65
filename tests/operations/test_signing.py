"""What is sealed is signed where there is a key, and stays sealed, told as unsigned, where there is none.

The outside check is `ssh-keygen -Y verify`, run as README shows it.
"""

from hashlib import sha256
from pathlib import Path

import pytest

from fieldlog.domain.records import Signature
from fieldlog.errors import ConflictError, NotSavedError
from fieldlog.operations import signing
from fieldlog.operations.servicing import withdraw
from fieldlog.operations.shop import Shop, open_hoist
from fieldlog.operations.signing import sign_entry, sign_sealed
from fieldlog.operations.trusting import revoke_key
from tests.operations.builder import ADA, NOW, TODAY, ready_shop, register
from tests.operations.signed import counts, last, trusted, without_keys_of_the_tester
from tests.store.keys import agent, by_hand, make_key, public


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


def line_of(shop: Shop, tag: str, number: int) -> bytes:
    return (shop.root / "logbooks" / f"{tag}.jsonl").read_bytes().splitlines(keepends=True)[number - 1]


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
