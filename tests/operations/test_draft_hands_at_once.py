"""Two sessions that keep the same draft at the same moment: both texts survive, and nobody waits at a key."""

import subprocess
import sys
import time
from pathlib import Path

import pytest

from fieldlog.domain.records import Draft
from fieldlog.errors import LockedError
from fieldlog.operations.draft_hands import IN_HAND, keep_fields, take_over, throw_away
from fieldlog.operations.drafting import begin_form, kept_drafts, save_fields
from fieldlog.operations.shop import Shop, open_shop
from tests.operations.builder import ADA, NOW

REPOSITORY = Path(__file__).parents[2]
HOLDER = """
import sys
from pathlib import Path
from fieldlog.operations.shop import open_shop
with open_shop(Path(sys.argv[1])).drafts.held(sys.argv[2]):
    print("held", flush=True)
    sys.stdin.read()
"""
TYPIST = """
import sys, time
from datetime import datetime
from pathlib import Path
from fieldlog.operations.draft_hands import keep_fields
from fieldlog.operations.shop import open_shop
root, uid, text = sys.argv[1:]
shop = open_shop(Path(root))
draft = shop.drafts.load(uid)
put = shop.drafts._files.replace
def slowly(old, new):
    time.sleep(0.03)  # the other one has compared by now, unless it has to wait
    put(old, new)
shop.drafts._files.replace = slowly
print("ready", flush=True)
sys.stdin.readline()
keep_fields(shop, draft, {"reason": text}, by=draft.by, now=draft.saved)
"""
LONG_S = 2.0
"""What nobody may wait at a key, with much room for a busy host."""


def _session(code: str, *arguments: str) -> subprocess.Popen[str]:
    command = [sys.executable, "-c", code, *arguments]
    return subprocess.Popen(command, cwd=REPOSITORY, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True)


def _until_it_says(session: subprocess.Popen[str], word: str) -> None:
    assert session.stdout is not None
    assert session.stdout.readline().strip() == word


@pytest.fixture
def shop(tmp_path: Path) -> Shop:
    return open_shop(tmp_path)


@pytest.fixture
def kept(shop: Shop) -> Draft:
    return save_fields(shop, begin_form("withdraw", "SW-0001-0", by=ADA, now=NOW), {"reason": "r"}, now=NOW)


def test_what_two_sessions_type_at_once_is_kept_twice(shop: Shop, kept: Draft) -> None:
    """Neither knows of the other when it begins: without a lock the later one would replace the earlier."""
    for turn in range(5):
        base = save_fields(shop, kept, {"reason": f"base {turn}"}, now=NOW)
        texts = {f"from one, {turn}", f"from two, {turn}"}
        sessions = [_session(TYPIST, str(shop.root), base.uid, text) for text in sorted(texts)]
        for session in sessions:
            _until_it_says(session, "ready")
        for session in sessions:
            assert session.stdin is not None
            session.stdin.write("go\n")
            session.stdin.flush()
        for session in sessions:
            assert session.wait(30) == 0
        assert texts <= {draft.fields["reason"] for draft in kept_drafts(shop)}


def test_a_draft_in_another_sessions_hand_is_left_alone_and_no_key_waits(shop: Shop, kept: Draft) -> None:
    holder = _session(HOLDER, str(shop.root), kept.uid)
    try:
        _until_it_says(holder, "held")
        begun = time.monotonic()
        mine, words = keep_fields(shop, kept, {"reason": "ru"}, by=ADA, now=NOW)
        assert throw_away(shop, kept) == IN_HAND
        with pytest.raises(LockedError, match="this draft is held by"):
            take_over(shop, kept, by=ADA, now=NOW)
        assert time.monotonic() - begun < LONG_S
    finally:
        holder.communicate("")
    assert (words, mine.uid != kept.uid) == (IN_HAND, True)
    assert shop.drafts.load(kept.uid) == kept
    assert shop.drafts.load(mine.uid).fields == {"reason": "ru"}
    assert keep_fields(open_shop(shop.root), mine, {"reason": "rus"}, by=ADA, now=NOW)[1] == ""


def test_a_draft_that_stands_as_it_was_left_is_kept_in_its_place_or_thrown_away(
    shop: Shop, kept: Draft
) -> None:
    again, words = keep_fields(shop, kept, {"reason": "ru"}, by=ADA, now=NOW)
    assert (again.uid, words) == (kept.uid, "")
    assert throw_away(shop, kept).startswith("Another session of ")
    assert throw_away(shop, again) == ""
    assert kept_drafts(shop) == []
