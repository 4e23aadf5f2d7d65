"""Proves that the reader's outline leads to each page, or each label, as two PDF readers take it.

Source: ISO 32000-1, 12.3.3 (document outline) and 12.3.2.2 (explicit destinations), from memory.
"""

from io import BytesIO

import pypdf
import pypdfium2
import pytest

from fieldlog.domain.label_content import TAG
from fieldlog.printing.labels import MOST_MARKED
from tests.printing.specimens import SHEETS, batch, label, print_on

A4 = "a4-3x8-70x37"


def outline(pdf: bytes) -> list[tuple[int, str, int]]:
    """Level, title and page (from 0) of each mark, as pypdfium2 walks them."""
    return [
        (mark.level, mark.get_title(), mark.get_dest().get_index())
        for mark in pypdfium2.PdfDocument(pdf).get_toc()
    ]


def test_each_page_and_each_label_on_it_has_a_mark():
    marks = outline(print_on(A4, batch(TAG, 26), start=1).pdf)
    assert [mark for mark in marks if mark[0] == 0] == [
        (0, "Page 1: SW-0001-K tag to SW-0024-K tag", 0),
        (0, "Page 2: SW-0025-K tag to SW-0026-K tag", 1),
    ]
    below = [(1, f"SW-{number:04d}-K tag", 0 if number <= 24 else 1) for number in range(1, 27)]
    assert [mark for mark in marks if mark[0] == 1] == below


def test_a_mark_leads_to_the_upper_left_corner_of_its_label():
    reader = pypdf.PdfReader(BytesIO(print_on(A4, batch(TAG, 24)).pdf), strict=True)
    below = reader.outline[1]
    assert isinstance(below, list)
    for position, mark in enumerate(below, start=1):
        x, y = SHEETS[A4].corner(position)
        expected = (x * 72 / 25.4, (297 - y) * 72 / 25.4)
        assert (float(mark.left), float(mark.top)) == pytest.approx(expected, abs=0.5)


def test_a_roll_has_a_mark_for_each_label():
    marks = outline(print_on("roll-62", batch(TAG, 3), copies=2).pdf)
    assert [page for *_, page in marks] == [0, 1, 2, 3, 4, 5]
    assert marks[2] == (0, "SW-0002-K tag", 2)


@pytest.mark.parametrize(("many", "marks"), [(MOST_MARKED, 21 + MOST_MARKED), (MOST_MARKED + 1, 21)])
def test_a_long_batch_has_marks_for_its_pages_alone(many: int, marks: int):
    """Up to the limit each label, above it each of the sheets of 24: 500 and 501 labels take 21."""
    assert len(outline(print_on(A4, batch(TAG, many)).pdf)) == marks


def test_names_of_any_alphabet_are_told_whole():
    site = label(TAG, "Łódź-Ω")
    marks = outline(print_on("roll-62", [type(site)(kind=TAG, texts=site.texts, code="FL:SW-0001-K")]).pdf)
    assert marks == [(0, "Łódź-Ω tag", 0)]
