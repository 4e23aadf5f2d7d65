"""Proves that every kind of block is drawn, flows over pages, and keeps its heading with it."""

from msgspec.structs import replace

from fieldlog.domain.report_content import Fact, Facts, Section, Statement, Table, Text
from fieldlog.printing.reports import render_report
from tests.printing.report_pages import POLISH, reader, report, table, text_of, words

LONG = "The chain was run through twice and looked at link by link. " * 400


def test_every_block_is_on_the_page() -> None:
    text = text_of(render_report(report()).pdf)
    for told in (
        "X OUT OF SERVICE",
        "D1: guide cracked",
        "not recorded",
        "first line second line",
        "Length, mm",
        "Used share of the allowed growth",
        "limit: discard",
        "Trend: no trend yet.",
        "Signed by",
        POLISH,
        "signature, place and day",
    ):
        assert told in text


def test_a_note_longer_than_a_page_goes_on_to_the_next() -> None:
    long = (
        report(Text(words=words(LONG))),
        report(Facts(rows=(Fact(label="Remark", words=words(LONG)),))),
        report(table(rows=2, cell=LONG)),
        report(Statement(headline="! LIMITED", lines=(LONG,))),
    )
    for given in long:
        printed = render_report(given)
        assert printed.pages > 1
        assert text_of(printed.pdf).count("twice") >= 400


def test_a_long_table_repeats_its_heading_on_each_page() -> None:
    pdf = reader(render_report(report(table(rows=150))).pdf)
    assert len(pdf.pages) > 2
    assert all("Length, mm" in page.extract_text() for page in pdf.pages)


def test_no_heading_stands_alone_at_the_foot_of_a_page() -> None:
    """Whatever stands before it: the heading is on the page on which its table begins."""
    for lines in range(0, 60, 3):
        filler = Text(words=words("\n".join(["line"] * lines)))
        begins = replace(report(table(rows=40)), sections=report(filler).sections)
        whole = replace(
            begins, sections=(*begins.sections, Section(title="Readings", blocks=(table(rows=40),)))
        )
        pages = [page.extract_text() for page in reader(render_report(whole).pdf).pages]
        heading = [text for text in pages if "Readings" in text]
        assert len(heading) == 1
        assert "kept 0" in heading[0]


def test_signs_of_markup_are_text() -> None:
    told = 'chain <b>5 x 15</b> & "T" &amp; </para>'
    assert told in text_of(render_report(report(Text(words=words(told)), table(cell=told))).pdf)


def test_a_block_without_rows_leaves_no_trace() -> None:
    empty = (Facts(rows=()), Table(columns=table().columns, rows=()), Text(words=words("")))
    assert "Place" not in text_of(render_report(report(*empty)).pdf)
