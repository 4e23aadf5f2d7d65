"""The kept due list always says what the list worked out anew would say."""

import json
import os
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import msgspec
import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace

from fieldlog.domain.history import Stop
from fieldlog.domain.records import InspectionKind
from fieldlog.domain.schedule import Due, DueBy
from fieldlog.domain.verdict import Summary
from fieldlog.operations import ready_due
from fieldlog.operations.due import due_list, due_row, is_retired
from fieldlog.operations.handing_over import retire
from fieldlog.operations.ready_due import ready_row, rows_json
from fieldlog.operations.shop import Shop, open_shop, summaries
from fieldlog.rulebook.loader import load_rulebook, rulebook_names
from fieldlog.store.codec import plain
from fieldlog.store.ready import FILE, SINCE, rows_on
from fieldlog.store.ready_rows import in_memory
from tests.operations.builder import ADA, NOW, TODAY, inspect, ready_shop, register


@pytest.fixture
def shop(tmp_path: Path) -> Shop:
    shop = ready_shop(tmp_path)
    for serial in ("1", "2", "3"):
        register(shop, serial=serial)
    return shop


def due_json(shop: Shop, day: date) -> bytes:
    return b"".join(ready_due.due_json(shop, day))


def age(shop: Shop) -> None:
    """Let the logbooks be older than anything that is written now."""
    for path in (shop.root / "logbooks").iterdir():
        held = path.stat()
        os.utime(path, ns=(held.st_atime_ns, held.st_mtime_ns - 10**10))


def anew(shop: Shop, day: Any = TODAY) -> Any:
    return {"day": day.isoformat(), "hoists": plain(due_list(open_shop(shop.root), day))}


def test_it_says_what_the_due_list_says(shop: Shop) -> None:
    assert json.loads(due_json(shop, TODAY)) == anew(shop)
    assert due_json(shop, TODAY) == b"".join(rows_json(TODAY, due_list(shop, TODAY)))


def test_where_nothing_changed_nothing_is_worked_out(shop: Shop, monkeypatch: pytest.MonkeyPatch) -> None:
    age(shop)
    first = due_json(shop, TODAY)
    monkeypatch.setattr(ready_due, "_work_out", lambda *_: pytest.fail("worked out"))
    assert due_json(open_shop(shop.root), TODAY) == first


@pytest.mark.parametrize("few", [0, 50])
def test_only_what_changed_is_worked_out_anew(shop: Shop, monkeypatch: pytest.MonkeyPatch, few: int) -> None:
    monkeypatch.setattr(ready_due, "FEW", few)
    age(shop)
    due_json(shop, TODAY)
    first, *_ = shop.logbooks.hoist_names()
    inspect(shop, first, InspectionKind.FIRST_USE)
    seen: list[list[str]] = []
    work_out = ready_due._work_out

    def watched(shop: Shop, wanted: list[str], progress: Any) -> Any:
        seen.append(wanted)
        return work_out(shop, wanted, progress)

    monkeypatch.setattr(ready_due, "_work_out", watched)
    assert json.loads(due_json(shop, TODAY)) == anew(shop)
    assert seen == [[first]]


def test_hoists_that_came_or_went_are_followed(shop: Shop) -> None:
    due_json(shop, TODAY)
    register(shop, serial="4")
    assert json.loads(due_json(shop, TODAY)) == anew(shop)
    age(shop)
    due_json(shop, TODAY)
    path = next((shop.root / "logbooks").iterdir())
    path.unlink()
    told = json.loads(due_json(shop, TODAY))["hoists"]
    assert len(told) == 4
    (gone,) = [row for row in told if row["id"] == path.stem]
    assert gone["fitness"] == "out of service"
    assert "its logbook is gone" in gone["reasons"][0]


def test_a_damaged_logbook_hides_no_other(shop: Shop) -> None:
    path = sorted((shop.root / "logbooks").iterdir())[0]
    path.write_bytes(b"spoilt\n")
    for _ in range(2):
        told = json.loads(due_json(open_shop(shop.root), TODAY))["hoists"]
        assert len(told) == 3
        (lost,) = [row for row in told if row["id"] == path.stem]
        assert (lost["fitness"], lost["due_on"], lost["days"]) == ("out of service", None, None)
        assert "line 1" in lost["reasons"][0]
    assert told == anew(open_shop(shop.root))["hoists"]


def test_another_day_is_told_without_working_anything_out(
    shop: Shop, monkeypatch: pytest.MonkeyPatch
) -> None:
    first, second, _ = shop.logbooks.hoist_names()
    inspect(shop, first, InspectionKind.FIRST_USE)
    retire(shop, second, {"why": "scrapped"}, by=ADA, today=TODAY, now=NOW)
    age(shop)
    due_json(shop, TODAY)
    monkeypatch.setattr(ready_due, "_work_out", lambda *_: pytest.fail("worked out"))
    for days in (*range(-2, 40), 364, 365, 366, 367, 3000, -3000):
        day = TODAY + timedelta(days=days)
        assert due_json(shop, day) == b"".join(rows_json(day, due_list(shop, day)))


def test_one_sealed_record_does_not_write_all_rows_again(shop: Shop) -> None:
    age(shop)
    due_json(shop, TODAY)
    before = (shop.root / FILE).read_bytes()
    first, *_ = shop.logbooks.hoist_names()
    inspect(shop, first, InspectionKind.FIRST_USE)
    assert json.loads(due_json(shop, TODAY)) == anew(shop)
    assert (shop.root / FILE).read_bytes() == before
    assert (shop.root / SINCE).exists()


def test_a_retired_hoist_is_not_in_the_list(shop: Shop) -> None:
    first, *_ = shop.logbooks.hoist_names()
    retire(shop, first, {"why": "scrapped"}, by=ADA, today=TODAY, now=NOW)
    told = json.loads(due_json(shop, TODAY))
    assert told == anew(shop)
    assert first not in {row["id"] for row in told["hoists"]}


DAYS = st.dates(min_value=date(2026, 1, 1), max_value=date(2026, 6, 30))
WORDS = st.text(max_size=5) | st.sampled_from(['"days":', ',"overdue":', ',"used_pct":', "Grüße\\"])
STOPS = st.builds(Stop, from_on=DAYS, reason=WORDS, entry=st.just(1))
DUES = st.builds(
    Due,
    inspection=st.sampled_from(InspectionKind),
    due_on=DAYS,
    anchor=DAYS,
    rule=WORDS,
    source=WORDS,
    by=st.sampled_from(DueBy),
)


@pytest.fixture(scope="module")
def summary(tmp_path_factory: pytest.TempPathFactory) -> Summary:
    shop = ready_shop(tmp_path_factory.mktemp("one"))
    hoist = register(shop)
    return summaries(shop)[hoist.id]


@st.composite
def summaries_like(draw: st.DrawFn) -> dict[str, Any]:
    """What makes a summary say something else from a day on, and texts that look like the places of cuts."""
    return {
        "stops": tuple(draw(st.lists(STOPS, max_size=3))),
        "dues": tuple(draw(st.lists(DUES, max_size=3))),
        "conditions": tuple(draw(st.lists(WORDS, max_size=2))),
        "place": draw(WORDS),
        "retired_on": draw(st.none() | DAYS),
    }


@given(
    name=st.sampled_from(rulebook_names()),
    changes=summaries_like(),
    days=st.sets(DAYS, min_size=1, max_size=20),
)
def test_a_kept_row_says_on_each_day_what_the_list_says(
    summary: Summary, name: str, changes: dict[str, Any], days: set[date]
) -> None:
    rules, summary = load_rulebook(name), replace(summary, **changes)
    kept = ready_row(summary.id, (1, 1), summary, rules)
    turning = {due.due_on + timedelta(days=1) for due in summary.dues} | {on.from_on for on in summary.stops}
    retired = set() if summary.retired_on is None else {summary.retired_on}
    for day in days | turning | retired:
        told = [text for *_, text in rows_on(day, in_memory([kept]))]
        assert told == (
            [] if is_retired(summary, day) else [msgspec.json.encode(due_row(summary, rules, day))]
        )
