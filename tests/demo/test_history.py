"""Proves that the history is a real one: every logbook reads, nothing lies in the future, nobody seals after
having left, the due list is that of a shop at work, and the same seed gives the same facts on any day."""

from datetime import UTC, datetime, timedelta
from hashlib import sha256
from pathlib import Path
from typing import Any

import pytest
from msgspec.structs import asdict

from demo.history import write_history
from demo.works import read_works
from fieldlog.domain.label_content import DUE
from fieldlog.domain.logbook import fold
from fieldlog.domain.records import LabelPrinted
from fieldlog.domain.verdict import Fitness
from fieldlog.operations.drafting import kept_drafts
from fieldlog.operations.due import due_list
from fieldlog.operations.shop import Shop, open_shop
from tests.demo.written import DAY, MOMENT, entries, inspections, machines, tags_of, write


class TestTheWholeWorks:
    def test_24_hoists_have_a_logbook_that_reads_without_a_problem(self, works: Shop):
        names = works.logbooks.hoist_names()
        assert len(names) == 24
        for name in names:
            book = works.logbooks.read(name)
            assert (book.problem, book.torn) == (None, False), name
            assert fold(book.entries).problems == (), name

    def test_every_line_names_the_sha256_of_the_line_before(self, works: Shop):
        # FIPS 180-4 by hashlib, over the raw bytes
        for path in [*works.root.glob("logbooks/*.jsonl"), *works.root.glob("shop/*.jsonl")]:
            before = "0" * 64
            for line in path.read_bytes().splitlines(keepends=True):
                assert f'"prev":"{before}"'.encode() in line, path
                before = sha256(line).hexdigest()

    def test_it_spans_four_years_and_nothing_lies_in_the_future(self, works: Shop):
        first = min(entries(works, name)[0].at for name in works.logbooks.hoist_names())
        assert timedelta(days=4 * 365) <= MOMENT - first <= timedelta(days=4 * 366)
        for name in works.logbooks.hoist_names():
            times = [entry.at for entry in entries(works, name)]
            assert times == sorted(times), name
            assert times[-1] <= MOMENT, name
            for entry in entries(works, name):
                assert getattr(entry.body, "done_on", entry.at.date()) == entry.at.date(), name

    def test_the_last_day_was_worked_on_and_no_weekend_before_it(self, works: Shop):
        days = {entry.at.date() for name in works.logbooks.hoist_names() for entry in entries(works, name)}
        assert DAY in days
        assert {day.weekday() for day in days} == {0, 1, 2, 3, 4}

    def test_every_hoist_was_inspected_by_several_people_each_within_their_time(self, works: Shop):
        left = next(person for person in read_works().people if person.left)
        last_day = DAY - timedelta(days=left.left)
        by = {(e.by, e.at.date()) for name in works.logbooks.hoist_names() for e in entries(works, name)}
        assert {name for name, _ in by} == {person.name for person in read_works().people}
        assert max(day for name, day in by if name == left.name) <= last_day

    def test_each_hoist_got_its_tag_and_stickers_only_where_they_may_be_given(self, works: Shop):
        for name in works.logbooks.hoist_names():
            labels = [entry.body for entry in entries(works, name) if isinstance(entry.body, LabelPrinted)]
            assert (labels[0].label, labels[0].says) == ("tag", name)
            assert {label.label for label in labels[1:]} == {DUE}

    def test_the_due_list_is_that_of_a_real_shop(self, works: Shop):
        rows = due_list(works, DAY)
        assert [found.overdue for found in rows] == [True] * 2 + [False] * 22
        soon = [found for found in rows if found.days is not None and 0 <= found.days <= 7]
        assert 3 <= len(soon) <= 8
        assert sum(found.fitness is Fitness.IN_SERVICE for found in rows) >= 18

    def test_wear_never_shrinks_by_more_than_the_tools_may_err(self, works: Shop):
        for name in works.logbooks.hoist_names():
            for reading in (r for body in inspections(works, name) for r in body.readings):
                assert not any("shorter" in question for question in reading.questions_confirmed), name


def facts(shop: Shop) -> dict[str, list[dict[str, Any]]]:
    """All that is sealed but identities and hashes, which are new each time; `head` is a hash on a label."""
    names = [*shop.logbooks.hoist_names(), "people", "instruments", "sites", "settings"]
    return {
        name: [{"by": e.by, "at": e.at, **asdict(e.body), "head": ""} for e in entries(shop, name)]
        for name in names
    }


def test_the_same_seed_and_moment_give_the_same_facts(tmp_path: Path):
    fleet = machines("broken-guide", "chain-set", "undecided")
    assert facts(write(tmp_path / "a", fleet=fleet)) == facts(write(tmp_path / "b", fleet=fleet))


def test_progress_is_told_after_each_step(tmp_path: Path):
    told: list[tuple[int, int]] = []
    fleet = machines("late-check")
    write_history(tmp_path, MOMENT, lambda done, total: told.append((done, total)), fleet=fleet)
    total = told[-1][1]
    assert told == [(done, total) for done in range(1, total + 1)]


@pytest.mark.parametrize(
    "moment",
    [
        "2026-11-28T00:00:30-07:00",  # a Saturday, just after midnight
        "2026-11-29T23:59:59+14:00",  # a Sunday, just before it
        "2028-02-29T09:00:00+00:00",  # a leap day
        "2027-03-31T06:00:00+02:00",  # four years before it was a Friday; the month before is short
        "2027-01-01T12:00:00+01:00",
    ],
)
def test_it_comes_out_the_same_on_any_day(tmp_path: Path, moment: str):
    ends = datetime.fromisoformat(moment)
    fleet = machines("overdue", "late-check", "dated-defect", "left-open")
    shop = write(tmp_path, ends, fleet)
    tags = tags_of(shop, fleet)
    rows = {found.id: found for found in due_list(shop, ends.date())}
    overdue = {name for name, found in rows.items() if found.overdue}
    assert overdue == {tags["overdue"], tags["late-check"]}
    assert rows[tags["dated-defect"]].fitness is Fitness.LIMITED
    (draft,) = kept_drafts(shop)
    assert draft.begun.astimezone(ends.tzinfo).date() == ends.date()
    assert all(entry.at <= ends for name in rows for entry in entries(shop, name))


def test_a_store_that_belongs_to_a_shop_is_not_written_over(tmp_path: Path):
    fleet = machines("late-check")
    write(tmp_path, fleet=fleet)
    before = {path: path.read_bytes() for path in tmp_path.rglob("*.jsonl")}
    later = datetime(2026, 12, 1, 8, tzinfo=UTC)
    with pytest.raises(Exception, match="belongs to") as refused:
        write_history(tmp_path, later, fleet=fleet)
    assert type(refused.value).__module__ == "fieldlog.errors"
    assert {path: path.read_bytes() for path in tmp_path.rglob("*.jsonl")} == before
    assert open_shop(tmp_path).logbooks.hoist_names()
