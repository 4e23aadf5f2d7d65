"""Proves that templates are found, have the published geometry, and that all faults are told together."""

import re
from decimal import Decimal
from pathlib import Path

import pytest

import fieldlog
from fieldlog.domain.label_content import CHAIN, DUE, FIELDS, SPARE, TAG, WITHDRAWN
from fieldlog.errors import NotFoundError, TemplateError
from fieldlog.printing.layouts import symbol_area
from fieldlog.printing.templates import load_template, shipped_folder, template_names, usual_template
from tests.printing.specimens import LAYOUTS, SHEETS

ROLL = (shipped_folder() / "roll-62.toml").read_text(encoding="utf-8")


def test_the_shipped_templates_are_named():
    assert template_names() == sorted(SHEETS)


def test_templates_are_taken_from_inside_the_package_where_it_is_installed(tmp_path, monkeypatch):
    (tmp_path / "fieldlog" / "label_templates").mkdir(parents=True)
    monkeypatch.setattr(fieldlog, "__file__", str(tmp_path / "fieldlog" / "__init__.py"))
    assert shipped_folder() == tmp_path / "fieldlog" / "label_templates"
    (tmp_path / "fieldlog" / "label_templates").rmdir()
    assert shipped_folder() == tmp_path / "label_templates"


@pytest.mark.parametrize("name", SHEETS)
def test_geometry_is_the_published_one(name):
    sheet, template = SHEETS[name], load_template(name)
    grid = template.grid
    assert (template.page.w_mm, template.page.h_mm) == sheet.page
    assert (grid.w_mm, grid.h_mm) == sheet.size
    assert (grid.nx, grid.ny) == (sheet.nx, sheet.ny)
    assert (grid.x0_mm, grid.y0_mm) == sheet.first
    assert (grid.dx_mm, grid.dy_mm) == sheet.step


# Published rests to the right of the last and below the lowest label.
RESTS = {
    "a4-2x4-99x67": ("3.8", "13.2"),
    "a4-2x7-99x38": ("4.7", "16.5"),
    "a4-3x7-63x38": ("6.75", "14.8"),
    "a4-3x8-70x37": ("0", "1"),
    "letter-2x5": ("3.96875", "12.7"),
    "letter-3x10": ("3.96875", "12.7"),
}


@pytest.mark.parametrize("name", RESTS)
def test_what_rests_beside_and_below_the_labels(name):
    template = load_template(name)
    grid, page = template.grid, template.page
    right, below = map(Decimal, RESTS[name])
    assert page.w_mm - grid.x0_mm - (grid.nx - 1) * grid.dx_mm - grid.w_mm == right
    assert page.h_mm - grid.y0_mm - (grid.ny - 1) * grid.dy_mm - grid.h_mm == below


@pytest.mark.parametrize(("name", "kind"), LAYOUTS)
def test_codes_have_whole_dots_of_a_203_dpi_printer_and_half_a_millimetre(name, kind):
    code = load_template(name).layouts[kind].code
    assert code.module_mm >= Decimal("0.5")
    dots = code.module_mm / (Decimal("25.4") / 203)
    assert abs(dots / round(dots) - 1) < Decimal("0.002")
    assert symbol_area(code).w_mm == 21 * code.module_mm


@pytest.mark.parametrize("name", SHEETS)
def test_every_sheet_prints_tags_stickers_plates_and_shelf_labels(name):
    assert {TAG, DUE, CHAIN, SPARE} <= load_template(name).layouts.keys()


@pytest.mark.parametrize("name", SHEETS)
def test_a_sheet_without_out_of_service_tags_says_why(name):
    text = (shipped_folder() / f"{name}.toml").read_text(encoding="utf-8")
    assert ("Left out: out-of-service tag." in text) == (WITHDRAWN not in load_template(name).layouts)


@pytest.mark.parametrize("kind", [TAG, DUE, WITHDRAWN, CHAIN, SPARE])
def test_the_usual_template_of_a_kind_prints_it(kind):
    assert kind in load_template(usual_template(kind)).layouts


def test_the_file_that_explains_names_every_field():
    text = (shipped_folder() / "a4-3x8-70x37.toml").read_text(encoding="utf-8")
    for kind, fields in FIELDS.items():
        assert not fields or f"# {kind}: {', '.join(fields)}." in text


def test_a_shops_own_template_wins_over_the_shipped_one(tmp_path):
    (tmp_path / "roll-62.toml").write_text(
        ROLL.replace('title = "62 mm roll', 'title = "our roll'), encoding="utf-8"
    )
    (tmp_path / "bench.toml").write_text(ROLL, encoding="utf-8")
    assert template_names(tmp_path) == sorted([*SHEETS, "bench"])
    assert load_template("roll-62", tmp_path).title.startswith("our roll")
    assert load_template("bench", tmp_path).name == "bench"
    assert load_template("letter-3x10", tmp_path).name == "letter-3x10"
    assert load_template("roll-62").title.startswith("62 mm roll")


def test_a_file_is_taken_by_its_path(tmp_path):
    file = tmp_path / "bench.toml"
    file.write_text(ROLL, encoding="utf-8")
    assert load_template(file).name == load_template(str(file)).name == "bench"


@pytest.mark.parametrize(
    "wanted", ["roll-63", "../label_templates/roll-62", "", Path("nowhere.toml"), "nowhere.toml"]
)
def test_a_template_that_is_not_there(wanted, tmp_path):
    with pytest.raises(NotFoundError, match="There is no label template"):
        load_template(wanted, tmp_path / "none")


@pytest.mark.parametrize(
    ("content", "says"),
    [
        (b"title = ", "is not TOML"),
        (b"\xff\xfe", "can not be read as UTF-8"),
        (b"w = 1e9999999999999999999", "is not TOML"),
    ],
)
def test_a_file_that_is_no_toml(content, says, tmp_path):
    file = tmp_path / "bad.toml"
    file.write_bytes(content)
    with pytest.raises(TemplateError, match=r"bad\.toml") as refused:
        load_template(file)
    assert says in str(refused.value)


def test_five_planted_faults_are_named_together(tmp_path):
    begin, end = ROLL.index("[tag]"), ROLL.index("[due]")
    tag = ROLL[begin:end]
    above = re.search(r'field = "chain", x = ([0-9.]+), y = ([0-9.]+)', tag)
    planted = {
        r'field = "place"': 'field = "platz"',  # unknown field
        r"module_mm = [0-9.]+": "module_mm = 0.38",  # too fine
        r'(field = "site", x = [0-9.]+), y = [0-9.]+': rf"\1, y = {above[2]}",  # on the chain's box
        r'(field = "shop", [^}]*?), h = [0-9.]+': r"\1, h = 1.2",  # too low for its least size
    }
    for right, wrong in planted.items():
        tag, times = re.subn(right, wrong, tag)
        assert times == 1, right
    text = ROLL[:begin].replace("nx = 1\n", "nx = 2\n") + tag + ROLL[end:]  # a second label lies off the page
    file = tmp_path / "own.toml"
    file.write_text(text, encoding="utf-8")
    with pytest.raises(TemplateError) as refused:
        load_template(file)
    assert refused.value.exit_code == 2
    lines = str(refused.value).splitlines()
    assert lines[0] == f"The label template {file} can not be used:"
    for expected in (
        "own.toml, label.w: 2 labels across end at 124 mm, the page at 62 mm.",
        "own.toml, tag.text[5].field: 'platz' is no field of a tag label.",
        "own.toml, tag.code.module_mm: is 0.38 mm.",
        "own.toml, tag, field chain: overlaps field site.",
        "own.toml, tag, field shop: the box is 1.2 mm high, letters of 5 pt need 2.17 mm.",
    ):
        assert sum(line.strip().startswith(expected) for line in lines) == 1, (expected, lines)
