"""Proves that labels come as ordered, that a PDF is true to them and always the same, and what is refused."""

import hashlib
import os
import subprocess
import sys
from collections.abc import Sequence
from decimal import Decimal
from io import BytesIO
from pathlib import Path

import pypdfium2
import pytest

from fieldlog.domain.label_content import DUE, PROOF, SPARE, TAG, WITHDRAWN, LabelContent
from fieldlog.errors import InputError
from fieldlog.printing.labels import placing, write
from fieldlog.printing.layouts import labels_on_page
from fieldlog.printing.templates import load_template
from tests.printing.label_texts import LONGEST
from tests.printing.specimens import (
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
    seen,
    widened,
)

ROOT = Path(__file__).parents[2]


def test_the_pdf_says_what_it_is_and_carries_its_fonts():
    pdf = print_on("roll-62", [label(TAG, shop="Ελένη")], copies=2).pdf
    told = pypdfium2.PdfDocument(pdf).get_metadata_dict()
    assert told["Title"] == "Labels"
    assert told["Author"] == "Saltmarsh hoist shop"
    assert told["Subject"] == "2 labels: 62 mm roll, labels of 62 x 40 mm"
    assert b"/Lang (en)" in pdf
    assert pdf.count(b"/FontFile2") == 2
    assert b"Helvetica" not in pdf
    assert b"Date" not in pdf


def test_the_page_is_as_large_as_the_sheet_and_a_turned_one_is_fed_sideways():
    for name, sheet in SHEETS.items():
        page = pypdfium2.PdfDocument(full_sheet(name))[0]
        size = (page.get_width() * 25.4 / 72, page.get_height() * 25.4 / 72)
        expected = tuple(map(float, sheet.page))
        assert size == pytest.approx(expected[::-1] if sheet.turned else expected, abs=0.01)


def test_a_batch_that_works_out_each_label_when_asked_prints_the_same():
    class Asked(Sequence):
        def __len__(self):
            return 30

        def __getitem__(self, index):
            if index >= len(self):
                raise IndexError
            return label(TAG, f"SW-{index + 1:04d}-K")

    stream = BytesIO()
    template = load_template("a4-3x8-70x37")
    done = write(stream, Asked(), template, title="Labels", author="Saltmarsh hoist shop")
    assert done.pages == 2
    assert stream.getvalue() == print_on("a4-3x8-70x37", batch(TAG, 30)).pdf


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
    symbol = code_area("a4-3x8-70x37", TAG, SHEETS["a4-3x8-70x37"].corner(start))
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
    plain = code_area(name, TAG, SHEETS[name].corner(1))
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
        (0, 99),
    ):
        with pytest.raises(InputError, match="pushes print off the page"):
            print_on("a4-3x8-70x37", [label(TAG)], offset_mm=offset)
    for offset in ((Decimal("NaN"), 0), (0, Decimal("Infinity")), (0, Decimal("-100.1"))):
        with pytest.raises(InputError, match="is none: give up to 100 mm"):
            print_on("a4-3x8-70x37", [label(TAG)], offset_mm=offset)


def test_only_kinds_that_are_printed_bound_the_offset():
    # on the roll of 62 mm the month of a due sticker begins 2.2 mm from the left, the ID of a tag 2 mm
    assert print_on("roll-62", [label(DUE)], offset_mm=(Decimal("-2.1"), 0)).pages == 1
    with pytest.raises(InputError, match="pushes print off the page"):
        print_on("roll-62", [label(TAG)], offset_mm=(Decimal("-2.1"), 0))


def test_an_offset_moves_a_turned_page_right_and_down_as_it_is_read():
    name = "roll-29x90"
    image = seen(name, print_on(name, [label(TAG)], offset_mm=(1, Decimal("1.5"))).pdf, 300)
    plain = code_area(name, TAG, (0, 0))
    moved = tuple(edge + (1, 1.5)[index % 2] for index, edge in enumerate(plain))
    assert ink_mm(image, name, widened(moved, 1)) == pytest.approx(moved, abs=0.1)


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
    with pytest.raises(InputError, match="roll-62 has no layout for a withdrawn label, only for tag, due"):
        print_on("roll-62", [label(TAG), label(WITHDRAWN)])
    with pytest.raises(InputError, match="no layout for a proof label"):
        print_on("roll-62", [LabelContent(kind=PROOF, texts={}, code="")])


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


def test_a_label_without_a_code_has_none_and_keeps_its_place_blank():
    shelf = LabelContent(kind=SPARE, texts={**label(SPARE).texts, "id": ""}, code="")
    pdf = print_on("roll-62", [shelf]).pdf
    assert codes(seen("roll-62", pdf, 300)) == []
    assert ink_mm(seen("roll-62", pdf, 300), "roll-62", code_area("roll-62", SPARE, (0, 0))) is None


def test_an_id_too_long_to_be_read_from_afar_is_told():
    printed = print_on("a4-3x8-70x37", [label(TAG, "WWWW-999999-W")], copies=2)
    assert len(printed.cut) == 1
    assert printed.cut[0].startswith("WWWW-999999-W: id stands 4.")
    assert "not from 1.52 m; use a larger label." in printed.cut[0]
    assert print_on("a4-3x8-70x37", [label(TAG)]).cut == ()


def test_a_leading_zero_does_not_hide_the_month():
    assert print_on("roll-62", [label(DUE, month="03")]).pages == 1


def test_placing_says_which_label_goes_where():
    sheet = load_template("a4-3x8-70x37")
    assert placing([label(TAG, "AB-0001-C"), label(DUE, "AB-0002-D")], sheet, 24) == [
        "page 1, position 24 (row 8, column 3): tag AB-0001-C",
        "page 2, position 1 (row 1, column 1): due AB-0002-D",
    ]
    shelf = LabelContent(kind=SPARE, texts=label(SPARE).texts | {"id": ""}, code="")
    assert placing([shelf], load_template("roll-62")) == ["page 1: spare 5 x 15 mm"]
    assert placing([label(TAG, "AB-0001-C")], load_template("roll-62"), copies=2) == [
        "page 1: tag AB-0001-C",
        "page 2: tag AB-0001-C",
    ]
