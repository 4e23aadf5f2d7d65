"""Limits under measurement doubt: guard bands against printed figures, and the laws of a verdict."""

from decimal import Decimal
from statistics import NormalDist

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import sem  # type: ignore[import-untyped]

from fieldlog.domain.criteria import (
    SEVERITY,
    Certainty,
    Limit,
    Source,
    Verdict,
    cite,
    governing,
    guard_band,
    judge,
    worst,
)
from fieldlog.errors import InputError
from tests.domain.build import D, finding, grown
from tests.domain.published import Case, cases, number, printed

GUARDS = cases("doubt", "guard_band", 5)
ONE_SIDED = cases("doubt", "one_sided", 5)
RULE_ERRORS = cases("doubt", "rule_error", 3)

LENGTHS = st.decimals(min_value="0", max_value="20", places=4)
ERRORS = st.decimals(min_value="0", max_value="2", places=3)
LAST_DIGIT = D("0.0001")


@pytest.mark.parametrize("case", GUARDS, ids=lambda case: case["tool"])
def test_guard_band_is_the_printed_one_rounded_to_the_safe_side(case: Case) -> None:
    guard = guard_band(number(case, "mpe"))
    assert guard - number(case, "w") in (0, LAST_DIGIT)
    assert printed(guard / D("1.645"), case["u"])
    assert abs(D("2.475") - guard - number(case, "keep_up_to")) <= D("0.0005")


@pytest.mark.parametrize("case", RULE_ERRORS, ids=lambda case: case["class"])
def test_the_guard_bands_start_from_the_published_error_of_a_rule(case: Case) -> None:
    up_to_a_metre = number(case, "a") + number(case, "b") * 1
    assert up_to_a_metre == number(case, "up_to_1_m")
    assert number(case, "up_to_1_m") in [number(row, "mpe") for row in GUARDS]


def test_the_factor_is_the_one_sided_quantile_of_95_percent() -> None:
    # JCGM 106 table 1 prints 1.64 for 95 %; 1.645 is the same quantile with one more digit.
    for case in ONE_SIDED:
        assert printed(Decimal(NormalDist().inv_cdf(float(case["probability"]))), case["z"])
    assert abs(NormalDist().inv_cdf(0.95) - 1.645) < 0.0005
    assert guard_band(D(3).sqrt()) == D("1.6450")


@given(ERRORS)
def test_guard_band_is_never_under_the_exact_one_nor_a_digit_over(mpe: Decimal) -> None:
    exact = D("1.645") * mpe / D(3).sqrt()
    assert exact <= guard_band(mpe) < exact + LAST_DIGIT


def test_no_error_needs_no_guard_and_a_negative_one_is_refused() -> None:
    assert guard_band(D(0)) == 0
    with pytest.raises(InputError, match="can not be negative"):
        guard_band(D("-0.1"))


@given(st.lists(st.decimals(min_value="160", max_value="170", places=2), min_size=2, max_size=8), ERRORS)
def test_repeated_readings_add_their_standard_deviation_of_the_mean(
    repeats: list[Decimal], mpe: Decimal
) -> None:
    # scipy.stats.sem is the standard deviation of the mean; u^2 = MPE^2/3 + sem^2 by JCGM 100:2008, 5.1.2
    # (from memory).
    scatter = sem([float(value) for value in repeats])
    exact = 1.645 * (float(mpe) ** 2 / 3 + scatter**2) ** 0.5
    assert exact - 1e-9 <= float(guard_band(mpe, repeats)) < exact + 1.1e-4


def test_one_reading_alone_has_no_scatter() -> None:
    assert guard_band(D("0.5"), [D("165.3")]) == guard_band(D("0.5"))


@pytest.mark.parametrize(
    ("value", "inclusive", "verdict"),
    [
        ("2.474", True, Verdict.KEEP),
        ("2.475", True, Verdict.DISCARD),
        ("2.476", True, Verdict.DISCARD),
        ("2.475", False, Verdict.KEEP),
        ("2.476", False, Verdict.DISCARD),
    ],
)
def test_a_limit_above_at_and_to_both_sides(value: str, inclusive: bool, verdict: Verdict) -> None:
    limit = Limit(value=D("2.475"), unit="mm", inclusive=inclusive)
    assert judge(D(value), limit, D(0)) is verdict


@pytest.mark.parametrize(
    ("value", "inclusive", "verdict"),
    [
        ("9.1", True, Verdict.KEEP),
        ("9.0", True, Verdict.DISCARD),
        ("8.9", True, Verdict.DISCARD),
        ("9.0", False, Verdict.KEEP),
        ("8.9", False, Verdict.DISCARD),
    ],
)
def test_a_limit_below_at_and_to_both_sides(value: str, inclusive: bool, verdict: Verdict) -> None:
    limit = Limit(value=D("9.0"), unit="mm", above=False, inclusive=inclusive)
    assert judge(D(value), limit, D(0)) is verdict


@pytest.mark.parametrize(
    ("value", "verdict"),
    [
        ("2.000", Verdict.KEEP),
        ("2.001", Verdict.UNDECIDED),
        ("2.474", Verdict.UNDECIDED),
        ("2.475", Verdict.DISCARD),
    ],
)
def test_the_guard_band_itself_is_undecided(value: str, verdict: Verdict) -> None:
    # growth + w < limit is keep: with w = 0.474 and a limit of 2.475, up to 2.000 and not at 2.001.
    assert judge(D(value), Limit(value=D("2.475"), unit="mm"), D("0.474")) is verdict


@pytest.mark.parametrize(
    ("value", "verdict"),
    [("1.97", Verdict.KEEP), ("1.98", Verdict.WATCH), ("1.99", Verdict.WATCH)],
)
def test_watch_begins_at_its_share(value: str, verdict: Verdict) -> None:
    assert judge(D(value), Limit(value=D("2.475"), unit="mm"), D("0.05"), D("1.98")) is verdict


LIMITS = st.builds(Limit, value=LENGTHS, unit=st.just("mm"), above=st.booleans(), inclusive=st.booleans())


@given(LENGTHS, LENGTHS, LIMITS, ERRORS)
def test_a_verdict_never_improves_as_the_value_nears_the_bad_side(
    one: Decimal, other: Decimal, limit: Limit, guard: Decimal
) -> None:
    better, worse = sorted((one, other), reverse=not limit.above)
    watch = limit.value * (D("0.8") if limit.above else D("1.2"))
    verdicts = [judge(value, limit, guard, watch) for value in (better, worse)]
    assert SEVERITY[verdicts[0]] <= SEVERITY[verdicts[1]]


@given(LENGTHS, LENGTHS, ERRORS, ERRORS)
def test_a_coarser_tool_never_turns_discard_or_undecided_into_keep(
    value: Decimal, at: Decimal, one: Decimal, other: Decimal
) -> None:
    fine, coarse = sorted((one, other))
    limit = Limit(value=at, unit="mm")
    first, second = judge(value, limit, guard_band(fine)), judge(value, limit, guard_band(coarse))
    assert SEVERITY[first] <= SEVERITY[second]


@given(LENGTHS, LENGTHS, LENGTHS, ERRORS)
def test_a_stricter_limit_never_gives_a_milder_verdict(
    value: Decimal, one: Decimal, other: Decimal, guard: Decimal
) -> None:
    strict, mild = sorted((one, other))
    verdicts = [judge(value, Limit(value=at, unit="mm"), guard, D("0.8") * at) for at in (strict, mild)]
    assert SEVERITY[verdicts[0]] >= SEVERITY[verdicts[1]]


def test_verdicts_from_the_mildest_to_the_gravest() -> None:
    by_severity = sorted(Verdict, key=SEVERITY.__getitem__)
    assert by_severity == [Verdict.KEEP, Verdict.WATCH, Verdict.UNDECIDED, Verdict.DISCARD]
    assert len(set(SEVERITY.values())) == len(Verdict)


def test_the_worst_of_verdicts() -> None:
    assert worst([]) is None
    assert worst([Verdict.KEEP, Verdict.UNDECIDED, Verdict.WATCH]) is Verdict.UNDECIDED
    assert worst([Verdict.UNDECIDED, Verdict.DISCARD]) is Verdict.DISCARD


def test_a_citation_says_how_certain_it_is_unless_it_is_published() -> None:
    published = Source(id="a", title="T", edition="2019", clause="4.1", certainty=Certainty.PUBLISHED)
    recalled = Source(id="b", title="T", certainty=Certainty.MEMORY)
    usual = Source(id="c", title="T", clause="9", certainty=Certainty.PRACTICE)
    assert cite(published) == "T, 2019, 4.1"
    assert cite(recalled) == "T (from memory)"
    assert cite(usual) == "T, 9 (common practice, no source)"


def test_the_gravest_finding_governs_its_component() -> None:
    hook = finding(Verdict.KEEP, "lower hook")
    findings = [grown("1.0"), grown("2.0", Verdict.WATCH), hook, grown("0.5")]
    assert governing(findings) == {findings[1].component: findings[1], "lower hook": hook}


def test_among_equals_the_one_nearest_to_its_limit_governs_over_other_numbers_of_links() -> None:
    # 3.0 of 4.725 mm over 21 links is 63 %; 2.0 of 2.475 mm over 11 links is 81 % and lies nearer.
    long, short = grown("3.0", allowed="4.725"), grown("2.0", allowed="2.475")
    assert list(governing([long, short]).values()) == [short]
    assert list(governing([short, long]).values()) == [short]


def test_a_gauge_without_a_figure_does_not_hide_one_as_grave() -> None:
    gauge, figure = finding(Verdict.KEEP), grown("1.0")
    assert list(governing([gauge, figure]).values()) == [figure]
    assert list(governing([figure, gauge]).values()) == [figure]
    touching = finding(Verdict.DISCARD)
    assert list(governing([figure, touching]).values()) == [touching]
