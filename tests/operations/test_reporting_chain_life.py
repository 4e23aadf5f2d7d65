"""Proves that the chain life report tells the chain that hangs there, its wear, and those before it."""

from datetime import timedelta
from pathlib import Path

import pytest

from fieldlog.domain.records import InspectionKind
from fieldlog.domain.report_content import Report, WearPlot
from fieldlog.errors import NotFoundError
from fieldlog.operations.reporting import chain_report
from tests.operations.builder import inspect, ready_shop, register
from tests.operations.report_samples import (
    FIRST_DAY,
    VISIT_DAY,
    facts_of,
    new_chain,
    section,
    shop_of,
    words_of,
)

# Grown by 1.2 and 1.5 mm over the 165.2 mm that the new chain measured: 48.5 and 60.6 % of 2.475 mm.
LATER = (("166.4", "166", "165.9"), ("166.7", "166.2", "166"))


@pytest.fixture(scope="module")
def changed(tmp_path_factory: pytest.TempPathFactory) -> Report:
    """One chain from the first day, another from the visit on, measured twice since."""
    shop, tag = shop_of(tmp_path_factory.mktemp("chains"), "general")
    inspect(shop, tag, InspectionKind.PERIODIC, day=VISIT_DAY, readings=("167", "166.5", "166"))
    new_chain(shop, tag, VISIT_DAY)
    for weeks, readings in enumerate(LATER, start=1):
        day = VISIT_DAY + timedelta(weeks=weeks)
        inspect(shop, tag, InspectionKind.FREQUENT, day=day, readings=readings)
    return chain_report(shop, tag)


def test_the_chain_that_hangs_there_with_its_papers(changed: Report) -> None:
    told = facts_of(section(changed, "The chain on the hoist"))
    assert told["Chain"] == "number 2 of this hoist"
    assert told["On the hoist since"] == VISIT_DAY.isoformat()
    assert told["Certificate"] == "K-5x15-0418"
    assert told["Measured when fitted"] == "165.2 mm over 11 links inside"
    assert told["Fitted as"] == "chain, pocket wheel and both guides"


def test_its_limit_counts_from_what_it_measured_new(changed: Report) -> None:
    """165.2 + 1.5 % of 165 = 167.675 mm (DOE-STD-1090-96, ch. 8)."""
    told = facts_of(section(changed, "The chain on the hoist"))["Length as new and limit"]
    assert told.startswith("11 links inside: 165.2 mm (measured on unused links), discard at 167.675 mm")


def test_wear_starts_anew_with_a_new_chain(changed: Report) -> None:
    told = words_of(section(changed, "Wear against time"))
    assert f"{(VISIT_DAY + timedelta(weeks=1)).isoformat()} | 1.2 | 2.475 | 48.5" in told
    assert f"{(VISIT_DAY + timedelta(weeks=2)).isoformat()} | 1.5 | 2.475 | 60.6" in told
    assert FIRST_DAY.isoformat() not in told
    assert any(isinstance(block, WearPlot) for block in section(changed, "Wear against time").blocks)


def test_readings_and_diameters_of_the_old_chain_are_not_shown_as_its_own(changed: Report) -> None:
    """The inspection of the day on which it was changed was sealed before, and measured the old one."""
    assert "166.7 | 165.2 | 1.5" in words_of(section(changed, "Latest readings"))
    days = [line[:10] for line in words_of(section(changed, "Wire diameters of this chain")).splitlines()]
    assert days == ["2026-03-06", "2026-03-13"]


def test_the_chain_before_with_its_days_and_last_wear(changed: Report) -> None:
    """It hung from 2025-03-03 to 2026-02-27, 361 days, and had grown by 2 of 2.475 mm: 80.8 %."""
    told = words_of(section(changed, "Earlier chains"))
    assert told.startswith("1 | 5 x 15 mm, T | 2025-03-03 | 2026-02-27 | 361 | 80.8 % | 2\n")


def test_the_report_is_dated_by_its_records(changed: Report) -> None:
    assert changed.dated == VISIT_DAY + timedelta(weeks=2)


def test_a_hoist_never_measured(tmp_path: Path) -> None:
    shop = ready_shop(tmp_path)
    hoist = register(shop, day=FIRST_DAY)
    report = chain_report(shop, hoist.id)
    told = facts_of(section(report, "The chain on the hoist"))
    assert told["On the hoist since"] == "at least 2025-03-03, when the hoist was registered"
    assert words_of(section(report, "Wear against time")) == "This chain has not been measured yet."
    assert words_of(section(report, "Earlier chains")) == "This is the first chain in the logbook."


def test_an_unknown_hoist(tmp_path: Path) -> None:
    with pytest.raises(NotFoundError, match="no such tag"):
        chain_report(ready_shop(tmp_path), "SW-0002-Y")
