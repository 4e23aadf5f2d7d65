"""Proves the few computed measures of a layout."""

from decimal import Decimal

import pytest

from fieldlog.domain.label_content import FIELDS
from fieldlog.printing import layouts
from fieldlog.printing.layouts import Align, Box, CodeBox, TextBox, Weight
from fieldlog.printing.templates import load_template
from tests.printing.specimens import SHEETS


def text_box(field: str, before: str = "") -> TextBox:
    box = Box(x_mm=Decimal(0), y_mm=Decimal(0), w_mm=Decimal(30), h_mm=Decimal(5))
    return TextBox(
        field=field,
        box=box,
        size_pt=Decimal(9),
        least_pt=Decimal(5),
        weight=Weight.BOLD,
        align=Align.LEFT,
        before=before,
    )


@pytest.mark.parametrize("name", SHEETS)
def test_labels_on_a_page(name):
    # 24 and 30 labels: the sheets' published count; a roll has one a page
    assert layouts.labels_on_page(load_template(name)) == (SHEETS[name].count or 1)


def test_a_version_1_symbol_of_half_millimetre_modules():
    # ISO/IEC 18004: version 1 has 21 modules, 14.5 mm with its quiet zone at 0.5 mm
    area = layouts.symbol_area(CodeBox(x_mm=Decimal(3), y_mm=Decimal(4), module_mm=Decimal("0.5")))
    assert (area.x_mm, area.y_mm, area.w_mm, area.h_mm) == (3, 4, Decimal("10.5"), Decimal("10.5"))
    assert area.w_mm + 8 * Decimal("0.5") == Decimal("14.5")


def test_figures_need_less_height_than_capitals_and_those_less_than_any_text():
    heights = [layouts.height_per_point(text_box(field)) for field in ("year", "id", "place")]
    assert heights == sorted(set(heights))
    assert layouts.height_per_point(text_box("due", "by ")) == layouts.height_per_point(text_box("place"))


def test_named_fields_exist():
    known = {field for fields in FIELDS.values() for field in fields}
    assert known >= layouts.TALLEST.keys()
    assert known >= layouts.NEVER_CUT
    for kind, fields in layouts.NEEDED.items():
        assert set(fields) <= set(FIELDS[kind])
