"""Laws that hold for every verdict on a chain: more growth, a coarser tool, a stricter rule, either basis."""

from decimal import Decimal
from typing import Any

from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace

from fieldlog.domain.chain import judge_reading, nominal_length
from fieldlog.domain.criteria import SEVERITY
from fieldlog.domain.records import Basis, ChainSize, Drive
from fieldlog.domain.rules import InstrumentType
from tests.domain.build import CALIPER, POWERED, RULE_II, reading, rulebook
from tests.domain.published import cases, number

GENERAL = rulebook()
SIZES = st.sampled_from(
    [
        ChainSize(dn_mm=number(case, "dn"), pn_mm=number(case, "pn"))
        for case in cases("chain", "geometry", 10)[:6]  # those that the caliper spans
    ]
)
GROWTHS = st.decimals(min_value="0", max_value="12", places=3)
TOOLS = st.sampled_from([None, RULE_II, CALIPER])
DRIVES = st.sampled_from(list(Drive))
BASES = st.sampled_from([Basis.INSIDE, Basis.OUTSIDE])


def severity(size: ChainSize, growth: Decimal, basis: Basis, **how: Any) -> int:
    book = how.pop("book", GENERAL)
    drive = how.pop("drive", Drive.ELECTRIC)
    value = nominal_length(size, 11, basis) + growth
    return SEVERITY[judge_reading(reading(value, basis=basis), size, book, drive, **how).finding.verdict]


@given(SIZES, GROWTHS, GROWTHS, BASES, TOOLS)
def test_a_verdict_never_improves_as_growth_rises(
    size: ChainSize, one: Decimal, other: Decimal, basis: Basis, tool: InstrumentType | None
) -> None:
    less, more = sorted((one, other))
    assert severity(size, less, basis, instrument=tool) <= severity(size, more, basis, instrument=tool)


@given(SIZES, GROWTHS, BASES, DRIVES)
def test_a_coarser_tool_is_never_milder(size: ChainSize, growth: Decimal, basis: Basis, drive: Drive) -> None:
    found = [severity(size, growth, basis, drive=drive, instrument=tool) for tool in (None, CALIPER, RULE_II)]
    assert found == sorted(found)


@given(SIZES, GROWTHS, TOOLS, st.decimals("0.5", 5, places=2), st.decimals("0.5", 5, places=2))
def test_a_stricter_percentage_never_gives_a_milder_verdict(
    size: ChainSize, growth: Decimal, tool: InstrumentType | None, one: Decimal, other: Decimal
) -> None:
    strict, mild = (
        rulebook(elongation=(replace(POWERED, percent=percent),)) for percent in sorted((one, other))
    )
    assert severity(size, growth, Basis.INSIDE, book=strict, instrument=tool) >= severity(
        size, growth, Basis.INSIDE, book=mild, instrument=tool
    )


@given(SIZES, GROWTHS, DRIVES)
def test_inside_and_outside_tell_the_same_of_the_same_growth(
    size: ChainSize, growth: Decimal, drive: Drive
) -> None:
    inside, outside = (
        judge_reading(reading(nominal_length(size, 11, basis) + growth, basis=basis), size, GENERAL, drive)
        for basis in (Basis.INSIDE, Basis.OUTSIDE)
    )
    assert inside.finding.verdict is outside.finding.verdict
    assert (inside.growth_mm, inside.used_pct) == (outside.growth_mm, outside.used_pct)
