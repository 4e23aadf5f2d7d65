"""Days, diameters and throats that can hardly be are asked about; each bound below, at and above.

The bounds are common practice, no source.
"""

from datetime import date
from decimal import Decimal
from pathlib import Path

import pytest

from fieldlog.domain.records import DiameterReading, HookReading, InspectionKind, StruckOut
from fieldlog.operations.paper import content, note_printed
from fieldlog.operations.questioning import question_day, question_diameter, question_hook
from fieldlog.operations.servicing import withdraw
from fieldlog.operations.shop import append, open_hoist
from tests.operations.builder import ADA, NOW, TODAY, at, inspect, ready_shop, register
from tests.operations.service import WITHDRAWAL

BEFORE, DAY, AFTER = date(2026, 11, 19), date(2026, 11, 20), date(2026, 11, 21)


@pytest.mark.parametrize(("day", "asked"), [(BEFORE, 1), (DAY, 0), (AFTER, 0)])
def test_a_day_before_the_last_sealed_inspection_is_asked_about(
    tmp_path: Path, day: date, asked: int
) -> None:
    shop = ready_shop(tmp_path)
    hoist = register(shop, day=DAY)
    inspect(shop, hoist.id, day=DAY)
    found = question_day(open_hoist(shop, hoist.id), day)
    assert len(found) == asked
    assert all("2026-11-19 lies before the inspection sealed for 2026-11-20" in text for text in found)


def test_any_work_on_the_hoist_counts(tmp_path: Path) -> None:
    shop = ready_shop(tmp_path)
    hoist = register(shop, day=DAY)
    inspect(shop, hoist.id, day=DAY)
    withdraw(shop, hoist.id, WITHDRAWAL, by=ADA, now=at(AFTER), today=AFTER)
    (asked,) = question_day(open_hoist(shop, hoist.id), DAY)
    assert "the withdrawal sealed for 2026-11-21" in asked


def test_neither_registration_nor_a_printed_label_is_work_on_the_hoist(tmp_path: Path) -> None:
    shop = ready_shop(tmp_path)
    hoist = register(shop, day=TODAY)
    assert question_day(open_hoist(shop, hoist.id), BEFORE) == ()
    note_printed(shop, content(shop, hoist.id, "tag", today=TODAY), "roll-62", by=ADA, now=NOW, today=TODAY)
    assert question_day(open_hoist(shop, hoist.id), BEFORE) == ()


def test_one_that_was_struck_out_does_not_count(tmp_path: Path) -> None:
    shop = ready_shop(tmp_path)
    hoist = register(shop, day=DAY)
    entry = inspect(shop, hoist.id, InspectionKind.FIRST_USE, day=AFTER)
    strike = StruckOut(line=entry.line, why="the other hoist")
    append(shop, hoist.id, strike, by=ADA, now=NOW, head=entry.line)
    assert question_day(open_hoist(shop, hoist.id), DAY) == ()


# Of 5 mm: half is 2.5, a tenth over is 5.5.
@pytest.mark.parametrize(
    ("value", "asked"), [("2.49", 1), ("2.5", 0), ("4.5", 0), ("5.5", 0), ("5.51", 1), ("49", 1), ("0.49", 1)]
)
def test_a_diameter_that_no_wire_of_this_chain_has_is_asked_about(value: str, asked: int) -> None:
    for d1, d2 in ((value, "5"), ("5", value)):
        reading = DiameterReading(place="hook end", d1_mm=Decimal(d1), d2_mm=Decimal(d2))
        assert len(question_diameter(reading, Decimal(5))) == asked


def test_both_diameters_are_named() -> None:
    reading = DiameterReading(place="hook end", d1_mm=Decimal("0.2"), d2_mm=Decimal(50))
    first, second = question_diameter(reading, Decimal(5))
    assert first.startswith("d1 0.2 mm on a chain of 5 mm")
    assert second.startswith("d2 50 mm on a chain of 5 mm")


# Of 30 mm: 95 % is 28.5, half as wide again is 45.
@pytest.mark.parametrize(
    ("now", "asked"), [("28.49", 1), ("28.5", 0), ("33", 0), ("45", 0), ("45.01", 1), ("3", 1)]
)
def test_a_throat_narrower_than_new_or_very_wide_is_asked_about(now: str, asked: int) -> None:
    assert len(question_hook(HookReading(throat_mm=Decimal(now)), Decimal(30))) == asked


def test_nothing_is_asked_about_a_throat_that_is_not_known() -> None:
    assert question_hook(HookReading(throat_mm=Decimal(3)), None) == ()
    assert question_hook(HookReading(throat_mm=None), Decimal(30)) == ()
