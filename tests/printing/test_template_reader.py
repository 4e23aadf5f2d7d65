"""Proves that a template file is read into exact values, and that every fault in its shape is named."""

import tomllib
from decimal import Decimal

import pytest

from fieldlog.printing.layouts import Align, Panel, Weight
from fieldlog.printing.template_reader import Faults, read

GOOD = """
title = "one label"
[page]
w = 62
h = 40.5
unprintable = 0
[label]
w = 62
h = 40.5
nx = 1
ny = 1
x0 = 0
y0 = 0
dx = 62
dy = 40.5
[tag]
code = { x = 3, y = 14, module_mm = 0.75 }
text = [ { field = "id", x = 3, y = 3, w = 56, h = 8, size = 31, least = 14, weight = "bold" } ]
[due]
months = { x = 3, y = 20, w = 56, h = 5 }
text = [
  { field = "month", x = 3, y = 7, w = 17, h = 10, size = 39, least = 24 },
  { field = "due", x = 3, y = 30, w = 21, h = 3, size = 6, least = 5, before = "due ", align = "right" },
]
"""


def read_text(text):
    faults = Faults("own.toml")
    return read(tomllib.loads(text, parse_float=Decimal), faults), [str(fault) for fault in faults.found]


def test_a_good_file_is_read_whole_and_exactly():
    draft, faults = read_text(GOOD)
    assert faults == []
    assert draft.title == "one label"
    assert (draft.page.w_mm, draft.page.h_mm, draft.page.unprintable_mm) == (62, Decimal("40.5"), 0)
    assert (draft.grid.nx, draft.grid.ny, draft.grid.dy_mm) == (1, 1, Decimal("40.5"))
    assert draft.layouts["tag"].code.module_mm == Decimal("0.75")
    assert draft.layouts["tag"].texts[0].weight is Weight.BOLD
    assert draft.layouts["due"].months.w_mm == 56
    due = draft.layouts["due"].texts[1]
    assert (due.before, due.align, due.weight) == ("due ", Align.RIGHT, Weight.REGULAR)


def test_the_other_elements_of_a_layout_are_read_too():
    text = GOOD.replace("unprintable = 0", "unprintable = 0\nturned = true")
    text = text.replace("[due]", "[due]\nread_from_mm = 3048\nring = { x = 1, y = 2, d = 20.5 }")
    text = text.replace('weight = "bold" }', 'lines = 2, panel = "black" }')
    text += "[withdrawn]\nsign = { x = 3, y = 4, d = 12, red = true }\n"
    text += "hole = { x = 30, y = 2, d = 6 }\ntext = []\n"
    draft, faults = read_text(text)
    assert faults == []
    assert draft.page.turned
    assert (draft.layouts["due"].read_from_mm, draft.layouts["due"].ring.d_mm) == (3048, Decimal("20.5"))
    ident = draft.layouts["tag"].texts[0]
    assert (ident.lines, ident.panel) == (2, Panel.BLACK)
    out = draft.layouts["withdrawn"]
    assert (out.sign.red, out.sign.d_mm, out.hole.red, out.hole.d_mm) == (True, 12, False, 6)


@pytest.mark.parametrize(
    ("old", "new", "place", "says"),
    [
        ('title = "one label"', "", "title", "is missing"),
        ('title = "one label"', "title = 5", "title", "text in quotes"),
        ("unprintable = 0", "", "page.unprintable", "is missing"),
        ("unprintable = 0", "unprintable = 0\ncolour = 1", "page.colour", "is not known here"),
        ("h = 40.5\nunprintable", 'h = "40.5"\nunprintable', "page.h", "Give a number above 0"),
        ("h = 40.5\nunprintable", "h = nan\nunprintable", "page.h", "Give a number above 0"),
        ("h = 40.5\nunprintable", "h = inf\nunprintable", "page.h", "Give a number above 0"),
        ("h = 40.5\nunprintable", "h = 1e400\nunprintable", "page.h", "up to 1500"),
        ("h = 40.5\nunprintable", "h = 0\nunprintable", "page.h", "is 0"),
        ("h = 40.5\nunprintable", "h = true\nunprintable", "page.h", "is True"),
        ("nx = 1", "nx = 0", "label.nx", "whole number from 1 to 200"),
        ("nx = 1", "nx = 1.5", "label.nx", "whole number from 1 to 200"),
        ("nx = 1", "nx = 201", "label.nx", "whole number from 1 to 200"),
        ("x0 = 0", "x0 = -1", "label.x0", "Give a number from 0"),
        ("dx = 62", "", "label.dx", "is missing"),
        ("module_mm = 0.75", "modul_mm = 0.75", "tag.code.module_mm", "is missing"),
        ("module_mm = 0.75", "modul_mm = 0.75", "tag.code.modul_mm", "is not known here"),
        ("code = { x = 3, y = 14, module_mm = 0.75 }", "code = 3", "tag.code", "must be a table"),
        ("months = { x = 3, y = 20, w = 56, h = 5 }", "months = { x = 3 }", "due.months.w", "is missing"),
        ('field = "id"', 'field = "idd"', "tag.text[1].field", "'idd' is no field of a tag label"),
        ('field = "due"', 'field = "chain"', "due.text[2].field", "'chain' is no field of a due label"),
        ('weight = "bold"', 'weight = "heavy"', "tag.text[1].weight", "one of regular, bold"),
        ('align = "right"', "align = 3", "due.text[2].align", "one of left, centre, right"),
        ("least = 14", "", "tag.text[1].least", "is missing"),
        ("[tag]", "[tag]\nmonths = { x = 1, y = 1, w = 40, h = 4 }", "tag.months", "is not known here"),
        ("[tag]", "[tagg]", "tagg", "is not known here"),
        ("[tag]", "[proof]", "proof", "is not known here"),
        ("[tag]", "[tag]\nring = { x = 1, y = 1, d = 40 }", "tag.ring", "is not known here"),
        ("[tag]", "[tag]\nhole = { x = 1, y = 1, d = 4, red = true }", "tag.hole.red", "is not known"),
        ("[tag]", "[tag]\nsign = { x = 1, y = 1, d = 4, red = 1 }", "tag.sign.red", "Give true or false"),
        ("[tag]", "[tag]\nsign = 3", "tag.sign", "must be a table"),
        ("[tag]", "[tag]\nread_from_mm = 0", "tag.read_from_mm", "above 0 and up to 50000"),
        ("[tag]", "[tag]\nread_from_mm = 50001", "tag.read_from_mm", "above 0 and up to 50000"),
        ("unprintable = 0", "unprintable = 0\nturned = 1", "page.turned", "Give true or false"),
        ('weight = "bold"', "lines = 0", "tag.text[1].lines", "whole number from 1 to 9"),
        ('weight = "bold"', "lines = 10", "tag.text[1].lines", "whole number from 1 to 9"),
        ('weight = "bold"', 'panel = "pink"', "tag.text[1].panel", "one of none, black, red, year"),
    ],
)
def test_a_fault_is_named_with_file_and_key(old, new, place, says):
    assert old in GOOD
    _, faults = read_text(GOOD.replace(old, new, 1).replace(", ,", ",").replace(",  }", " }"))
    named = [fault for fault in faults if fault.startswith(f"own.toml, {place}: ")]
    assert len(named) == 1, faults
    assert says in named[0]


def test_a_table_that_is_none_gets_one_fault_and_not_one_a_key():
    _, faults = read_text(GOOD.replace("[tag]", "[tag]\n[other]").replace("[page]", "[pages]"))
    assert [fault for fault in faults if "page" in fault.split(":")[0]] == [
        "own.toml, page: is missing. Add it to [the file].",
        "own.toml, pages: is not known here. Known are title, page, label, tag, due, withdrawn, "
        "chain, spare.",
    ]
    _, faults = read_text('title = "x"\npage = 3\nlabel = []\ntag = 1\n')
    assert sorted(fault.split(": ")[0] for fault in faults) == [
        "own.toml, label",
        "own.toml, page",
        "own.toml, tag",
    ]


def test_an_empty_file_is_told_what_it_lacks():
    _, faults = read_text("")
    assert [fault.split(": ")[0] for fault in faults] == [
        "own.toml, title",
        "own.toml, page",
        "own.toml, label",
        "own.toml, tag or due or withdrawn or chain or spare",
    ]


def test_text_that_is_no_list_of_boxes():
    start = GOOD.index('text = [ { field = "id"')
    _, faults = read_text(GOOD[:start] + 'text = "id"' + GOOD[GOOD.index("\n[due]") :])
    assert faults == ["own.toml, tag.text: must be a list of boxes. Write text = [ { field = ... }, ... ]."]
