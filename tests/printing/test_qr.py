"""Proves that codes are the symbols ISO/IEC 18004 asks for, and that both ways to show them agree."""

from decimal import Decimal
from io import BytesIO

import pytest
import zxingcpp
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image
from reportlab.pdfgen.canvas import Canvas

from fieldlog.errors import InputError
from fieldlog.printing import qr
from tests.printing.specimens import codes, picture

# Alphanumeric capacity at level Q by version: ISO/IEC 18004, table of capacities, versions 1 to 4.
# Modules a side: 17 + 4 x version.
CAPACITY_Q = ((1, 16), (2, 29), (3, 47), (4, 67))
ALPHANUMERIC = (
    "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ $%*+-./:"  # ISO/IEC 18004, alphanumeric set of 45 characters
)


def as_picture(modules, module_px=4, quiet=4):
    side = len(modules) + 2 * quiet
    image = Image.new("L", (side, side), 255)
    for y, row in enumerate(modules):
        for x, dark in enumerate(row):
            if dark:
                image.putpixel((x + quiet, y + quiet), 0)
    return image.resize((side * module_px, side * module_px), Image.Resampling.NEAREST)


@pytest.mark.parametrize(("version", "capacity"), CAPACITY_Q)
def test_the_smallest_version_that_fits_is_taken(version, capacity):
    side = 17 + 4 * version
    assert len(qr.matrix("A" * (capacity - 1))) == side
    assert len(qr.matrix("A" * capacity)) == side
    assert len(qr.matrix("A" * (capacity + 1))) == side + 4


def test_a_tag_is_version_1_at_level_q_without_border():
    modules = qr.matrix("FL:SW-0007-X")
    assert len(modules) == qr.SMALLEST_SYMBOL == 21
    assert all(len(row) == 21 for row in modules)
    assert all(modules[0][:7])
    assert all(row[0] for row in modules[:7])
    read = zxingcpp.read_barcodes(as_picture(modules), formats=zxingcpp.BarcodeFormat.QRCode)
    assert [(code.text, code.ec_level) for code in read] == [("FL:SW-0007-X", "Q")]


def test_the_worked_size_example_of_the_retail_rules():
    # GS1, 'How big should a QR code powered by GS1 be': (29 + 8) * 0.396 = 14.652 mm
    assert qr.symbol_side(29 + 2 * qr.QUIET_MODULES, Decimal("0.396")) == Decimal("14.652")


@given(st.text(alphabet=ALPHANUMERIC, min_size=1, max_size=40))
@settings(max_examples=40, deadline=None)
def test_every_alphanumeric_text_is_read_back_by_another_decoder(text):
    assert codes(as_picture(qr.matrix(text))) == [text]


@pytest.mark.parametrize("text", ["", "fl:sw-0007-x", "FL:ŁÓ-0007-X", "FL_1", "A\n", "A" * 2421])
def test_a_text_that_can_not_be_a_code_is_refused(text):
    with pytest.raises(InputError) as refused:
        qr.matrix(text)
    assert "\n" not in str(refused.value)
    assert len(str(refused.value)) < 200


@given(
    st.integers(1, 12).flatmap(
        lambda side: st.lists(
            st.lists(st.booleans(), min_size=side, max_size=side), min_size=side, max_size=side
        )
    )
)
@settings(deadline=None)
def test_rectangles_cover_each_dark_module_once_and_no_light_one(rows):
    covered = [
        (column, row)
        for x, y, w, h in qr.rectangles(tuple(map(tuple, rows)))
        for column in range(x, x + w)
        for row in range(y, y + h)
    ]
    dark = {(x, y) for y, cells in enumerate(rows) for x, cell in enumerate(cells) if cell}
    assert len(covered) == len(set(covered))
    assert set(covered) == dark


def test_rectangles_are_merged_across_and_down():
    assert qr.rectangles(((True, True, False), (True, True, False), (False, False, True))) == (
        (0, 0, 2, 2),
        (2, 2, 1, 1),
    )


def test_the_drawing_is_one_path_of_exact_modules():
    stream = BytesIO()
    canvas = Canvas(stream, pagesize=(200, 200), pageCompression=0)
    modules = qr.matrix("FL:SW-0007-X")
    qr.draw(canvas, modules, left=20, top=180, module=4)
    canvas.save()
    assert stream.getvalue().count(b" f* Q") == 1
    page = picture(stream.getvalue(), 72)
    seen = tuple(
        tuple(page.getpixel((20 + 4 * x + 2, 20 + 4 * y + 2)) < 128 for x in range(21)) for y in range(21)
    )
    assert seen == modules
    assert page.point(lambda grey: 255 if grey < 128 else 0).getbbox()[:2] == (20, 20)


def test_terminal_lines_show_the_same_symbol_with_its_quiet_zone():
    text = "FL:SW-0007-X"
    lines = qr.terminal_lines(text)
    assert len(lines) == 15  # 21 + 8 modules, two a line
    assert {len(line) for line in lines} == {29}
    dark = {" ": (True, True), "▀": (False, True), "▄": (True, False), "█": (False, False)}
    rows = [tuple(dark[mark][half] for mark in line) for line in lines for half in (0, 1)][:29]
    assert not any(any(row) for row in (*rows[:4], *rows[-4:]))
    assert tuple(row[4:-4] for row in rows[4:-4]) == qr.matrix(text)
    assert codes(as_picture(rows, quiet=0)) == [text]
