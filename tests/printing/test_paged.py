"""Proves that pages go out as they are done, and that the file is a sound PDF of what was drawn."""

from io import BytesIO

import pypdf
import pypdfium2
import pytest
from reportlab.pdfgen.canvas import Canvas

from fieldlog.printing.fonts import font_name
from fieldlog.printing.paged import PagedPdf


def begun(stream):
    return PagedPdf(stream, size=(200, 100), title="Tżt", author="Łukasz", subject="Ωmega")


def draw(canvas, page):
    canvas.setFont(font_name("bold"), 12)
    canvas.drawString(10, 10, f"page {page} Łódź Ωμέγα")
    canvas.setFillColorRGB(0.6, 0.1, 0.1)
    canvas.rect(20, 30, 40, 50, stroke=0, fill=1)


def made(count):
    stream = BytesIO()
    pdf = begun(stream)
    for page in range(count):
        draw(pdf.canvas, page)
        pdf.end_page()
    pdf.close()
    assert pdf.pages == count
    return stream.getvalue()


@pytest.mark.parametrize("count", [1, 2, 30])
def test_two_readers_open_every_page(count):
    data = made(count)
    reader = pypdf.PdfReader(BytesIO(data), strict=True)
    expected = [f"page {page} Łódź Ωμέγα" for page in range(count)]
    assert [page.extract_text().strip() for page in reader.pages] == expected
    document = pypdfium2.PdfDocument(data)
    assert [page.get_textpage().get_text_bounded().strip() for page in document] == expected


def test_pages_are_drawn_as_reportlab_itself_writes_them():
    stream = BytesIO()
    canvas = Canvas(stream, pagesize=(200, 100), initialFontName=font_name("regular"))
    for page in range(2):
        draw(canvas, page)
        canvas.showPage()
    canvas.save()
    pictures = [
        [page.render(scale=2).to_pil().tobytes() for page in pypdfium2.PdfDocument(data)]
        for data in (made(2), stream.getvalue())
    ]
    assert pictures[0] == pictures[1]


def test_a_page_is_written_as_soon_as_it_is_done_and_forgotten():
    stream = BytesIO()
    pdf = begun(stream)
    sizes = [stream.tell()]
    for page in range(3):
        draw(pdf.canvas, page)
        pdf.end_page()
        sizes.append(stream.tell())
    assert sizes == sorted(set(sizes))
    kept = pdf.canvas._doc.idToObject
    assert [kept[f"Page{page}"] for page in (1, 2, 3)] == [None] * 3
    assert [kept[f"Page{page}Contents"] for page in (1, 2, 3)] == [None] * 3
    assert not any(isinstance(page, pypdf.PageObject) for page in pdf.canvas._doc.Pages.pages)


def test_the_file_says_what_it_is_and_has_no_date():
    data = made(1)
    assert dict(pypdf.PdfReader(BytesIO(data)).metadata) == {
        "/Title": "Tżt",
        "/Author": "Łukasz",
        "/Subject": "Ωmega",
        "/Creator": "fieldlog",
    }
    assert b"/Lang (en)" in data
    assert b"Date" not in data


def test_the_same_drawing_gives_the_same_bytes():
    assert made(3) == made(3)
