"""Lines that others seal are told once each, with who and what; a look at an unchanged file reads nothing."""

from pathlib import Path

import pytest

from fieldlog.operations.meanwhile import Meanwhile, meanwhile_words
from fieldlog.operations.servicing import withdraw
from fieldlog.operations.shop import Shop, new_uid, open_hoist
from fieldlog.store.logbooks import Logbooks
from tests.tui.builder import ADA, BERT, MORNING, TODAY, inspected, ready_shop, with_hoist


@pytest.fixture
def shop(tmp_path: Path) -> Shop:
    return ready_shop(tmp_path)


@pytest.fixture
def tag(shop: Shop) -> str:
    return with_hoist(shop)


def _withdrawn(shop: Shop, tag: str, by: str = BERT) -> None:
    texts = {"reason": "hook bent", "lock": "", "done_on": TODAY.isoformat()}
    withdraw(shop, tag, texts, by=by, now=MORNING, today=TODAY, uid=new_uid())


def test_what_was_there_is_known_and_what_follows_is_told_once(shop: Shop, tag: str) -> None:
    meanwhile = Meanwhile(shop, open_hoist(shop, tag))
    assert meanwhile.look() == ()
    _withdrawn(shop, tag)
    fresh = meanwhile.look()
    assert meanwhile_words(fresh) == f"Sealed meanwhile by {BERT}: withdrawal, line 2."
    assert meanwhile.look() == ()


def test_what_was_sealed_between_the_reading_and_the_first_look_is_told(shop: Shop, tag: str) -> None:
    meanwhile = Meanwhile(shop, open_hoist(shop, tag))
    inspected(shop, tag)
    assert [entry.number for entry in meanwhile.look()] == [2]


def test_an_older_draft_hears_of_all_since_its_head(shop: Shop, tag: str) -> None:
    head = open_hoist(shop, tag).head
    inspected(shop, tag, by=ADA)
    _withdrawn(shop, tag)
    words = meanwhile_words(Meanwhile(shop, open_hoist(shop, tag), head=head).look())
    assert words == f"Sealed meanwhile by {ADA}: inspection, line 2; by {BERT}: withdrawal, line 3."


def test_of_many_lines_the_last_two_are_named(shop: Shop, tag: str) -> None:
    meanwhile = Meanwhile(shop, open_hoist(shop, tag))
    inspected(shop, tag)
    inspected(shop, tag)
    _withdrawn(shop, tag)
    words = meanwhile_words(meanwhile.look())
    expected = f"by {ADA}: inspection, line 3; by {BERT}: withdrawal, line 4; and 1 before."
    assert words == f"Sealed meanwhile {expected}"


def test_an_unchanged_file_is_not_read_again(shop: Shop, tag: str, monkeypatch: pytest.MonkeyPatch) -> None:
    meanwhile = Meanwhile(shop, open_hoist(shop, tag))
    meanwhile.look()

    def refuse(*_: object) -> None:
        raise AssertionError("it was read")

    monkeypatch.setattr(Logbooks, "read", refuse)
    assert meanwhile.look() == ()


def test_who_follows_the_others_has_seen_their_lines(shop: Shop, tag: str) -> None:
    meanwhile = Meanwhile(shop, open_hoist(shop, tag))
    _withdrawn(shop, tag)
    meanwhile.all_known(open_hoist(shop, tag))
    assert meanwhile.look() == ()


def test_a_file_that_is_gone_tells_nothing(shop: Shop, tag: str) -> None:
    meanwhile = Meanwhile(shop, open_hoist(shop, tag))
    (shop.logbooks.root / "logbooks" / f"{tag}.jsonl").unlink()
    assert meanwhile.look() == ()
