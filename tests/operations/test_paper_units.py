"""Proves that paper speaks in the shop's units and never without the recorded value beside a converted one.

Factors: 1 in = 25.4 mm and 1 lb = 0.45359237 kg, both exact (international yard and pound agreement, 1959;
NIST SP 811, appendix B), 1 ft = 12 in (the same). The sums here are made with fractions, not by fieldlog.
"""

import re
from decimal import Decimal
from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fieldlog.domain.records import ChainSize, ShopSettings
from fieldlog.domain.report_content import Facts, Report, Table, Text
from fieldlog.errors import InputError
from fieldlog.operations.label_log import says_of
from fieldlog.operations.paper import content
from fieldlog.operations.paper_jobs import spare_content
from fieldlog.operations.paper_units import (
    LENGTH_UNITS,
    METRIC,
    THE_RECORD_GOVERNS,
    PaperUnits,
    figure_cell,
    figure_unit,
    read_unit,
    shop_chain,
    shop_length,
    shop_lengths,
    shop_long_length,
    shop_mass,
    units_of,
)
from fieldlog.operations.reporting import (
    chain_report,
    due_report,
    inspection_report,
    logbook_report,
    notice_report,
)
from fieldlog.operations.shop import Shop
from fieldlog.operations.shop_settings import set_shop
from tests.operations.builder import ADA, NOW, TODAY
from tests.operations.report_samples import facts_of, new_chain, section, story, words_of

D = Decimal
INCH = PaperUnits(length="in", mass="lb")
FACTORS = {"in": Fraction("25.4"), "ft": Fraction("304.8"), "lb": Fraction("0.45359237")}
STEPS = {"in": Fraction("0.0001"), "ft": Fraction("0.01"), "lb": Fraction("0.1")}
RECORD = {"mm": 1, "m": 1000, "kg": 1}
PAIR = re.compile(r"([0-9.]+) (in|ft|lb) \(([0-9.]+) (mm|m|kg)\)")


def holds(text: str) -> bool:
    """Whether the text is a converted value that is as near as its last digit allows to the recorded one."""
    match = PAIR.fullmatch(text)
    assert match, text
    shown, unit, recorded, of = match.groups()
    gap = abs(Fraction(shown) - Fraction(recorded) * RECORD[of] / FACTORS[unit])
    return gap <= STEPS[unit] / 2


@pytest.mark.parametrize(
    ("value", "shown"),
    [
        ("25.4", "1 in (25.4 mm)"),
        ("167.475", "6.5935 in (167.475 mm)"),  # 167.475 / 25.4 = 6.59350...
        ("165.1", "6.5 in (165.1 mm)"),  # 6 1/2 in
        ("234.15625", "9.2188 in (234.15625 mm)"),  # 9 7/32 in = 9.21875 in: a half, to the even digit
        ("0.00127", "0 in (0.00127 mm)"),  # 0.00005 in: a half, to the even digit
        ("0.00381", "0.0002 in (0.00381 mm)"),  # 0.00015 in: a half, to the even digit
        ("0", "0 in (0 mm)"),
    ],
)
def test_a_length_in_inches_with_the_record_beside_it(value: str, shown: str) -> None:
    assert shop_length(D(value), INCH) == shown


@pytest.mark.parametrize(
    ("value", "shown"),
    [
        ("500", "1102.3 lb (500 kg)"),  # 1102.311...
        ("0.45359237", "1 lb (0.45359237 kg)"),
        ("907.18474", "2000 lb (907.18474 kg)"),  # a short ton, NIST SP 811
        ("125000", "275577.8 lb (125000 kg)"),  # 275577.827...
    ],
)
def test_a_mass_in_pounds_with_the_record_beside_it(value: str, shown: str) -> None:
    assert shop_mass(D(value), INCH) == shown


def test_what_is_long_is_told_in_feet() -> None:
    assert shop_long_length(D("3048"), INCH) == "10 ft (3048 mm)"
    assert shop_long_length(D("12500"), INCH, "m") == "41.01 ft (12.5 m)"  # 41.0104... ft
    assert shop_long_length(D("12500"), METRIC, "m") == "12.5 m"
    assert shop_long_length(D("3000"), METRIC) == "3000 mm"


def test_a_metric_shop_reads_the_record_alone() -> None:
    assert shop_length(D("167.475")) == "167.475 mm"
    assert shop_mass(D("500")) == "500 kg"
    assert (figure_cell(D("167.475")), figure_unit()) == ("167.475", "mm")
    assert shop_lengths((D("165.1"), D("165.3"))) == "165.1, 165.3 mm"


def test_columns_and_chains() -> None:
    assert (figure_cell(D("167.475"), INCH), figure_unit(INCH)) == ("6.5935\n(167.475)", "in (mm)")
    size = ChainSize(dn_mm=D("5"), pn_mm=D("15"), grade="T")
    assert shop_chain(size) == "5 x 15 mm, T"
    assert shop_chain(size, INCH) == "0.1969 x 0.5906 in (5 x 15 mm), T"  # 0.19685, 0.590551...
    assert shop_lengths((D("25.4"), D("50.8")), INCH) == "1 in (25.4 mm), 2 in (50.8 mm)"


@pytest.mark.parametrize("show", [shop_length, shop_mass, shop_long_length, figure_cell])
def test_nothing_recorded_stays_nothing(show: object) -> None:
    assert show(None, INCH) == ""  # type: ignore[operator]


def test_a_value_worked_out_without_end_is_told_to_a_micrometre() -> None:
    assert shop_length(D(1) / D(3), INCH) == "0.0131 in (0.333 mm)"


@given(st.decimals("0", "1000000", places=8))
def test_what_is_shown_is_as_near_as_its_digits_allow_and_the_record_stays_exact(value: Decimal) -> None:
    for shown in (shop_length(value, INCH), shop_long_length(value, INCH), shop_mass(value, INCH)):
        assert holds(shown)
        assert D(re.findall(r"\(([0-9.]+) ", shown)[0]) == value


def test_a_unit_is_known_by_its_usual_names_and_others_are_refused() -> None:
    read = read_unit("the unit", "length", LENGTH_UNITS)
    assert [read(text) for text in ("mm", "IN", "inches", '"', " millimetre ")] == [
        "mm",
        "in",
        "in",
        "in",
        "mm",
    ]
    with pytest.raises(InputError, match="the unit is one of mm, in, not cm"):
        read("cm")
    with pytest.raises(InputError, match="not in a unit of length"):
        read("lb")


def test_a_shop_from_before_its_first_choice_is_metric() -> None:
    assert units_of(None) == METRIC
    assert units_of(ShopSettings(shop="x", prefix="SW", rulebook="uk")) == METRIC


@pytest.fixture(scope="module")
def inch(tmp_path_factory: pytest.TempPathFactory) -> tuple[Shop, str]:
    """A shop with a story that speaks in inches and pounds."""
    shop, tag = story(tmp_path_factory.mktemp("inch"))
    new_chain(shop, tag, TODAY)
    set_shop(shop, {"length_unit": "in", "mass_unit": "lb"}, by=ADA, now=NOW, today=TODAY)
    return shop, tag


def reports(shop: Shop, tag: str) -> list[Report]:
    return [
        inspection_report(shop, tag, 3),
        logbook_report(shop, tag),
        chain_report(shop, tag),
        notice_report(shop, tag),
        due_report(shop, TODAY),
    ]


def texts_of(report: Report) -> list[str]:
    return [words_of(part).replace("\n(", " (") for part in report.sections]


def test_every_pair_on_every_report_is_true(inch: tuple[Shop, str]) -> None:
    for report in reports(*inch):
        pairs = [match[0] for text in texts_of(report) for match in PAIR.finditer(text)]
        assert pairs, report.title
        assert all(holds(pair) for pair in pairs)
        assert sum(THE_RECORD_GOVERNS in text for text in texts_of(report)) == 1, report.title


SEALED = ("Findings", "By rule", "Test", "Length as new and limit")


def test_no_length_or_load_stands_without_the_shops_unit_but_in_sealed_sentences(
    inch: tuple[Shop, str],
) -> None:
    for report in reports(*inch):
        for part in report.sections:
            for block in part.blocks:
                said = []
                if isinstance(block, Facts):
                    said = [fact.words.text for fact in block.rows if fact.label not in SEALED]
                if isinstance(block, Table):
                    figures = [index for index, column in enumerate(block.columns) if column.figures]
                    said = [row[index].text for row in block.rows for index in figures]
                if isinstance(block, Text) and not block.words.text.startswith(("Worked out", "Inches are")):
                    said = [block.words.text]
                for text in said:
                    bare = re.sub(r"(in|ft|lb)\s\([0-9.]+( x [0-9.]+)? (mm|m|kg)\)", "", text)
                    assert not re.search(r"[0-9] (mm|kg)\b", bare), (report.title, part.title, text)


def test_the_inspection_of_an_inch_shop_by_hand(inch: tuple[Shop, str]) -> None:
    """165.4, 165, 0.4 and 167.475 mm; 500 and 625 kg, by the factors above."""
    report = inspection_report(*inch, 3)
    words = words_of(section(report, "Load chain")).replace("\n(", " (")
    assert "6.5118 (165.4) | 6.4961 (165) | 0.0157 (0.4) | 6.5935 (167.475) | 16.2" in words
    assert facts_of(section(report, "The hoist"))["Capacity (SWL)"].startswith("1102.3 lb (500 kg) with ")
    assert "1377.9 lb (625 kg) | 1366.9 lb (620 kg)" in words_of(section(report, "Tests")).replace(
        "\n(", " ("
    )


def test_the_labels_of_an_inch_shop(inch: tuple[Shop, str]) -> None:
    """165.2 mm of new chain, discarded 2.475 mm longer, at 167.675 mm = 6.60137... in."""
    shop, tag = inch
    assert content(shop, tag, "tag", today=TODAY).texts["capacity"] == "1102.3 lb (500 kg)"
    plate = content(shop, tag, "chain", today=TODAY)
    assert plate.texts["nominal"] == "6.5039 in (165.2 mm)"
    assert plate.texts["discard"] == "6.6014 in (167.675 mm)"
    assert plate.texts["size"] == "5 x 15 mm", "a chain's size is its name"
    assert says_of(plate) == "5 x 15 mm, 6.6014 in (167.675 mm)"
    typed = {"chain": "5x15", "grade": "T", "length": "41 ft", "certificate": "C-1"}
    assert spare_content(shop, typed, today=TODAY).texts["length"] == "41 ft (12.4968 m)"


def test_a_change_of_units_changes_paper_alone(inch: tuple[Shop, str], tmp_path: Path) -> None:
    shop, tag = story(tmp_path)
    head = shop.logbooks.read(tag).head
    before = inspection_report(shop, tag)
    set_shop(shop, {"length_unit": "inch"}, by=ADA, now=NOW, today=TODAY)
    assert inspection_report(shop, tag) != before
    assert shop.logbooks.read(tag).head == head
    set_shop(shop, {"length_unit": "mm"}, by=ADA, now=NOW, today=TODAY)
    assert inspection_report(shop, tag) == before
