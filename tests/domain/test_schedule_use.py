"""An inspection is due by its date, by running hours or by time out of use, whichever comes first."""

from datetime import date
from typing import Any

from fieldlog.domain.criteria import Certainty, Source
from fieldlog.domain.records import HoursLogged, InspectionKind, SetIdle
from fieldlog.domain.rules import HoursRule, IdleRule, Rulebook
from fieldlog.domain.running import periods_of
from fieldlog.domain.schedule import Due, DueBy, dues
from tests.domain.build import D, hoist, interval, rulebook

FIRST, FREQUENT, PERIODIC = InspectionKind.FIRST_USE, InspectionKind.FREQUENT, InspectionKind.PERIODIC
BEGUN = date(2026, 1, 10)
MICHIGAN = Source(id="mich", title="Michigan R 408.11872", clause="class C", certainty=Certainty.PUBLISHED)
OSHA_IDLE = Source(id="idle", title="29 CFR 1910.179", clause="(j)(4)", certainty=Certainty.PUBLISHED)
# Michigan R 408.11872: 100 and 500 hours; 29 CFR 1910.179(j)(4): one month, six months.
BOOK = rulebook(
    hours=(
        HoursRule(id="f", inspection=FREQUENT, hours=D(100), source=MICHIGAN),
        HoursRule(id="p", inspection=PERIODIC, hours=D(500), source=MICHIGAN),
    ),
    idle=(
        IdleRule(id="one", months=1, inspection=FREQUENT, source=OSHA_IDLE),
        IdleRule(id="six", months=6, inspection=PERIODIC, source=OSHA_IDLE),
    ),
)
Done = list[tuple[InspectionKind, date]]
WAS_FIRST: Done = [(FIRST, BEGUN)]


def by_kind(done: Done, book: Rulebook = BOOK, **use: Any) -> dict[InspectionKind, Due]:
    hours = use.pop("hours", ())
    found = dues(hoist(registered_on=BEGUN), book, done, periods=periods_of(hours, BEGUN), **use)
    return {due.inspection: due for due in found}


def run(day: date, hours: str) -> HoursLogged:
    return HoursLogged(done_on=day, hours=D(hours))


def idle(start: date, **changes: Any) -> SetIdle:
    return SetIdle(from_on=start, why="winter", **changes)


def test_running_hours_govern_where_they_come_before_the_date() -> None:
    # 50 h in five days: 100 h after ten days, on 2026-01-20, before the month is up on 2026-02-10
    found = by_kind(WAS_FIRST, hours=(run(date(2026, 1, 15), "50"),))
    due = found[FREQUENT]
    assert (due.due_on, due.by, due.anchor) == (date(2026, 1, 20), DueBy.HOURS, BEGUN)
    assert due.rule == "every 100 running hours, from 2026-01-10"
    assert (due.source, due.certainty) == ("Michigan R 408.11872, class C", Certainty.PUBLISHED)
    assert any(text.startswith("only on 2026-02-10: every month") for text in due.why)
    assert found[PERIODIC].due_on == date(2026, 3, 1)  # 500 h at 10 h a day: 50 days


def test_the_date_governs_where_the_hoist_runs_little() -> None:
    due = by_kind(WAS_FIRST, hours=(run(date(2026, 1, 20), "10"),))[FREQUENT]
    assert (due.due_on, due.by) == (date(2026, 2, 10), DueBy.DATE)


def test_hours_before_the_last_inspection_do_not_count() -> None:
    hours = (run(date(2026, 1, 15), "90"), run(date(2026, 1, 20), "10"))
    done: Done = [*WAS_FIRST, (FREQUENT, date(2026, 1, 15))]
    assert by_kind(done, hours=hours)[FREQUENT].due_on == date(2026, 2, 15)


def test_a_month_out_of_use_asks_for_the_frequent_one_and_six_for_the_periodic_one() -> None:
    book = rulebook(idle=BOOK.idle, intervals=(interval(FREQUENT, months=3), interval(PERIODIC, months=12)))
    found = by_kind(WAS_FIRST, book, idle=(idle(date(2026, 1, 31)),))
    assert (found[FREQUENT].due_on, found[FREQUENT].by) == (date(2026, 2, 28), DueBy.IDLE)
    assert (found[PERIODIC].due_on, found[PERIODIC].by) == (date(2026, 7, 31), DueBy.IDLE)
    assert found[PERIODIC].rule == "before use after 6 months idle, out of use from 2026-01-31"


def test_a_due_date_by_date_tells_its_date_rule_and_how_sure_it_is() -> None:
    due = by_kind(WAS_FIRST)[PERIODIC]
    assert due.certainty is Certainty.PUBLISHED
    assert due.why == ("calendar rule: (usual in workshops (common practice, no source))",)
