"""The shipped particulars, colours and letters against their sources.

The figures as printed stand in tests/check_values/rulebook_paper.toml.
"""

from decimal import Decimal
from typing import Any

import pytest

from fieldlog.domain.paper_rules import YearMeans
from fieldlog.rulebook.loader import load_all, load_rulebook
from tests.domain.published import cases

FILE = "rulebook_paper"
GENERAL = load_rulebook("general")


@pytest.mark.parametrize("case", cases(FILE, "lettering", 6))
def test_letter_heights_follow_the_distance(case: dict[str, Any]) -> None:
    [rule] = [rule for rule in GENERAL.lettering if rule.id == case["id"]]
    assert Decimal(case["feet"]) * 12 / rule.distance_per_height == Decimal(case["inches"])
    assert rule.least_distance_mm == 5 * 12 * Decimal("25.4"), "five feet, 29 CFR 1910.145(f)(4)(ii)"


@pytest.mark.parametrize("case", cases(FILE, "year_colour", 14))
def test_year_colours_repeat_as_their_source_says(case: dict[str, Any]) -> None:
    [scheme] = [scheme for scheme in GENERAL.year_colours if scheme.id == case["scheme"]]
    colour = scheme.colours[(case["year"] - scheme.from_year) % len(scheme.colours)]
    assert (colour.name, colour.ral) == (case["colour"], case["ral"])


def test_schemes_say_what_the_year_means() -> None:
    """StVZO Annex IX: year of the next inspection. Norway: year of approval."""
    meaning = {scheme.id: scheme.means for scheme in GENERAL.year_colours}
    assert meaning == {"six-years-due": YearMeans.DUE, "four-years-done": YearMeans.DONE}


def test_uk_reports_hold_every_paragraph_of_schedule_1() -> None:
    listed = cases(FILE, "loler_particular", 19)
    particulars = {particular.field: particular for particular in load_rulebook("uk").particulars}
    assert set(particulars) == {case["field"] for case in listed}
    for case in listed:
        assert particulars[case["field"]].source.certainty == case["certainty"]


def test_us_records_hold_the_three_particulars_of_the_certification() -> None:
    fields = {particular.field for particular in load_rulebook("us").particulars}
    assert {case["field"] for case in cases(FILE, "osha_particular", 3)} <= fields


def test_general_asks_for_whatever_any_regime_asks() -> None:
    asked = {particular.field for particular in GENERAL.particulars}
    for name, rulebook in load_all().items():
        assert {particular.field for particular in rulebook.particulars} <= asked, name


def test_uk_periodic_reports_are_kept_two_years_at_least() -> None:
    [case] = cases(FILE, "retention", 1)
    [rule] = [rule for rule in load_rulebook("uk").retention if rule.id == case["id"]]
    assert rule.least_months == case["least_months"]


def test_every_regime_has_a_sticker_rule_with_a_source() -> None:
    """DGUV Vorschrift 54, 23a: no sticker while there are safety defects; others are let pass."""
    for rulebook in load_all().values():
        assert rulebook.sticker is not None
        assert rulebook.sticker.with_minor_defects is True
