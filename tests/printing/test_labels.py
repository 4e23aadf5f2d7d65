"""Proves that labels come as ordered, that a PDF is true to them and always the same, and what is refused."""

import hashlib
import os
import subprocess
import sys
from decimal import Decimal
from pathlib import Path

import pypdfium2
import pytest

from fieldlog.domain.label_content import DUE, TAG, LabelContent
from fieldlog.errors import InputError
from fieldlog.printing.labels import placing
from fieldlog.printing.layouts import labels_on_page
from fieldlog.printing.templates import load_template
from tests.printing.specimens import (
    KINDS,
    LONGEST,
    SHEETS,
    TEMPLATES,
    batch,
    code_area,
    codes,
    full_sheet,
    ink_mm,
    label,
    pages,
    picture,
    print_on,
    words,
)

ROOT = Path(__file__).parents[2]


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("name", TEMPLATES)
def test_all_facts_can_be_selected_as_text(name, kind):
    names = {"by": "Łukasz Żółć-Ďurčo", "place": "Αίθουσα Πρέσας", "shop": "Ğüneş Їжак"}
    shown = label(kind, **{field: text for field, text in names.items() if field in label(kind).texts})
    text = words(print_on(name, [shown]).pdf)
    for fact in shown.texts.values():
        assert fact in text


def test_the_pdf_says_what_it_is_and_carries_its_fonts():
    pdf = print_on("roll-62", [label(TAG, shop="Ελένη")], copies=2).pdf
    told = pypdfium2.PdfDocument(pdf).get_metadata_dict()
    assert told["Title"] == "Labels"
    assert told["Author"] == "Saltmarsh hoist shop"
    assert told["Subject"] == "2 labels: 62 mm roll, labels of 62 x 40 mm"
    assert b"/Lang (en)" in pdf
    assert pdf.count(b"/FontFile2") == 2
    assert b"Helvetica" not in pdf


def test_the_page_is_as_large_as_the_sheet():
    for name, sheet in SHEETS.items():
        page = pypdfium2.PdfDocument(full_sheet(name, TAG))[0]
        size = (page.get_width() * 25.4 / 72, page.get_height() * 25.4 / 72)
        assert size == pytest.approx(tuple(map(float, sheet.page)), abs=0.01)


def test_the_same_input_gives_the_same_bytes_in_any_process():
    script = (
        "import hashlib\nfrom tests.printing.specimens import batch, print_on\n"
        "print(hashlib.sha256(print_on('a4-3x8-70x37', batch('due', 26)).pdf).hexdigest())"
    )
    here = hashlib.sha256(print_on("a4-3x8-70x37", batch(DUE, 26)).pdf).hexdigest()
    assert here == hashlib.sha256(print_on("a4-3x8-70x37", batch(DUE, 26)).pdf).hexdigest()
    environment = os.environ | {"PYTHONHASHSEED": "7", "TZ": "Pacific/Auckland", "PYTHONPATH": str(ROOT)}
    there = subprocess.run(
        [sys.executable, "-c", script], cwd=ROOT, env=environment, capture_output=True, text=True, check=False
    )
    assert there.stdout.strip() == here, there.stderr


@pytest.mark.parametrize("start", [1, 2, 4, 24])
def test_a_used_sheet_is_begun_at_any_position(start):
    printed = print_on("a4-3x8-70x37", [label(TAG)], start=start)
    symbol, _ = code_area("a4-3x8-70x37", TAG, start, 0)
    image = picture(printed.pdf, 300)
    x, y = SHEETS["a4-3x8-70x37"].corner(start)
    ink = ink_mm(image, "a4-3x8-70x37")
    assert ink[0] == pytest.approx(symbol[0], abs=0.1)
    assert x < ink[0] < ink[2] < x + 70
    assert y < ink[1] < ink[3] < y + 37


def test_labels_go_on_to_the_next_sheet():
    printed = print_on("a4-3x8-70x37", batch(TAG, 24), start=5)
    assert printed.pages == pages(printed.pdf) == 2
    assert [len(codes(picture(printed.pdf, 203, page))) for page in (0, 1)] == [20, 4]
    assert print_on("a4-3x8-70x37", batch(TAG, 20), start=5).pages == 1
    assert print_on("a4-3x8-70x37", batch(TAG, 21), start=5).pages == 2


def test_copies_follow_each_other():
    printed = print_on("roll-62", [label(TAG, "AB-0001-C"), label(DUE, "AB-0002-D")], copies=2)
    read = [codes(picture(printed.pdf, 203, page))[0] for page in range(printed.pages)]
    assert read == ["FL:AB-0001-C", "FL:AB-0001-C", "FL:AB-0002-D", "FL:AB-0002-D"]


@pytest.mark.parametrize("offset", [(Decimal("1.5"), Decimal("-2.25")), (-3, 4)])
def test_an_offset_moves_everything_right_and_down(offset):
    name = "letter-3x10"
    image = picture(print_on(name, [label(TAG)], offset_mm=offset).pdf, 300)
    plain, _ = code_area(name, TAG, 1, 0)
    moved = tuple(edge + float(offset[index % 2]) for index, edge in enumerate(plain))
    area = (moved[0] - 1, moved[1] - 1, moved[2] + 1, moved[3] + 1)
    assert ink_mm(image, name, area) == pytest.approx(moved, abs=0.1)


def test_an_offset_may_reach_the_edge_of_the_page_and_not_pass_it():
    # print on the A4 sheet begins 5 mm from the upper and left edge
    assert print_on("a4-3x8-70x37", [label(TAG)], offset_mm=(-5, -5)).pages == 1
    for offset in (
        (Decimal("-5.1"), 0),
        (0, Decimal("-5.1")),
        (Decimal("5.1"), 0),
        (Decimal("NaN"), 0),
        (0, 300),
    ):
        with pytest.raises(InputError, match="pushes print off the page"):
            print_on("a4-3x8-70x37", [label(TAG)], offset_mm=offset)


@pytest.mark.parametrize("name", TEMPLATES)
def test_a_start_beyond_the_sheet_is_refused(name):
    room = labels_on_page(load_template(name))
    assert print_on(name, [label(TAG)], start=room).pages == 1
    for start in (0, -1, room + 1):
        with pytest.raises(InputError, match=f"Position {start} is not on {name}"):
            print_on(name, [label(TAG)], start=start)
        with pytest.raises(InputError, match=f"Position {start} is not on {name}"):
            placing([label(TAG)], load_template(name), start)


def test_an_order_that_makes_no_sense_is_refused():
    with pytest.raises(InputError, match="no label to print"):
        print_on("roll-62", [])
    for copies in (0, 1001):
        with pytest.raises(InputError, match=f"{copies} copies"):
            print_on("roll-62", [label(TAG)], copies=copies)
    with pytest.raises(InputError, match="no layout for a shelf label"):
        print_on("roll-62", [LabelContent(kind="shelf", texts={"id": "AB-0001-C"}, code="FL:AB-0001-C")])


def test_a_label_that_would_not_be_true_is_refused():
    for month in ("0", "13", "Nov"):
        with pytest.raises(InputError, match=f"SW-0007-X: '{month}' is no month"):
            print_on("roll-62", [label(DUE, month=month)])
    with pytest.raises(InputError, match="too long for the code"):
        print_on("roll-62", [label(TAG, "ABCD-0000007-X")])
    assert (
        print_on("roll-62", [label(TAG, "ABCD-000007-X")]).cut == ()
    )  # FL: and 13 make 16 characters, version 1 at Q
    with pytest.raises(InputError, match="can not be a code"):
        print_on("roll-62", [label(TAG, "sw-0007-x")])
    with pytest.raises(InputError, match=r"capacity .* does not fit"):
        print_on("roll-62", [label(TAG, capacity="12500 kg on four falls, 6250 kg on two, 3125 kg on one")])


def test_shortened_texts_are_told_once_for_all_copies():
    printed = print_on("roll-62", [label(TAG, **LONGEST[TAG])] * 2, copies=3)
    assert sum("place was cut" in said for said in printed.cut) == 1
    assert print_on("roll-62", [label(TAG)]).cut == ()


def test_a_leading_zero_does_not_hide_the_month():
    assert print_on("roll-62", [label(DUE, month="03")]).pages == 1


def test_placing_says_which_label_goes_where():
    sheet = load_template("a4-3x8-70x37")
    assert placing([label(TAG, "AB-0001-C"), label(DUE, "AB-0002-D")], sheet, 24) == [
        "page 1, position 24 (row 8, column 3): tag AB-0001-C",
        "page 2, position 1 (row 1, column 1): due AB-0002-D",
    ]
    assert placing([label(TAG, "AB-0001-C")], load_template("roll-62"), copies=2) == [
        "page 1: tag AB-0001-C",
        "page 2: tag AB-0001-C",
    ]
