"""The shipped instruments, sizes and groups against their sources.

The figures as printed stand in tests/check_values/rulebook_measuring.toml.
"""

from decimal import Decimal
from typing import Any

import pytest

from fieldlog.domain.criteria import Certainty
from fieldlog.domain.rules import InstrumentType
from fieldlog.rulebook.loader import load_rulebook
from tests.domain.published import cases

FILE = "rulebook_measuring"
GENERAL = load_rulebook("general")
SHORTER_THAN_ISO = {"10x28", "11x31", "11.3x31", "13x36", "16x45", "18x50"}


def instrument(name: str) -> InstrumentType:
    [found] = [kind for kind in GENERAL.instruments if kind.id == name]
    return found


def mpe_at(kind: InstrumentType, length_mm: Decimal) -> Decimal:
    return next(step.mpe_mm for step in kind.steps if length_mm <= step.up_to_mm)


@pytest.mark.parametrize("case", cases(FILE, "rule", 3))
@pytest.mark.parametrize("metres", [1, 2, 3])
def test_rules_follow_a_plus_b_l_at_below_and_above_a_whole_metre(case: dict[str, Any], metres: int) -> None:
    kind, a, b = instrument(case["id"]), Decimal(case["a"]), Decimal(case["b"])
    end = Decimal(1000 * metres)
    assert mpe_at(kind, end) == mpe_at(kind, end - 1) == a + b * metres
    if metres < 3:
        assert mpe_at(kind, end + Decimal("0.1")) == a + b * (metres + 1)
    assert kind.inside_extra_mm == 0
    assert kind.source.certainty == case["certainty"]


@pytest.mark.parametrize("case", cases(FILE, "caliper", 16))
def test_calipers_have_the_errors_of_the_table(case: dict[str, Any]) -> None:
    kind = instrument(case["id"])
    assert mpe_at(kind, Decimal(case["at_mm"])) == Decimal(case["mpe"])
    assert kind.inside_extra_mm == Decimal(case["inside_extra"])
    assert kind.source.certainty == case["certainty"]


def test_a_longer_length_never_has_a_smaller_error() -> None:
    for kind in GENERAL.instruments:
        errors = [step.mpe_mm for step in kind.steps]
        assert errors == sorted(errors)


@pytest.mark.parametrize("case", cases(FILE, "group", 8))
def test_groups_have_the_life_of_their_source(case: dict[str, Any]) -> None:
    [group] = [group for group in GENERAL.groups if group.id == case["id"]]
    assert (group.fem, group.full_load_hours) == (case["fem"], case["design_hours"])
    assert group.source.certainty is Certainty.MEMORY


@pytest.mark.parametrize("case", cases(FILE, "group_cell", 28))
def test_hours_times_spectrum_factor_is_the_life_of_the_group(case: dict[str, Any]) -> None:
    """The two tables come from different papers; they agree within 2.5 %."""
    life = {group.id: group.full_load_hours for group in GENERAL.groups}[case["group"]]
    km = {spectrum.id: spectrum.km_up_to for spectrum in GENERAL.spectra}[case["spectrum"]]
    assert abs(case["hours"] * km / life - 1) <= Decimal("0.025")


@pytest.mark.parametrize("case", cases(FILE, "spectrum", 4))
def test_spectra_have_the_bounds_of_their_sources(case: dict[str, Any]) -> None:
    [spectrum] = [spectrum for spectrum in GENERAL.spectra if spectrum.id == case["id"]]
    assert (spectrum.k_up_to, spectrum.km_up_to) == (Decimal(case["k"]), Decimal(case["km"]))
    assert spectrum.source.certainty == case["certainty"]
    assert spectrum.km_source is not None
    assert spectrum.km_source.certainty == case["km_certainty"]
    assert abs(spectrum.k_up_to**3 - spectrum.km_up_to) < Decimal("0.013"), "km is k cubed, rounded"


@pytest.mark.parametrize("case", cases(FILE, "life_factor", 5))
def test_life_factors_are_those_of_iso_12482(case: dict[str, Any]) -> None:
    [factor] = [factor for factor in GENERAL.life_factors if factor.id == case["id"]]
    assert factor.factor == Decimal(case["factor"])
    assert factor.source.certainty == case["certainty"]


def test_all_usual_sizes_are_there_and_no_other() -> None:
    listed = {case["id"]: case for case in cases(FILE, "chain_size", 19)}
    assert {size.id for size in GENERAL.chain_sizes} == set(listed)
    for size in GENERAL.chain_sizes:
        assert size.id == f"{size.dn_mm}x{size.pn_mm}"
        from_memory = listed[size.id]["certainty"] == Certainty.MEMORY
        assert (size.source.certainty is Certainty.MEMORY) is from_memory


def test_pitch_is_3_to_3_2_diameters_but_for_the_short_pairs_of_the_trade() -> None:
    """ISO 3077:2001, 5.3. The shorter pairs are older sizes, kept because such chain hangs in hoists."""
    [bounds] = cases(FILE, "pitch_range", 1)
    for size in GENERAL.chain_sizes:
        ratio = size.pn_mm / size.dn_mm
        inside = Decimal(bounds["least"]) <= ratio <= Decimal(bounds["most"])
        assert inside is (size.id not in SHORTER_THAN_ISO), size.id


def test_gauge_length_is_11_links() -> None:
    """ISO 3077:2001, 5.3: multiple pitch lengths are based on a gauge length of 11 links."""
    [links] = [threshold for threshold in GENERAL.thresholds if threshold.id == "gauge-links"]
    assert links.value == 11
    assert links.source.certainty is Certainty.PUBLISHED


def test_guard_factor_is_the_normal_quantile() -> None:
    """95 % one-sided: 1.6449 (JCGM 106 Table 1, from memory; statistics.NormalDist agrees), as 1.645."""
    from statistics import NormalDist

    [factor] = [threshold for threshold in GENERAL.thresholds if threshold.id == "guard-factor"]
    assert abs(float(factor.value) - NormalDist().inv_cdf(0.95)) < 0.0005
