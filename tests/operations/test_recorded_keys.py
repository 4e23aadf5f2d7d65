"""Of a key that may sign the last record holds, and one that was revoked stays so whatever came after."""

from datetime import date

from fieldlog.domain.records import Entry, KeyDeed, Person, SigningKey
from fieldlog.operations.recorded_keys import recorded_keys
from tests.operations.builder import ADA, BEN, NOW


def entry(number: int, body: SigningKey | Person) -> Entry:
    return Entry(
        number=number,
        line=f"{number:064x}",
        prev="0" * 64,
        v=1,
        uid=f"{number:032x}",
        by=ADA,
        at=NOW,
        body=body,
    )


def record(
    deed: KeyDeed = KeyDeed.MAY_SIGN, key: str = "one", until: date | None = None, name: str = ADA
) -> SigningKey:
    return SigningKey(
        deed=deed,
        key=f"ssh-ed25519 {key}",
        fingerprint=f"SHA256:{key}",
        principal="_".join(name.split()),
        name=name,
        until=until,
    )


def test_people_without_keys_tell_of_none() -> None:
    told = recorded_keys([entry(1, Person(name=ADA))])
    assert (told.trusted, told.revoked) == ({}, {})


def test_the_last_record_of_a_key_and_a_person_holds() -> None:
    bodies = [record(), record(name=BEN), record(key="two"), record(until=date(2027, 1, 31))]
    told = recorded_keys(entry(number, body) for number, body in enumerate(bodies, start=1))
    assert {held: each.body.until for held, each in told.trusted.items()} == {
        ("ssh-ed25519 one", "Ada_Fenn"): date(2027, 1, 31),
        ("ssh-ed25519 one", "Ben_Sorrel"): None,
        ("ssh-ed25519 two", "Ada_Fenn"): None,
    }
    assert told.revoked == {}


def test_a_key_once_revoked_stays_so() -> None:
    bodies = [record(KeyDeed.REVOKED), record(), record(KeyDeed.REVOKED, name=BEN)]
    told = recorded_keys(entry(number, body) for number, body in enumerate(bodies, start=1))
    assert {key: each.body.name for key, each in told.revoked.items()} == {"ssh-ed25519 one": ADA}
    assert told.revoked["ssh-ed25519 one"].by == ADA
    assert told.revoked["ssh-ed25519 one"].at == NOW
