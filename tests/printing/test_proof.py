"""Proves that a proof page has outlines and rulers where the published sheet and the paper have them."""

from decimal import Decimal

import pypdfium2
import pytest

from fieldlog.errors import InputError
from fieldlog.printing.proof import render_proof
from fieldlog.printing.templates import load_template
from tests.printing.specimens import SHEETS, TEMPLATES, codes, ink_mm, seen, words

DPI = 300


def proof(name, offset=(0, 0)):
    return render_proof(load_template(name), offset_mm=offset, title="proof", author="I. Fenwright").pdf


@pytest.mark.parametrize("name", [name for name in TEMPLATES if SHEETS[name].count])
def test_outlines_stand_where_the_published_sheet_has_its_labels(name):
    image, sheet = seen(name, proof(name), DPI), SHEETS[name]
    x, y = sheet.corner(1)
    wide, high = map(float, sheet.size)
    far_x, far_y = sheet.corner(sheet.count)
    for edge in (y + high, far_y):  # lower edge of the first row, upper edge of the last
        found = ink_mm(image, name, (x + wide * 0.1, edge - 0.5, x + wide * 0.15, edge + 0.5))
        assert (found[1] + found[3]) / 2 == pytest.approx(edge, abs=0.1)
    for edge in (x + wide, far_x):
        found = ink_mm(image, name, (edge - 0.5, y + high * 0.8, edge + 0.5, y + high * 0.85))
        assert (found[0] + found[2]) / 2 == pytest.approx(edge, abs=0.1)


@pytest.mark.parametrize("offset", [(0, 0), (Decimal("1.5"), Decimal("-0.75"))])
@pytest.mark.parametrize("name", TEMPLATES)
def test_the_printed_rulers_count_from_the_paper_s_edges(name, offset):
    # the tick of 20 mm stands 20 mm from the left, or from the upper edge, plus the offset
    image, sheet = seen(name, proof(name, offset), DPI), SHEETS[name]
    wide, high = map(float, sheet.page)
    edge = max(3.0, float(load_template(name).page.unprintable_mm))
    dx, dy = map(float, offset)
    top = high - edge - 3 + dy  # only ticks of whole centimetres reach so far
    found = ink_mm(image, name, (20 + dx - 0.45, top, 20 + dx + 0.45, top + 0.4))
    assert (found[0] + found[2]) / 2 == pytest.approx(20 + dx, abs=0.1)
    left = wide - edge - 3 + dx
    mark = 10 if high < 30 else 20
    found = ink_mm(image, name, (left, mark + dy - 0.45, left + 0.4, mark + dy + 0.45))
    assert (found[1] + found[3]) / 2 == pytest.approx(mark + dy, abs=0.1)


@pytest.mark.parametrize("name", TEMPLATES)
def test_the_code_is_10_5_mm_wide_and_read(name):
    # version 1 of ISO/IEC 18004 has 21 modules of 0.5 mm here
    image, page_w = seen(name, proof(name), DPI), float(SHEETS[name].page[0])
    assert codes(image) == ["FL:PROOF"]
    template = load_template(name)
    edge = max(3.0, float(template.page.unprintable_mm))
    x, y = (float(c) + edge for c in (template.grid.x0_mm, template.grid.y0_mm))
    right = x + float(template.grid.w_mm) - 2 * edge - (0 if SHEETS[name].count else 8)
    found = ink_mm(image, name, (right - 12.4, y - 0.5, min(right + 0.8, page_w), y + 11))
    assert found[2] - found[0] == pytest.approx(10.5, abs=0.1)
    assert found[3] - found[1] == pytest.approx(10.5, abs=0.1)


@pytest.mark.parametrize("name", TEMPLATES)
def test_it_says_which_sheet_which_offset_and_what_to_measure(name):
    text = " ".join(words(proof(name, (Decimal("-1.5"), 2))).split())
    assert f"{name}: proof with offset -1.5, 2 mm." in text
    if not SHEETS[name].turned:  # pdfium reads lines that stand on their side from the last one on
        assert "add to the offset: the figure printed here less the figure on your ruler" in text
        assert "the code 10.5 mm" in text
    numbers = {int(word) for word in text.split() if word.isdigit()}
    assert set(range(2, (SHEETS[name].count or 1) + 1)) <= numbers


def test_the_page_is_as_large_as_the_sheet_and_a_turned_one_is_fed_sideways():
    for name in TEMPLATES:
        page = pypdfium2.PdfDocument(proof(name))[0]
        size = (page.get_width() * 25.4 / 72, page.get_height() * 25.4 / 72)
        expected = tuple(map(float, SHEETS[name].page))
        assert size == pytest.approx(expected[::-1] if SHEETS[name].turned else expected, abs=0.01)


@pytest.mark.parametrize("offset", [(Decimal("100.1"), 0), (0, Decimal("NaN")), (Decimal("-Infinity"), 0)])
def test_an_offset_that_is_none_is_refused(offset):
    with pytest.raises(InputError, match="is none: give up to 100 mm"):
        proof("roll-62", offset)
    assert proof("roll-62", (100, -100))
