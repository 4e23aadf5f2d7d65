"""A draft is kept whole through any kill, the newest comes first, and one that does not read is set aside."""

import errno
import json
import os
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from msgspec.structs import replace

from fieldlog.domain.records import Draft
from fieldlog.errors import InputError, NotFoundError, NotSavedError, Problem, StoreError
from fieldlog.store.drafts import Drafts
from tests.store.faults import WatchedCalls
from tests.store.samples import WHEN, uid
from tests.store.test_logbooks_sessions import run
from tests.store.writing_session import draft


@pytest.fixture
def drafts(tmp_path: Path) -> Drafts:
    return Drafts(tmp_path / "store" / "drafts")


def test_a_draft_comes_back_as_it_was_typed(drafts: Drafts) -> None:
    typed = replace(
        draft(uid(1), "23"),
        head="f" * 64,
        fields={
            "place 1": "234,",
            "nested": {"list": [1, None, True, "x"]},
            "half \udc80": "\udcff\u2028\0 Žż😀",
        },
    )
    drafts.save(typed)
    assert drafts.load(uid(1)) == typed
    assert drafts.all() == ([typed], [])


def test_the_last_save_holds(drafts: Drafts) -> None:
    for typed in ("2", "23", "234"):
        drafts.save(draft(uid(1), typed))
    assert drafts.load(uid(1)).fields == {"place 1": "234"}
    assert [path.name for path in drafts.folder.iterdir()] == [f"{uid(1)}.json"]


def test_the_draft_saved_last_comes_first(drafts: Drafts) -> None:
    west = datetime.fromisoformat("2026-11-25T09:00:00-08:00")  # is 17:00 in UTC, later than the others
    times = [WHEN, WHEN + timedelta(hours=1), west, WHEN - timedelta(days=1)]
    for number, saved in enumerate(times):
        drafts.save(replace(draft(uid(number), ""), saved=saved))
    assert [found.uid for found in drafts.all()[0]] == [uid(2), uid(1), uid(0), uid(3)]


def test_nothing_is_made_before_the_first_save(drafts: Drafts) -> None:
    assert drafts.all() == ([], [])
    drafts.remove(uid(1))
    with pytest.raises(NotFoundError, match=f"there is no draft {uid(1)}"):
        drafts.load(uid(1))
    assert not drafts.folder.parent.exists()


def test_a_draft_that_is_removed_is_gone_and_may_be_removed_twice(drafts: Drafts) -> None:
    drafts.save(draft(uid(1), ""))
    drafts.save(draft(uid(2), ""))
    drafts.remove(uid(1))
    drafts.remove(uid(1))
    assert [found.uid for found in drafts.all()[0]] == [uid(2)]


@pytest.mark.parametrize("name", ["", "x", "../" + "a" * 29, "A" * 32, "a" * 31, "a" * 33, "a" * 32 + "\n"])
def test_a_uid_is_checked_before_it_becomes_a_path(drafts: Drafts, name: str) -> None:
    for use in (drafts.load, drafts.remove, lambda uid: drafts.save(draft(uid, ""))):
        with pytest.raises(InputError, match="32 hex digits"):
            use(name)
    assert not drafts.folder.exists()


BROKEN = {
    "empty": b"",
    "half": b'{"uid":"',
    "not UTF-8": b"\xff\xfe",
    "a list": b"[]",
    "too deep": b"[" * 100_000,
    "fields missing": b"{}",
    "another's": json.dumps({"uid": uid(2)}).encode(),
}


@pytest.mark.parametrize("content", BROKEN.values(), ids=BROKEN)
def test_a_draft_that_does_not_read_is_told_once_and_set_aside(drafts: Drafts, content: bytes) -> None:
    good = draft(uid(2), "kept")
    drafts.save(good)
    path = drafts.folder / f"{uid(1)}.json"
    path.write_bytes(content)
    found, problems = drafts.all()
    assert found == [good]
    assert [problem.place for problem in problems] == [f"drafts/{uid(1)}.json.broken"]
    assert problems[0].wrong.startswith("this draft does not read: ")
    assert path.with_name(path.name + ".broken").read_bytes() == content
    assert drafts.all() == ([good], [])


def test_a_draft_under_another_name_or_without_offset_is_not_taken(drafts: Drafts) -> None:
    drafts.save(draft(uid(1), ""))
    text = (drafts.folder / f"{uid(1)}.json").read_text()
    (drafts.folder / f"{uid(2)}.json").write_text(text)
    (drafts.folder / f"{uid(3)}.json").write_text(text.replace(uid(1), uid(3)).replace("Z", ""))
    found, problems = drafts.all()
    assert [held.uid for held in found] == [uid(1)]
    assert "another draft" in problems[0].wrong
    assert "offset from UTC" in problems[1].wrong


def test_what_was_set_aside_earlier_is_not_written_over(drafts: Drafts) -> None:
    drafts.folder.mkdir(parents=True)
    for content in (b"one", b"two", b"three"):
        (drafts.folder / f"{uid(1)}.json").write_bytes(content)
        drafts.all()
    aside = sorted(drafts.folder.glob("*.broken*"))
    assert [path.read_bytes() for path in aside] == [b"one", b"two", b"three"]


def test_a_draft_that_does_not_read_can_not_be_loaded(drafts: Drafts) -> None:
    drafts.folder.mkdir(parents=True)
    (drafts.folder / f"{uid(1)}.json").write_bytes(b"x")
    with pytest.raises(StoreError, match="not JSON"):
        drafts.load(uid(1))
    (drafts.folder / f"{uid(2)}.json").mkdir()
    with pytest.raises(StoreError, match="can not be read"):
        drafts.load(uid(2))
    assert (
        Problem(
            place=f"drafts/{uid(2)}.json",
            wrong="this draft can not be read (Is a directory).",
            todo="Ask whoever looks after the store for the right to read it.",
        )
        in drafts.all()[1]
    )


def test_what_could_not_be_loaded_again_is_not_saved(drafts: Drafts) -> None:
    good = draft(uid(1), "")
    naive: dict[str, Any] = {"saved": datetime(2026, 11, 25, 13, 5)}
    for change in (naive, {"fields": {"x": float("nan")}}, {"by": None}):
        with pytest.raises(InputError, match="this draft can not be kept"):
            drafts.save(replace(good, **change))


@pytest.mark.parametrize("call", ["open", "write", "fsync", "replace"])
@pytest.mark.parametrize("number", [errno.ENOSPC, errno.EIO])
def test_a_failed_save_keeps_the_earlier_draft(tmp_path: Path, call: str, number: int) -> None:
    calls = WatchedCalls()
    drafts = Drafts(tmp_path, files=calls)
    drafts.save(draft(uid(1), "old"))
    calls.fail(call, "", OSError(number, os.strerror(number)))
    with pytest.raises(NotSavedError, match="the draft was not saved: the disk"):
        drafts.save(draft(uid(1), "new"))
    assert drafts.load(uid(1)).fields == {"place 1": "old"}
    assert len(list(tmp_path.iterdir())) == 1


def test_a_store_that_can_only_be_read_says_so(tmp_path: Path) -> None:
    calls = WatchedCalls()
    calls.fail("open", ".tmp", OSError(errno.EROFS, "read-only"))
    with pytest.raises(StoreError, match="can only be read from here"):
        Drafts(tmp_path, files=calls).save(draft(uid(1), ""))


def test_a_kill_at_any_call_of_a_save_leaves_the_old_or_the_new_draft(tmp_path: Path) -> None:
    outcomes = []
    for answer in run("kill-draft-at-each-call", tmp_path, uid(1)):
        root, outcome = answer.split()
        outcomes.append(outcome)
        found, problems = Drafts(tmp_path / root).all()
        typed = [held.fields["place 1"] for held in found]
        assert (len(typed), problems) == (1, [])
        assert typed[0] in (("new",) if outcome == "saved" else ("old", "new"))
    # opened, written, synced, replaced: a kill before and after each, and half a write
    assert outcomes.count("killed") >= 9
    assert outcomes[-1] == "saved"  # the sweep went past the last call


def test_a_draft_in_a_shared_store_can_be_taken_over(tmp_path: Path) -> None:
    tmp_path.chmod(0o2770)
    drafts = Drafts(tmp_path / "drafts")
    drafts.save(draft(uid(1), ""))
    modes = [path.stat().st_mode & 0o7777 for path in (drafts.folder, drafts.folder / f"{uid(1)}.json")]
    assert modes == [0o2770, 0o660]


def test_a_fresh_draft_is_kept_as_the_program_makes_it(drafts: Drafts) -> None:
    fresh = Draft.fresh(
        uid=uid(5), kind="registration", about="", by="Ole Dahl", now=WHEN.replace(microsecond=7, tzinfo=UTC)
    )
    drafts.save(fresh)
    assert drafts.load(uid(5)) == fresh
