"""Proves that it is told after each thing how far it is, and that whoever is told may stop the work."""

import pytest

from fieldlog.operations.telling import telling


def test_it_is_told_after_each_thing_is_dealt_with():
    seen: list[object] = []
    for item in telling("ab", lambda done, total: seen.append((done, total))):
        seen.append(item)
    assert seen == ["a", (1, 2), "b", (2, 2)]


def test_nothing_to_go_through_and_nobody_to_tell():
    told: list[tuple[int, int]] = []
    assert list(telling((), lambda done, total: told.append((done, total)))) == []
    assert (told, list(telling("ab", None))) == ([], ["a", "b"])


def test_what_is_raised_when_told_ends_the_work():
    def stop(done: int, total: int) -> None:
        raise KeyboardInterrupt

    seen: list[str] = []
    with pytest.raises(KeyboardInterrupt):
        seen.extend(telling("ab", stop))
    assert seen == ["a"]
