"""Keys that are trusted as Ada Fenn's, and what stands signed in the logbooks of her shop."""

import subprocess
from pathlib import Path

import pytest

from fieldlog.domain.records import Entry
from fieldlog.operations.shop import Shop, open_hoist
from fieldlog.operations.trusting import trust_key
from fieldlog.operations.verifying import verify
from tests.operations.builder import ADA, NOW
from tests.store.keys import public


def without_keys_of_the_tester(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv("SSH_AUTH_SOCK", raising=False)
    monkeypatch.delenv("FIELDLOG_KEY", raising=False)


def last(shop: Shop, tag: str) -> Entry:
    return open_hoist(shop, tag).history.entries[-1]


def trusted(shop: Shop, key: Path, **more: object) -> None:
    trust_key(shop, ADA, public(key), until=None, by=ADA, now=NOW, **more)  # type: ignore[arg-type]


def fingerprint(key: Path) -> str:
    told = subprocess.run(["ssh-keygen", "-lf", str(public(key))], capture_output=True, text=True, check=True)
    return told.stdout.split()[1]


def counts(shop: Shop) -> tuple[int, int, int]:
    found = verify(shop)
    return found.signed, found.unsigned, len(found.problems)
