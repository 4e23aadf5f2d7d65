"""Until when records are kept, against the regulations' own cases."""

from datetime import date
from typing import Any

import pytest

from fieldlog.domain.criteria import Certainty, Source
from fieldlog.domain.logbook import fold
from fieldlog.domain.paper_rules import RetentionRule
from fieldlog.domain.records import Body, InspectionKind, Retired
from fieldlog.domain.retention import keep_until, retention_of
from tests.domain.build import hoist, inspection, rulebook, sealed, strike

LOLER = Source(id="loler-11", title="SI 1998/2307 (LOLER)", clause="reg. 11", certainty=Certainty.PUBLISHED)
FIRST, PERIODIC, FREQUENT = InspectionKind.FIRST_USE, InspectionKind.PERIODIC, InspectionKind.FREQUENT
MOVE = InspectionKind.AFTER_MOVE


def rule(name: str, **changes: Any) -> RetentionRule:
    return RetentionRule(id=name, records="r", until="u", source=LOLER, **changes)


UK = rulebook(
    retention=(
        rule("uk-periodic", least_months=24),
        rule("uk-first-use"),
        rule("uk-installation"),
        rule("uk-interim"),
    )
)


def until(book: Any, *bodies: Body) -> dict[int, date | None]:
    return {kept.number: kept.until for kept in retention_of(fold(sealed(*bodies)), book)}


# SI 1998/2307 (LOLER), reg. 11(2)(a)(iv): until the next report or two years, whichever is later.
@pytest.mark.parametrize(
    ("made", "following", "kept"),
    [
        (date(2024, 3, 10), date(2025, 3, 1), date(2026, 3, 10)),
        (date(2022, 3, 10), date(2025, 3, 1), date(2025, 3, 1)),
        (date(2024, 3, 10), None, None),
    ],
)
def test_a_periodic_report(made: date, following: date | None, kept: date | None) -> None:
    assert keep_until(made, following, 24) == kept
    later = () if following is None else (inspection(following, PERIODIC),)
    assert until(UK, hoist(), inspection(made, PERIODIC), *later)[2] == kept


def test_the_first_report_is_kept_while_it_is_used_and_a_check_until_the_next() -> None:
    found = until(
        UK,
        hoist(),
        inspection(date(2025, 1, 20), FIRST),
        inspection(date(2025, 2, 20), FREQUENT),
        inspection(date(2025, 3, 20), FREQUENT),
        inspection(date(2025, 4, 20), PERIODIC),
    )
    assert found == {2: None, 3: date(2025, 3, 20), 4: None, 5: None}


def test_a_report_after_installation_is_kept_until_the_hoist_moves_away() -> None:
    bodies = (hoist(), inspection(date(2025, 2, 1), MOVE))
    assert until(UK, *bodies)[2] is None
    moved = hoist(site="workshop", registered_on=date(2025, 9, 1))
    assert until(UK, *bodies, moved)[2] == date(2025, 9, 1)


def test_the_longest_of_several_rules_holds_and_unknown_rules_keep_all() -> None:
    germany = rulebook(retention=(rule("de-general"), rule("de-cranes")))
    bodies = (hoist(), inspection(date(2025, 1, 20), FIRST), inspection(date(2026, 1, 20), PERIODIC))
    assert until(germany, *bodies) == {1: None, 2: None, 3: None}
    next_one = rulebook(retention=(rule("de-general"),))
    assert until(next_one, *bodies) == {2: date(2026, 1, 20), 3: None}


def test_use_ends_with_the_retirement() -> None:
    # SI 1998/2307 (LOLER), reg. 11(2)(a)(i) and (iii): until it is no longer used, at that place; BetrSichV
    # annex 3: the whole time of use; two years more are the shipped rule's own (common practice, no source)
    gone = Retired(done_on=date(2027, 5, 31), why="scrapped")
    reports = (inspection(date(2025, 1, 20), FIRST), inspection(date(2025, 2, 1), MOVE))
    assert until(UK, hoist(), *reports, gone) == {2: date(2027, 5, 31), 3: date(2027, 5, 31)}
    general = rulebook(retention=(rule("life-and-two-years", least_months=24), rule("with-the-hoist")))
    assert set(until(general, hoist(), *reports, gone).values()) == {date(2029, 5, 31)}
    assert set(until(general, hoist(), *reports).values()) == {None}
    nowhere_told = rulebook(retention=(rule("us-periodic"),))
    assert set(until(nowhere_told, hoist(), *reports, gone).values()) == {None}


def test_a_struck_report_ends_nothing() -> None:
    bodies = (
        hoist(),
        inspection(date(2022, 3, 10), PERIODIC),
        inspection(date(2025, 3, 1), PERIODIC),
        strike(3),
    )
    assert until(UK, *bodies)[2] is None


def test_without_a_rule_nothing_is_asked() -> None:
    assert retention_of(fold(sealed(hoist())), rulebook()) == ()
