"""The shop's figures as rows: every count is there in words, and bars are as long as the counts say."""

from datetime import date
from decimal import Decimal

import pytest

from fieldlog.operations.due_month import DueInspection
from fieldlog.operations.figures import ChainLives, MonthLoad, ShopFigures, WornChain
from fieldlog.tui.widgets.bars import bar_signs
from fieldlog.tui.widgets.figure_rows import bar_columns, figure_rows, first_day_of, how_counted, load_words
from tests.tui.builder import TODAY

PLAIN = bar_signs(plain=True)
MONTHS = tuple(
    MonthLoad(month=month, inspections=count, by_kind={"frequent": count} if count else {})
    for month, count in (("2026-11", 3), ("2026-12", 20), ("2027-01", 0))
)


def due(day: date, kind: str = "frequent", *, overdue: bool = False) -> DueInspection:
    return DueInspection(id="SW-0001-0", name="", site="", place="", kind=kind, due_on=day, overdue=overdue)


PAST = (
    due(date(2026, 10, 1), overdue=True),
    due(date(2026, 10, 2), "periodic", overdue=True),
    due(date(2026, 11, 1), "periodic"),
)


def figures(**changes: object) -> ShopFigures:
    given: dict[str, object] = {
        "day": TODAY,
        "hoists": 24,
        "out_of_service": 2,
        "overdue": 2,
        "load": MONTHS,
        "later": 1,
        "worn": (
            WornChain(id="SW-0006-Q", size="7 x 21", site="filter house", place="", used_pct=Decimal("100")),
            WornChain(id="SW-0001-0", size="5 x 15", site="hall", place="bay 2", used_pct=Decimal("99.9")),
        ),
        "readings": 200,
        "undecided": 25,
        "undecided_pct": Decimal("12.5"),
        "chain_lives": (
            ChainLives(size="5 x 15", service="normal", lives=1, mean_days=1192, from_registration=1),
            ChainLives(size="7 x 21", service="heavy", lives=3, mean_days=596, from_registration=0),
        ),
    }
    return ShopFigures(**(given | changes))  # type: ignore[arg-type]


def rows(columns: int = 40, **changes: object) -> dict[str, tuple[str, ...]]:
    return {row.key: row.cells for row in figure_rows(figures(**changes), PAST, columns, PLAIN)}


def test_the_load_by_month_with_overdue_ones_and_those_in_grace_apart() -> None:
    found = rows()
    assert found["overdue"] == ("overdue !", "####", "2  1 frequent, 1 periodic")
    assert found["grace"] == ("in grace", "##", "1  1 periodic")
    assert found["2026-11"] == ("2026-11", "######", "3  3 frequent")
    assert found["2026-12"] == ("2026-12", "#" * 40, "20  20 frequent")
    assert found["2027-01"] == ("2027-01", "", "0")
    assert found["later"] == ("later", "", "1  after 2027-01")


def test_worn_chains_reach_the_mark_of_the_limit_at_the_limit_alone() -> None:
    found = rows(44)
    # on a scale to 110 %, 100 % stands behind 40 of 44 columns
    assert found["SW-0006-Q"] == ("SW-0006-Q", "#" * 40 + "|", "100 %  7 x 21 mm  filter house")
    assert found["SW-0001-0"] == ("SW-0001-0", "#" * 40 + "|", "99.9 %  5 x 15 mm  hall, bay 2")
    tones = {row.key: row.tone for row in figure_rows(figures(), PAST, 44, PLAIN)}
    assert (tones["SW-0006-Q"], tones["SW-0001-0"], tones["overdue"]) == ("bad", "plain", "bad")


def test_chain_lives_and_doubt() -> None:
    found = rows()
    assert found["life-0"] == ("5 x 15 mm", "#" * 40, "1192 d*  normal service, 1 chain")
    assert found["life-1"] == ("7 x 21 mm", "#" * 20, "596 d  heavy service, 3 chains")
    assert found["doubt"] == ("undecided", "#" * 5, "12.5 %  (25 of 200)")


def test_what_there_is_not_is_said_in_a_sentence() -> None:
    found = rows(worn=(), chain_lives=(), readings=0, undecided=0, undecided_pct=None)
    assert found["heading-worn"] == ("Most worn chains: none to draw, no length of a chain was measured yet",)
    assert found["heading-life"] == ("Mean chain life: none to draw, no chain was replaced yet",)
    assert found["heading-doubt"] == (
        "Undecided readings: none to draw, no length of a chain was judged yet",
    )


def test_logbooks_that_do_not_read_are_named() -> None:
    assert rows(skipped=("SW-0009-K",))["heading-skipped"] == (
        "Left out, because their logbooks do not read: SW-0009-K",
    )


def test_the_load_in_a_sentence() -> None:
    assert load_words(figures(), PAST) == ("2 inspections overdue; 23 due in 3 months, most in 2026-12 (20).")
    empty = tuple(MonthLoad(month=month.month, inspections=0, by_kind={}) for month in MONTHS)
    assert load_words(figures(load=empty), PAST[:1]) == (
        "1 inspection overdue; nothing is due in the next 3 months."
    )


def test_where_a_row_of_the_load_leads_to() -> None:
    ahead = (due(date(2026, 12, 24)), due(date(2026, 12, 3)), due(date(2027, 2, 1)))
    found = {key: first_day_of(key, figures(), (*PAST, *ahead)) for key in rows()}
    assert {key: day.isoformat() for key, day in found.items() if day is not None} == {
        "overdue": "2026-10-01",
        "grace": "2026-11-01",
        "2026-12": "2026-12-03",
        "later": "2027-02-01",
    }


@pytest.mark.parametrize(
    ("key", "words"), [("life-0", "fitting"), ("doubt", "finer tool"), ("2027-01", "due")]
)
def test_rows_that_lead_nowhere_say_how_they_are_counted(key: str, words: str) -> None:
    assert words in how_counted(key)


@pytest.mark.parametrize(("width", "columns"), [(80, 26), (109, 55), (110, 36), (200, 126), (40, 12)])
def test_bars_take_what_words_leave(width: int, columns: int) -> None:
    assert bar_columns(width) == columns
