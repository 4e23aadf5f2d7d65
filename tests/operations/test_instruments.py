"""How an instrument stood on a day, and which error table holds for it."""

from datetime import date
from pathlib import Path

import pytest

from fieldlog.domain.records import Instrument
from fieldlog.errors import InputError
from fieldlog.operations.instruments import instrument_on, instrument_state, instrument_type, instruments
from fieldlog.rulebook.loader import load_rulebook
from tests.operations.builder import TODAY, ready_shop, with_instrument


# Twelve months from 2025-11-25 end with 2026-11-25 itself (calendar rule, as dateutil counts).
@pytest.mark.parametrize(
    ("day", "state"),
    [
        ("2025-11-24", "out of calibration: calibrated only on 2025-11-25"),
        ("2025-11-25", "in calibration until 2026-11-25"),
        ("2026-11-25", "in calibration until 2026-11-25"),
        ("2026-11-26", "out of calibration since 2026-11-25"),
    ],
)
def test_a_calibration_holds_from_its_day_to_its_last_day(day: str, state: str) -> None:
    held = Instrument(name="C1", type="caliper-0.05", calibrated_on=date(2025, 11, 25), interval_months=12)
    assert instrument_state(held, date.fromisoformat(day)) == state


def test_a_failed_or_unknown_calibration_is_said() -> None:
    failed = Instrument(name="C1", type="caliper-0.05", calibrated_on=date(2026, 1, 5), passed=False)
    assert instrument_state(failed, TODAY) == "failed calibration on 2026-01-05"
    nameless = Instrument(name="C1", type="caliper-0.05", passed=False)
    assert instrument_state(nameless, TODAY) == "failed calibration on an unknown day"
    for held in (
        Instrument(name="C1", type="caliper-0.05"),
        Instrument(name="C1", type="caliper-0.05", calibrated_on=date(2026, 1, 5)),
        Instrument(name="C1", type="caliper-0.05", interval_months=12),
    ):
        assert instrument_state(held, TODAY) == "calibration not known"


def test_an_instrument_is_judged_by_the_calibration_of_the_day(tmp_path: Path) -> None:
    shop = ready_shop(tmp_path)
    with_instrument(shop, "C1", calibrated_on=date(2025, 1, 10), interval_months=12)
    with_instrument(shop, "C1", calibrated_on=date(2026, 11, 20), interval_months=12)
    lapsed = instrument_on(shop, "C1", date(2026, 11, 19))
    fresh = instrument_on(shop, "C1", date(2026, 11, 20))
    assert lapsed is not None
    assert fresh is not None
    assert instrument_state(lapsed, date(2026, 11, 19)) == "out of calibration since 2026-01-10"
    assert instrument_state(fresh, date(2026, 11, 20)) == "in calibration until 2027-11-20"
    before_all = instrument_on(shop, "C1", date(2024, 1, 1))
    assert before_all is not None
    assert before_all.calibrated_on == date(2026, 11, 20)
    assert instrument_on(shop, "C2", TODAY) is None
    assert instruments(shop)["C1"].calibrated_on == date(2026, 11, 20)


def test_an_instrument_is_one_of_the_shop_or_a_bare_type(tmp_path: Path) -> None:
    shop, rulebook = ready_shop(tmp_path), load_rulebook("general")
    with_instrument(shop, "C1", "caliper-0.02")
    assert instrument_type(shop, "C1", rulebook).id == "caliper-0.02"
    assert instrument_type(shop, "rule-ii", rulebook).id == "rule-ii"
    with pytest.raises(InputError, match=r"no instrument 'C9': choose one of C1, .*rule-ii"):
        instrument_type(shop, "C9", rulebook)
