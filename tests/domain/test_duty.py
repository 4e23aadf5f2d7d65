"""Load spectrum and used share of the design life against the published class table and factors."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fieldlog.domain.criteria import Certainty, Source
from fieldlog.domain.duty import (
    LoadPart,
    Use,
    find_group,
    is_used_up,
    life_share,
    spectrum_class,
    spectrum_factor,
)
from fieldlog.domain.rules import MechanismGroup, SpectrumClass
from fieldlog.errors import InputError
from tests.domain.build import D
from tests.domain.published import Case, cases, number, printed

CELLS = cases("life", "class_table", 28)
WORST = cases("life", "worst_cell", 1)
FACTORS = cases("life", "factor", 5)
SPECTRA = cases("life", "spectrum", 4)

FEM = Source(id="fem", title="FEM 9.755", edition="06.1993", clause="table 1", certainty=Certainty.MEMORY)
GROUPS = tuple(
    MechanismGroup(id=iso, fem=fem, full_load_hours=D(hours), source=FEM)
    for iso, fem, hours in sorted({(case["iso"], case["fem"], case["design"]) for case in CELLS})
)
CLASSES = tuple(
    SpectrumClass(
        id=case["title"],
        title=case["title"],
        k_up_to=number(case, "k"),
        km_up_to=number(case, "km"),
        source=FEM,
    )
    for case in SPECTRA
)


def used(hours: str, km: str, factor: str = "1.0") -> Use:
    return Use(hours=D(hours), km=D(km), factor=D(factor))


def part(load: str, time: str) -> LoadPart:
    return LoadPart(load_share=D(load), time_share=D(time))


@pytest.mark.parametrize("case", CELLS, ids=lambda case: f"{case['class']}-{case['km']}")
def test_in_every_cell_of_the_class_table_hours_times_km_use_all_of_the_groups_life(case: Case) -> None:
    group = find_group(case["fem"], GROUPS)
    assert group is find_group(case["iso"], GROUPS)
    share = life_share([used(case["hours"], case["km"])], group)
    assert share.design_h == number(case, "design")
    assert abs(share.share_pct - 100) <= D("2.5")


def test_the_worst_cell_is_off_by_as_much_as_printed() -> None:
    (case,) = WORST
    found = [life_share([used(cell["hours"], cell["km"])], find_group(cell["fem"], GROUPS)) for cell in CELLS]
    worst = max(found, key=lambda share: abs(share.share_pct - 100))
    assert (worst.used_h, worst.design_h) == (number(case, "used"), number(case, "design"))
    assert printed(worst.share_pct - 100, case["off_percent"])


def test_the_design_lives_of_the_eight_groups() -> None:
    # FEM 9.755 table 1, from memory; supported by the class table above.
    hours = sorted(group.full_load_hours for group in GROUPS)
    assert [int(each) for each in hours] == [100, 200, 400, 800, 1600, 3200, 6300, 12500]


@pytest.mark.parametrize("case", FACTORS, ids=lambda case: case["factor"])
def test_hours_known_less_well_count_for_more(case: Case) -> None:
    share = life_share([used("100", "0.5", case["factor"])], find_group("M3", GROUPS))
    assert share.used_h == 50 * number(case, "factor")


@pytest.mark.parametrize("case", SPECTRA, ids=lambda case: case["title"])
def test_the_classes_by_their_upper_bound_below_at_and_above(case: Case) -> None:
    bound, step = number(case, "km"), D("0.0001")
    assert spectrum_class(bound, CLASSES).title == case["title"]
    assert spectrum_class(bound - step, CLASSES).title == case["title"]
    if bound < 1:
        assert spectrum_class(bound + step, CLASSES).title != case["title"]
    # k is the cubic mean: its cube is km, to the two digits that 0.63 and 0.8 are printed with.
    assert abs(number(case, "k") ** 3 - bound) <= D("0.012")


def test_printed_cubic_means_fall_to_the_safe_side() -> None:
    # 0.8 cubed is 0.512 and 0.63 cubed 0.250047: both just over the bound of their class.
    assert spectrum_class(spectrum_factor([part("0.8", "1")]), CLASSES).title == "very heavy"
    assert spectrum_class(spectrum_factor([part("0.63", "1")]), CLASSES).title == "heavy"
    assert spectrum_class(spectrum_factor([part("0.5", "1")]), CLASSES).title == "light"


def test_spectra_by_hand() -> None:
    assert spectrum_factor([part("1", "1")]) == 1
    assert spectrum_factor([part("0", "1")]) == 0
    # 0.1 x 1 + 0.4 x 0.125 + 0.5 x 0 = 0.15
    assert spectrum_factor([part("1", "0.1"), part("0.5", "0.4"), part("0", "0.5")]) == D("0.15")


def test_classes_are_found_in_any_order_and_none_is_said() -> None:
    assert spectrum_class(D("0.2"), CLASSES[::-1]).title == "medium"
    with pytest.raises(InputError, match=r"no class of load spectrum holds km 0\.2"):
        spectrum_class(D("0.2"), CLASSES[:1])


def test_used_life_is_the_sum_of_all_periods() -> None:
    # 1000 x 0.25 x 1.1 + 200 x 0.5 x 1.5 = 275 + 150 = 425 of 800 h.
    share = life_share([used("1000", "0.25", "1.1"), used("200", "0.5", "1.5")], find_group("1Am", GROUPS))
    assert (share.used_h, share.remaining_h, share.share_pct) == (D(425), D(375), D("53.125"))
    assert life_share([], find_group("1Am", GROUPS)).share_pct == 0


@pytest.mark.parametrize(("hours", "over"), [("399.9", False), ("400", True), ("400.1", True)])
def test_at_a_share_of_one_the_life_is_used_up(hours: str, over: bool) -> None:
    share = life_share([used(hours, "1")], find_group("1Bm", GROUPS))
    assert is_used_up(share) is over
    assert share.remaining_h == 400 - D(hours)


@pytest.mark.parametrize("name", ["M4", "m4", " 1Am ", "1AM"])
def test_a_group_goes_by_either_name(name: str) -> None:
    assert find_group(name, GROUPS).full_load_hours == 800


def test_an_unknown_group_gets_those_known() -> None:
    with pytest.raises(InputError, match=r"'M9' is not a group of mechanism: one of M1 \(1Dm\), M2"):
        find_group("M9", GROUPS)


@pytest.mark.parametrize(
    ("parts", "sentence"),
    [
        ([], "at least one part"),
        ([part("1.01", "1")], "a load share is from 0 to 1, not 1.01"),
        ([part("-0.1", "1")], "a load share is from 0 to 1"),
        ([part("NaN", "1")], "a load share is from 0 to 1, not NaN"),
        ([part("1", "1.1")], "a time share is from 0 to 1, not 1.1"),
        ([part("1", "0.5"), part("0.5", "0.4")], "add up to 0.9, not 1: is a part missing"),
        ([part("1", "0.998")], "add up to 0.998"),
        ([part("1", "0.6"), part("0.5", "0.5")], "add up to 1.1"),
    ],
)
def test_a_spectrum_that_can_not_be_is_refused(parts: list[LoadPart], sentence: str) -> None:
    with pytest.raises(InputError, match=sentence):
        spectrum_factor(parts)


@pytest.mark.parametrize("time", ["0.999", "1"])
def test_thirds_typed_to_three_decimals_are_taken(time: str) -> None:
    third = [part("1", "0.333")] * 3
    assert spectrum_factor(third) == spectrum_factor([part("1", time)]) == 1


@pytest.mark.parametrize(
    ("use", "sentence"),
    [
        (used("-1", "0.5"), "running hours is 0 or more, not -1"),
        (used("Infinity", "0.5"), "running hours is 0 or more, not Infinity"),
        (used("1", "1.1"), "km is from 0 to 1, not 1.1"),
        (used("1", "-0.1"), "km is from 0 to 1"),
        (used("1", "0.5", "0.9"), "the factor f is from 1 to 1.5, not 0.9"),
        (used("1", "0.5", "1.6"), "the factor f is from 1 to 1.5, not 1.6"),
    ],
)
def test_a_use_that_can_not_be_is_refused(use: Use, sentence: str) -> None:
    with pytest.raises(InputError, match=sentence):
        life_share([use], find_group("M3", GROUPS))


SHARES = st.decimals("0", "1", places=3)


@given(st.lists(SHARES, min_size=1, max_size=5), st.data())
def test_km_lies_between_the_cubes_of_least_and_greatest_load(
    loads: list[Decimal], data: st.DataObject
) -> None:
    weights = data.draw(st.lists(st.integers(1, 9), min_size=len(loads), max_size=len(loads)))
    total = sum(weights)
    km = spectrum_factor(
        [
            LoadPart(load_share=load, time_share=Decimal(weight) / total)
            for load, weight in zip(loads, weights, strict=True)
        ]
    )
    slack = D("1e-20")
    assert min(loads) ** 3 - slack <= km <= max(loads) ** 3 + slack


@given(st.lists(st.builds(Use, hours=st.decimals("0", 9999, places=1), km=SHARES, factor=st.just(D("1.2")))))
def test_used_and_remaining_make_the_design_life_and_no_period_gives_any_back(uses: list[Use]) -> None:
    group = find_group("2m", GROUPS)
    share = life_share(uses, group)
    assert share.used_h + share.remaining_h == group.full_load_hours
    assert all(life_share(uses[:count], group).used_h <= share.used_h for count in range(len(uses)))
