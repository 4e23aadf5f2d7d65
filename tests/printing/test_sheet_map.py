"""Proves that the map of a sheet shows the places that the labels really take."""

import pytest

from fieldlog.domain.label_content import TAG
from fieldlog.errors import InputError
from fieldlog.printing.labels import placing
from fieldlog.printing.layouts import labels_on_page
from fieldlog.printing.sheet_map import LEGEND, sheet_map
from fieldlog.printing.templates import load_template
from tests.printing.specimens import TEMPLATES, batch

A4 = "a4-2x4-99x67"


def test_used_printed_and_free_places_of_one_sheet():
    assert sheet_map(load_template(A4), 4, 3) == [
        "page 1:",
        "   1  . .",
        "   3  . #",
        "   5  # #",
        "   7  o o",
        LEGEND,
    ]


@pytest.mark.parametrize(
    ("many", "between"),
    [(8, ""), (9, ""), (17, "page 2 is full, 8 labels each"), (25, "pages 2 to 3 are full")],
)
def test_the_first_and_the_last_sheet_are_drawn_and_full_ones_between_counted(many: int, between: str):
    lines = sheet_map(load_template(A4), 1, many)
    drawn = [line for line in lines if line.startswith("page") and line.endswith(":")]
    assert drawn == ["page 1:"] + ([f"page {-(-many // 8)}:"] if many > 8 else [])
    assert any(line.startswith(between) for line in lines)


@pytest.mark.parametrize("name", [name for name in TEMPLATES if labels_on_page(load_template(name)) > 1])
@pytest.mark.parametrize(("start", "many"), [(1, 1), (5, 2), (2, 40)])
def test_the_map_agrees_with_the_list_of_places(name: str, start: int, many: int):
    template = load_template(name)
    room = labels_on_page(template)
    places = [line.split(":")[0] for line in placing(batch(TAG, many), template, start)]
    last = int(places[-1].split(",")[0].removeprefix("page "))
    shown = sheet_map(template, start, many)
    marks = "".join(line[4:] for line in shown if not line.startswith("page") and line != LEGEND)
    assert marks.count(".") == start - 1
    on_shown = [place for place in places if place.startswith(("page 1,", f"page {last},"))]
    assert marks.count("#") == len(on_shown)
    assert marks.count("o") == last * room - (start - 1) - many


def test_a_roll_is_told_in_one_line_and_what_can_not_be_is_refused():
    assert sheet_map(load_template("roll-62"), 1, 3) == ["3 labels of the roll, one a page"]
    with pytest.raises(InputError, match="Position 9 is not on"):
        sheet_map(load_template(A4), 9, 1)
    with pytest.raises(InputError, match="no label"):
        sheet_map(load_template(A4), 1, 0)
