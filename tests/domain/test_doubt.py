"""An instrument's error by length and basis, and the guard band against figures worked out by hand."""

from decimal import Decimal

import pytest

from fieldlog.domain.doubt import guard_of, guard_step, instrument_error
from fieldlog.domain.records import Basis
from fieldlog.errors import InputError
from tests.domain.build import CALIPER, RULE_II, D


# Steel rule of class II 0.5 mm up to 1 m (SI 2016/1153, sch. 1I); caliper 0.05 mm to 300 mm, 0.02 more inside
# (DIN 862:1988).
@pytest.mark.parametrize(
    ("tool", "length", "basis", "error"),
    [
        (RULE_II, "1000", Basis.INSIDE, "0.5"),
        (RULE_II, "1000.01", Basis.INSIDE, "0.7"),
        (CALIPER, "300", Basis.OUTSIDE, "0.05"),
        (CALIPER, "300", Basis.INSIDE, "0.07"),
        (CALIPER, "300.01", Basis.OUTSIDE, "0.06"),
        (CALIPER, "300", Basis.GAUGE, "0"),
        (None, "300", Basis.INSIDE, "0"),
    ],
)
def test_the_error_at_a_length(tool: object, length: str, basis: Basis, error: str) -> None:
    assert instrument_error(tool, D(length), basis) == D(error)  # type: ignore[arg-type]


def test_a_length_past_the_table_is_refused_by_name() -> None:
    with pytest.raises(InputError, match=r"caliper 0\.05 measures up to 400 mm, not 401 mm"):
        instrument_error(CALIPER, D(401), Basis.OUTSIDE)


def test_the_guard_band_of_one_reading_and_how_it_is_told() -> None:
    # 1.645 x 0.05 / sqrt 3 = 0.04749 (JCGM 106, z = 1.645; from memory), rounded up at the fourth decimal
    guard = guard_of(CALIPER, D(5), Basis.OUTSIDE)
    assert guard == D("0.0475")
    assert guard_step(D("0.05"), guard) == "guard 1.645 x 0.05 / sqrt 3 = 0.0475 mm"
    assert guard_step(D(0), D(0)) == ""


def test_repeated_readings_add_the_scatter_of_their_mean() -> None:
    # u^2 = 0.05^2/3 + s^2/n with s^2 = 0.01 of 166.4, 166.5, 166.6 and n = 3 (JCGM 100, 4.2.3; from memory):
    # u = sqrt(0.000833 + 0.003333) = 0.06455, times 1.645 = 0.10618
    repeats = (D("166.4"), D("166.5"), D("166.6"))
    guard = guard_of(CALIPER, D("166.5"), Basis.OUTSIDE, repeats)
    assert guard == D("0.1062")
    assert "of 3 readings" in guard_step(D("0.05"), guard, repeats)
    assert guard_of(CALIPER, D("166.5"), Basis.OUTSIDE, repeats[:1]) == Decimal("0.0475")
