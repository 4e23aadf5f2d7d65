"""Section wear of a hook beside its throat: the gravest governs, each with its own source."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace

from fieldlog.domain.criteria import SEVERITY, Certainty, Source, Verdict
from fieldlog.domain.hook import judge_hook, section_wear_percent
from fieldlog.domain.records import HookReading
from fieldlog.errors import InputError
from tests.domain.build import HOOKS, WAC, D, rulebook

GENERAL = rulebook()
ALBERTA = Source(id="alberta-309", title="Alberta OHS Code", clause="s. 309", certainty=Certainty.PUBLISHED)
# Alberta OHS Code s. 309: 'has lost 10 percent or more'; WAC 296-155-55800, table 12: wear over 10 %.
INCLUSIVE = replace(HOOKS["general"], wear_percent=D(10), wear_inclusive=True, wear_source=ALBERTA)
EXCLUSIVE = replace(HOOKS["us-b30"], wear_percent=D(10), wear_inclusive=False, wear_source=WAC)


def hook(**changes: object) -> HookReading:
    return replace(HookReading(throat_mm=D(30)), **changes)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("now", "inclusive", "exclusive"),
    [
        ("18.01", Verdict.KEEP, Verdict.KEEP),
        ("18", Verdict.DISCARD, Verdict.KEEP),
        ("17.99", Verdict.DISCARD, Verdict.DISCARD),
    ],
)
def test_ten_percent_of_the_section_below_at_and_above(
    now: str, inclusive: Verdict, exclusive: Verdict
) -> None:
    worn = hook(section_new_mm=D(20), section_mm=D(now))
    assert judge_hook(worn, D(30), INCLUSIVE, GENERAL).verdict is inclusive
    assert judge_hook(worn, D(30), EXCLUSIVE, GENERAL).verdict is exclusive


def test_section_wear_that_governs_is_told_in_percent_with_its_source() -> None:
    found = judge_hook(hook(section_new_mm=D(20), section_mm=D(17)), D(30), INCLUSIVE, GENERAL)
    assert (found.value, found.limit, found.margin, found.unit) == (D(15), D(10), D(-5), "%")
    assert found.source == "Alberta OHS Code, s. 309"
    assert "section (20 - 17) / 20 = 15.0 % lost" in found.steps
    assert "limit 30 + 10 % = 33 mm" in found.steps


def test_an_opened_throat_governs_over_a_section_that_holds() -> None:
    found = judge_hook(
        hook(throat_mm=D(33), section_new_mm=D(20), section_mm=D(19)), D(30), INCLUSIVE, GENERAL
    )
    assert (found.verdict, found.unit, found.source) == (
        Verdict.DISCARD,
        "mm",
        "Korea, OSH Standards Rule, art. 96 no. 5",
    )


@pytest.mark.parametrize("half", [{"section_mm": D(19)}, {"section_new_mm": D(20)}])
def test_half_a_measurement_decides_nothing(half: dict[str, Decimal]) -> None:
    found = judge_hook(hook(**half), D(30), INCLUSIVE, GENERAL)
    assert found.verdict is Verdict.UNDECIDED
    assert "both unworn and where it is worn most" in found.why


def test_a_rule_without_a_figure_leaves_it_to_a_person() -> None:
    found = judge_hook(hook(section_new_mm=D(20), section_mm=D(19)), D(30), HOOKS["us-osha"], GENERAL)
    assert found.verdict is Verdict.UNDECIDED
    assert "a competent person decides" in found.why


def test_the_throat_as_new_typed_with_an_upper_hook_goes_before_the_registered_one() -> None:
    upper = hook(which="upper", new_mm=D(40), throat_mm=D(41))
    found = judge_hook(upper, D(30), HOOKS["general"], GENERAL)
    assert (found.component, found.verdict, found.limit) == ("upper hook", Verdict.KEEP, D(44))


@pytest.mark.parametrize(("new", "now"), [("0", "1"), ("20", "0"), ("20", "-1")])
def test_a_section_that_can_not_be_is_refused(new: str, now: str) -> None:
    with pytest.raises(InputError, match="greater than 0"):
        section_wear_percent(D(new), D(now))


SECTIONS = st.decimals(10, 20, places=2)


@given(SECTIONS, SECTIONS)
def test_a_verdict_never_improves_as_the_section_wears(one: Decimal, other: Decimal) -> None:
    more, less = sorted((one, other))
    found = [
        judge_hook(hook(section_new_mm=D(20), section_mm=height), D(30), INCLUSIVE, GENERAL).verdict
        for height in (less, more)
    ]
    assert SEVERITY[found[0]] <= SEVERITY[found[1]]
