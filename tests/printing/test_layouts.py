"""Proves the few computed measures of a layout."""

from decimal import Decimal

import pytest

from fieldlog.domain.label_content import FIELDS
from fieldlog.printing import layouts
from fieldlog.printing.layouts import Align, Box, CodeBox, Layout, Panel, Round, TextBox, Weight
from fieldlog.printing.templates import load_template
from fieldlog.rulebook.loader import load_rulebook
from tests.printing.specimens import SHEETS


def text_box(field: str, before: str = "", lines: int = 1, panel: Panel = Panel.NONE) -> TextBox:
    box = Box(x_mm=Decimal(0), y_mm=Decimal(0), w_mm=Decimal(30), h_mm=Decimal(5))
    return TextBox(
        field=field,
        box=box,
        size_pt=Decimal(9),
        least_pt=Decimal(5),
        weight=Weight.BOLD,
        align=Align.LEFT,
        before=before,
        lines=lines,
        panel=panel,
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


def test_several_lines_need_so_many_times_the_height():
    one, three = (layouts.height_per_point(text_box("reason", lines=lines)) for lines in (1, 3))
    assert three == 3 * one


def test_a_text_keeps_off_the_edges_of_its_panel():
    assert layouts.text_area(text_box("signal")) == text_box("signal").box
    area = layouts.text_area(text_box("signal", panel=Panel.RED))
    # 8 % and 5 % of a height of 5 mm
    assert (area.x_mm, area.y_mm) == (Decimal("0.4"), Decimal("0.25"))
    assert (area.w_mm, area.h_mm) == (Decimal("29.2"), Decimal("4.5"))


def test_everything_that_gets_ink_has_an_area():
    code = CodeBox(x_mm=Decimal(3), y_mm=Decimal(20), module_mm=Decimal("0.5"))
    ring = Round(x_mm=Decimal(40), y_mm=Decimal(2), d_mm=Decimal(20))
    layout = Layout(kind="due", texts=(text_box("id"),), code=code, ring=ring)
    areas = layouts.inked_areas(layout)
    assert list(areas) == ["field id", "code", "ring"]
    assert areas["ring"] == Box(x_mm=Decimal(40), y_mm=Decimal(2), w_mm=Decimal(20), h_mm=Decimal(20))
    whole = Layout(
        kind="due", texts=(), code=code, months=text_box("id").box, ring=ring, sign=ring, hole=ring
    )
    assert list(layouts.inked_areas(whole)) == ["code", "months", "ring", "sign", "hole"]


def test_heights_from_afar_are_the_rulebook_s():
    # one unit in height for every 150 (signal words) and 300 units of distance: ANSI Z535.2, 9.2.3; read from
    # 5 ft, 1524 mm, at least: 29 CFR 1910.145 (f)(4)(ii)
    assert (layouts.SIGNAL_DISTANCE, layouts.MESSAGE_DISTANCE, layouts.LEAST_DISTANCE_MM) == (150, 300, 1524)
    held = {rule.id: rule for rule in load_rulebook("general").lettering}
    assert held["signal-word"].distance_per_height == layouts.SIGNAL_DISTANCE
    assert held["message"].distance_per_height == layouts.MESSAGE_DISTANCE
    assert held["signal-word"].least_distance_mm == layouts.LEAST_DISTANCE_MM


def test_named_fields_exist():
    known = {field for fields in FIELDS.values() for field in fields}
    assert known >= layouts.TALLEST.keys()
    assert known >= layouts.NEVER_CUT
    for kind, fields in layouts.NEEDED.items():
        assert set(fields) <= set(FIELDS[kind])
    for kind, ratios in layouts.FROM_AFAR.items():
        assert set(ratios) <= set(FIELDS[kind])
