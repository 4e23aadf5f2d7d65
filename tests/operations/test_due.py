"""The due list: overdue first, each day of the boundary, grace where the rule has it, and nowhere else."""

from datetime import date, timedelta
from pathlib import Path

import pytest
from dateutil.relativedelta import relativedelta

from fieldlog.domain.records import InspectionKind
from fieldlog.domain.rules import DateRule
from fieldlog.domain.schedule import Due
from fieldlog.domain.verdict import Fitness
from fieldlog.operations.drafting import DefectDraft
from fieldlog.operations.due import DueRow, days_words, due_list, due_row, in_time_until
from fieldlog.operations.shop import Shop, open_shop, summaries
from fieldlog.rulebook.loader import load_rulebook
from tests.operations.builder import TODAY, inspect, ready_shop, register

FREQUENT, PERIODIC = InspectionKind.FREQUENT, InspectionKind.PERIODIC


@pytest.fixture
def shop(tmp_path: Path) -> Shop:
    return ready_shop(tmp_path)


def only(shop: Shop, day: date) -> DueRow:
    (row,) = due_list(shop, day)
    return row


def test_an_empty_shop_has_an_empty_list(shop: Shop) -> None:
    assert due_list(shop, TODAY) == []


def test_a_new_hoist_is_due_before_first_use(shop: Shop) -> None:
    hoist = register(shop)
    row = only(shop, TODAY)
    assert (row.id, row.kind, row.due_on, row.days, row.overdue) == (
        hoist.id,
        "before first use",
        TODAY,
        0,
        False,
    )
    assert row.fitness is Fitness.OUT_OF_SERVICE
    assert (row.name, row.serial, row.site, row.place, row.drive) == (
        "Fenwright LC 500",
        "4711",
        "intake hall",
        "bay 2",
        "electric",
    )


# Monthly from 2026-01-31 is 2026-02-28 (calendar rule, clamped; dateutil's own arithmetic).
@pytest.mark.parametrize(
    ("day", "days", "overdue"), [("2026-02-27", 1, False), ("2026-02-28", 0, False), ("2026-03-01", -1, True)]
)
def test_the_due_day_itself_is_in_time(shop: Shop, day: str, days: int, overdue: bool) -> None:
    done = date(2026, 1, 31)
    hoist = register(shop, day=done)
    inspect(shop, hoist.id, day=done)
    row = only(shop, date.fromisoformat(day))
    assert row.due_on == row.in_time_until == done + relativedelta(months=1)
    assert (row.kind, row.days, row.overdue) == (FREQUENT, days, overdue)


def test_the_most_pressing_inspection_stands_in_the_row_and_all_are_there(shop: Shop) -> None:
    hoist = register(shop, day=date(2025, 12, 1))
    inspect(shop, hoist.id, day=date(2025, 12, 1))
    inspect(shop, hoist.id, FREQUENT, day=date(2026, 11, 20), readings=("165.5", "166.2", "166.0"))
    row = only(shop, TODAY)
    assert (row.kind, row.due_on) == (PERIODIC, date(2026, 12, 1))
    assert {due.inspection: due.due_on for due in row.dues} == {
        FREQUENT: date(2026, 12, 20),
        PERIODIC: date(2026, 12, 1),
    }


def test_overdue_ones_come_first_then_by_day_then_by_id(shop: Shop) -> None:
    done = {"a": date(2026, 11, 20), "b": date(2026, 10, 1), "c": date(2026, 11, 1), "d": date(2026, 11, 20)}
    ids = {}
    for serial, day in done.items():
        ids[serial] = register(shop, serial=serial, day=day).id
        inspect(shop, ids[serial], day=day)
    rows = due_list(shop, TODAY)
    assert [row.serial for row in rows] == ["b", "c", "a", "d"]
    assert [row.overdue for row in rows] == [True, False, False, False]
    assert rows == due_list(open_shop(shop.root), TODAY)


@pytest.mark.parametrize(
    ("site", "serials"),
    [("", ["1", "2", "3"]), ("take", ["1"]), ("INTAKE Hall", ["1"]), ("press hall", ["3"])],
)
def test_only_the_hoists_of_a_site(shop: Shop, site: str, serials: list[str]) -> None:
    for serial, where in (("1", "intake hall"), ("2", "filter house"), ("3", "press hall")):
        register(shop, serial=serial, site=where)
    assert sorted(row.serial for row in due_list(shop, TODAY, site=site)) == serials


# BetrSichV 14(5), TRBS 1201 6.1(4): due in a month, in time until two months after it; done late it keeps
# its month, done in an earlier month that becomes it. Every 12 months, due 2025-06:
@pytest.mark.parametrize(
    ("done", "next_due"),
    [("2025-06-20", "2026-06-30"), ("2025-08-31", "2026-06-30"), ("2025-05-10", "2026-05-31")],
)
def test_the_month_plate_keeps_its_month(shop: Shop, done: str, next_due: str) -> None:
    hoist = register(shop, rulebook="de", day=date(2024, 6, 15))
    inspect(shop, hoist.id, day=date(2024, 6, 15))
    inspect(shop, hoist.id, PERIODIC, day=date.fromisoformat(done), readings=("165.5", "166.2", "166.0"))
    dues = {due.inspection: due.due_on for due in only(shop, date.fromisoformat(done)).dues}
    assert dues[PERIODIC] == date.fromisoformat(next_due)


@pytest.mark.parametrize(
    ("day", "overdue"),
    [("2025-06-30", False), ("2025-07-01", False), ("2025-08-31", False), ("2025-09-01", True)],
)
def test_the_month_plate_gives_the_periodic_inspection_two_months_of_grace(
    shop: Shop, day: str, overdue: bool
) -> None:
    hoist = register(shop, rulebook="de", day=date(2024, 6, 15))
    inspect(shop, hoist.id, day=date(2024, 6, 15))
    today = date.fromisoformat(day)
    inspect(shop, hoist.id, FREQUENT, day=today, readings=("165.5", "166.2", "166.0"))
    row = only(shop, today)
    if overdue:
        assert (row.kind, row.due_on, row.in_time_until) == (PERIODIC, date(2025, 6, 30), date(2025, 8, 31))
    assert row.overdue is overdue
    periodic = next(due for due in row.dues if due.inspection is PERIODIC)
    assert (today > in_time_until(periodic, load_rulebook("de"))) is overdue


# A check due every week or month, before first use or after a move waits for nobody (common practice, no
# source).
@pytest.mark.parametrize("kind", list(InspectionKind))
def test_grace_is_for_the_periodic_inspection_alone(kind: InspectionKind) -> None:
    due = Due(inspection=kind, due_on=date(2026, 6, 30), anchor=TODAY, rule="", source="")
    assert load_rulebook("de").date_rule is DateRule.MONTH_PLATE
    graced = kind is PERIODIC
    assert in_time_until(due, load_rulebook("de")) == (date(2026, 8, 31) if graced else date(2026, 6, 30))
    assert in_time_until(due, load_rulebook("general")) == date(2026, 6, 30)


def test_one_that_is_overdue_goes_before_one_with_grace_left(shop: Shop) -> None:
    """Periodic due 2025-06-30 has grace until the end of August; the weekly check has none."""
    hoist = register(shop, rulebook="de", service="severe", day=date(2025, 3, 15))
    inspect(shop, hoist.id, day=date(2025, 3, 15))
    weekly = date(2025, 6, 25)
    inspect(shop, hoist.id, FREQUENT, day=weekly, readings=("165.5", "166.2", "166.0"))
    row = only(shop, date(2025, 7, 2))
    assert (row.kind, row.due_on, row.overdue) == (PERIODIC, date(2025, 6, 30), False)
    row = only(shop, date(2025, 7, 3))
    assert (row.kind, row.due_on, row.overdue) == (FREQUENT, weekly + timedelta(days=7), True)


def test_a_hoist_that_lifts_persons_is_due_in_half_the_time(shop: Shop) -> None:
    """SI 1998/2307 (LOLER) reg. 9(3): 6 months for lifting persons, 12 for other lifting equipment."""
    for serial, persons in (("persons", "yes"), ("goods", "no")):
        hoist = register(shop, serial=serial, rulebook="uk", lifts_persons=persons)
        inspect(shop, hoist.id)
    found = {
        row.serial: next(due.due_on for due in row.dues if due.inspection is PERIODIC)
        for row in due_list(shop, TODAY)
    }
    assert found == {"persons": date(2027, 5, 25), "goods": date(2027, 11, 25)}


def test_a_dated_defect_closes_the_hoist_by_itself_when_its_day_comes(shop: Shop) -> None:
    hoist = register(shop)
    dated = DefectDraft(what="guide worn", stops_on="2026-12-01")
    dated.grade = dated.grade.STOPS_FROM
    inspect(shop, hoist.id, defects={"lower-guide": dated})
    before, on = only(shop, date(2026, 11, 30)), only(shop, date(2026, 12, 1))
    assert (before.fitness, on.fitness) == (Fitness.LIMITED, Fitness.OUT_OF_SERVICE)
    assert before.reasons == ("D1: guide worn (from 2026-12-01 on: out of service)",)
    assert before.open_defects == 1


def test_progress_is_told_while_logbooks_are_folded(shop: Shop) -> None:
    for serial in "123":
        register(shop, serial=serial)
    told: list[tuple[int, int]] = []
    due_list(open_shop(shop.root), TODAY, progress=lambda done, of: told.append((done, of)))
    assert told == [(1, 3), (2, 3), (3, 3)]


def test_a_summary_without_any_due_date_stands_at_the_end(shop: Shop) -> None:
    register(shop)
    (summary,) = summaries(shop).values()
    bare = type(summary)(**{name: getattr(summary, name) for name in summary.__slots__} | {"dues": ()})
    row = due_row(bare, load_rulebook("general"), TODAY)
    assert (row.kind, row.due_on, row.days, row.overdue, row.in_time_until) == ("", None, None, False, None)


@pytest.mark.parametrize(
    ("days", "words"),
    [
        (None, ""),
        (2, "in 2 days"),
        (1, "in 1 day"),
        (0, "today"),
        (-1, "1 day late"),
        (-2, "2 days late"),
        (365, "in 365 days"),
    ],
)
def test_days_in_words(days: int | None, words: str) -> None:
    assert days_words(days) == words
