"""Verdicts on typed figures without a hoist: the same figures as printed in the sources."""

from decimal import Decimal
from typing import Any

import pytest

from fieldlog.domain.records import Basis, ChainSize
from fieldlog.errors import InputError
from fieldlog.operations.calculating import (
    book_of,
    chain,
    diameter,
    drive_of,
    exact,
    hook,
    hook_rule,
    instrument_of,
)
from fieldlog.rulebook.loader import load_rulebook
from fieldlog.units import parse_length
from tests.domain.published import Case, cases, number, printed

FIVE = ChainSize(dn_mm=Decimal(5), pn_mm=Decimal(15))
CHAIN: dict[str, Any] = {
    "size": FIVE,
    "links": 11,
    "basis": Basis.INSIDE,
    "drive": "powered",
    "rulebook": "general",
    "book_length": "",
    "book_discard": "",
    "unused": "",
    "tool": "",
    "readings": ("167.2",),
}
D = Decimal


def chained(**changes: Any) -> dict[str, Any]:
    return chain(**(CHAIN | changes))


@pytest.mark.parametrize(
    ("value", "text"),
    [("165", "165"), ("165.40", "165.4"), ("1E+2", "100"), ("0.000", "0"), ("-0.50", "-0.5")],
)
def test_numbers_are_exact_decimals_without_an_exponent(value: str, text: str) -> None:
    assert exact(D(value)) == text
    assert exact(None) is None


# The same growth of 2.55 mm inside and outside: ISO 3077:2001 geometry with DOE-STD-1090-96 ch. 8.
@pytest.mark.parametrize("case", cases("chain", "growth_conversion", 2), ids=lambda case: str(case["basis"]))
def test_both_conversions_of_one_growth(case: Case) -> None:
    found = chained(basis=Basis(case["basis"]), readings=(str(number(case, "reading")),))
    assert found["growth_mm"] == case["growth"]
    assert found["verdict"] == "discard"


@pytest.mark.parametrize("case", cases("chain", "geometry", 10), ids=lambda case: str(case["dn"]))
def test_reference_and_limit_of_every_size(case: Case) -> None:
    size = ChainSize(dn_mm=number(case, "dn"), pn_mm=number(case, "pn"))
    inside = chained(size=size, readings=(str(number(case, "inside")),))
    assert D(inside["reference_mm"]) == number(case, "inside")
    assert D(inside["limit_mm"]) == D(case["grown"]["1.5"])
    hand = chained(size=size, drive="hand", readings=(str(number(case, "inside")),))
    assert D(hand["limit_mm"]) == D(case["grown"]["2.5"])
    outside = chained(size=size, basis=Basis.OUTSIDE, readings=(str(number(case, "outside")),))
    assert D(outside["reference_mm"]) == number(case, "outside")


@pytest.mark.parametrize("case", cases("chain", "discard_length", 4), ids=lambda case: str(case["limit"]))
def test_from_unused_to_discard_length(case: Case) -> None:
    # The printed limits are percentages of the unused length; over 20 links of 15 mm that is the nominal one.
    if case["unit"] == "in":
        unused, limit = (parse_length(f"{case[key]} in").value for key in ("unused", "limit"))
        links, size = 1, ChainSize(dn_mm=unused / 3, pn_mm=unused)
    else:
        unused, limit = number(case, "unused"), number(case, "limit")
        links, size = 20, FIVE
    drive = "hand" if case["drive"] == "hand" else "powered"
    found = chained(links=links, size=size, drive=drive, unused=f"{unused:f}", readings=(f"{limit:f}",))
    assert D(found["limit_mm"]) == limit
    assert (found["verdict"], found["reference_from"]) == ("discard", "measured on unused links")


@pytest.mark.parametrize("case", cases("chain", "same_reading", 3), ids=lambda case: str(case["drive"]))
def test_one_reading_on_each_drive(case: Case) -> None:
    drive = "hand" if case["drive"] == "hand" else "powered"
    found = chained(drive=drive, readings=(str(number(case, "reading")),))
    assert found["verdict"] == case["verdict"]
    assert printed(D(found["elongation_pct"]), case["percent"])


def test_the_worst_reading_governs_and_each_stands_below() -> None:
    found = chained(readings=("165.4", "167.5", "166.1"))
    assert (found["verdict"], found["growth_mm"]) == ("discard", "2.5")
    assert [row["reading_mm"] for row in found["readings"]] == ["165.4", "167.5", "166.1"]
    assert [row["verdict"] for row in found["readings"]] == ["keep", "discard", "keep"]


# A rule of class II can say keep only up to 2.000 mm growth of 2.475 (SI 2016/1153; ISO 14253-1 from memory).
@pytest.mark.parametrize(
    ("reading", "verdict"),
    [("167.000", "watch"), ("167.001", "undecided"), ("167.474", "undecided"), ("167.475", "discard")],
)
def test_a_steel_rule_near_the_limit(reading: str, verdict: str) -> None:
    found = chained(tool="rule-ii", readings=(reading,))
    assert (found["verdict"], found["guard_mm"]) == (verdict, "0.4749")


def test_the_book_goes_before_the_rulebook_and_names_itself() -> None:
    found = chained(book_length="165.2", book_discard="168.5", readings=("168",))
    assert (found["verdict"], found["limit_mm"], found["allowed_growth_mm"]) == ("watch", "168.5", "3.3")
    assert found["reference_from"] == "maker's book (as typed)"
    with pytest.raises(InputError, match="not longer than the book length"):
        chained(book_length="168", book_discard="168")
    assert book_of(11, Basis.INSIDE, "", "") is None


def test_a_reference_that_can_not_be_is_questioned() -> None:
    # shorter than n pn, or more than 0.5 % over it (common practice, no source)
    assert "shorter than 11 new links" in chained(unused="164.9")["questions"][0]
    assert "over 0.5 % longer" in chained(book_length="165.9")["questions"][0]
    assert chained(unused="165.825")["questions"] == []


def test_a_gauge_tells_touch_or_gap_and_nothing_else() -> None:
    found = chained(basis=Basis.GAUGE, readings=("gap", "touch"))
    assert (found["verdict"], found["growth_mm"], found["used_pct"]) == ("discard", None, None)
    with pytest.raises(InputError, match="'touch' or 'gap'"):
        chained(basis=Basis.GAUGE, readings=("167",))


@pytest.mark.parametrize("case", cases("wire", "diameter", 3), ids=lambda case: f"{case['d1']}-{case['d2']}")
def test_the_diameter(case: Case) -> None:
    found = diameter(
        nominal=number(case, "dn"), d1=number(case, "d1"), d2=number(case, "d2"), rulebook="general"
    )
    assert (D(found["mean_mm"]), found["verdict"]) == (number(case, "mean"), case["verdict"])
    assert D(found["limit_mm"]) == number(case, "dn") * D("0.9")


@pytest.mark.parametrize("case", cases("hook", "limit", 5), ids=lambda case: f"{case['rule']}-{case['new']}")
def test_hook_limits_under_each_rule(case: Case) -> None:
    new = number(case, "new")
    found = hook(new=new, now=new, rulebook=case["rule"], twist_deg=D(0), crack=False)
    assert (D(found["limit_mm"]), found["verdict"]) == (number(case, "limit"), "keep")


@pytest.mark.parametrize("case", cases("hook", "verdict", 3), ids=lambda case: str(case["rule"]))
def test_one_hook_under_each_rule(case: Case) -> None:
    new, now = number(case, "new"), number(case, "now")
    found = hook(new=new, now=now, rulebook=case["rule"], twist_deg=D(0), crack=False)
    assert D(found["opening_pct"]) == number(case, "percent")
    assert found["verdict"] == case["verdict"]


def test_twist_and_crack() -> None:
    # 29 CFR 1910.179: cracks, or more than 10 degrees of twist
    values = {"new": D(40), "now": D(40), "rulebook": "us-osha"}
    assert hook(**values, twist_deg=D(10), crack=False)["verdict"] == "keep"
    assert hook(**values, twist_deg=D("10.1"), crack=False)["verdict"] == "discard"
    assert hook(**values, twist_deg=D(0), crack=True)["verdict"] == "discard"


def test_names_that_are_not_known_are_refused_with_those_that_are() -> None:
    assert hook_rule("us")[0].id == "us-osha"
    with pytest.raises(InputError, match=r"no hook rule 'x': general, .*us-b30"):
        hook_rule("x")
    with pytest.raises(InputError, match=r"no instrument 'x': .*rule-ii"):
        instrument_of("x", load_rulebook("general"))
    assert instrument_of("", load_rulebook("general")) is None
    assert (drive_of("hand").value, drive_of("powered").value) == ("hand", "electric")
