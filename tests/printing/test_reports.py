"""Proves the PDF of a report: the same bytes each time, text that can be selected, names of every alphabet,
numbered pages, bookmarks, and nothing outside the page."""

import subprocess
import sys
from datetime import date
from pathlib import Path

import pytest
from msgspec.structs import replace

from fieldlog.domain.report_content import Fact, Facts, Statement, Text
from fieldlog.printing.reports import render_report
from tests.printing.report_pages import (
    CYRILLIC,
    GREEK,
    POLISH,
    boxes,
    plot,
    reader,
    report,
    table,
    text_of,
    words,
)

PAPERS = {"a4": (595.28, 841.89), "letter": (612.0, 792.0)}
"""Points: A4 is 210 x 297 mm (ISO 216), letter 8.5 x 11 in (ASME Y14.1), a point 1/72 in (ISO 32000-1)."""
LONG = "The chain was run through twice and looked at link by link. " * 400
LONGEST_WORD = "Donaudampfschifffahrtselektrizitätenhauptbetriebswerkbauunterbeamtengesellschaft" * 30

SAME_AGAIN = """
import hashlib, sys
from tests.printing.report_pages import report
from fieldlog.printing.reports import render_report
print(hashlib.sha256(render_report(report(count=3)).pdf).hexdigest())
"""


@pytest.mark.parametrize("paper", PAPERS)
def test_the_same_report_gives_the_same_bytes(paper: str) -> None:
    first = render_report(report(count=3), paper)
    assert render_report(report(count=3), paper) == first
    assert render_report(report(count=4), paper) != first


def test_another_process_on_another_day_gives_the_same_bytes(monkeypatch: pytest.MonkeyPatch) -> None:
    """No clock, no random number and no hash seed has a say in them."""
    monkeypatch.setenv("PYTHONHASHSEED", "12345")
    monkeypatch.setenv("TZ", "Pacific/Auckland")
    root = Path(__file__).parents[2]
    other = subprocess.run(
        [sys.executable, "-c", SAME_AGAIN], capture_output=True, text=True, check=True, cwd=root
    )
    from hashlib import sha256

    assert other.stdout.strip() == sha256(render_report(report(count=3)).pdf).hexdigest()


def test_the_dates_inside_are_the_reports_own() -> None:
    told = reader(render_report(report()).pdf).metadata
    assert told is not None
    assert told.creation_date is not None
    assert told.creation_date.date() == date(2026, 2, 27)


@pytest.mark.parametrize("paper", PAPERS)
def test_the_paper_has_its_size(paper: str) -> None:
    box = reader(render_report(report(), paper).pdf).pages[0].mediabox
    assert (float(box.width), float(box.height)) == pytest.approx(PAPERS[paper], abs=0.01)


def test_title_author_subject_and_language() -> None:
    pdf = reader(render_report(report(author=POLISH)).pdf)
    told = pdf.metadata
    assert told is not None
    assert told.title == "Inspection report SW-0007-X 2026-02-27"
    assert (told.author, told.subject) == (POLISH, "Fenwright LC 500: periodic, 2026-02-27")
    assert told.creator == "fieldlog"
    assert pdf.root_object["/Lang"] == "en"


def test_every_page_says_which_it_is_of_how_many() -> None:
    pdf = reader(render_report(report(count=5)).pdf)
    count = len(pdf.pages)
    assert count > 2
    for number, page in enumerate(pdf.pages, start=1):
        assert f"page {number} of {count}" in page.extract_text()


def test_every_page_names_hoist_and_record() -> None:
    for page in reader(render_report(report(count=5)).pdf).pages:
        text = page.extract_text()
        assert "SW-0007-X" in text
        assert "line 3, 0123456789" in text


def test_every_section_has_a_bookmark_that_leads_to_its_page() -> None:
    pdf = reader(render_report(report(count=5)).pdf)
    marks = [(mark.title, pdf.get_destination_page_number(mark)) for mark in pdf.outline]
    assert [title for title, _ in marks] == [f"Part {number}" for number in range(1, 6)]
    for title, page in marks:
        assert page is not None
        assert title in pdf.pages[page].extract_text()


def test_sections_of_the_second_level_stand_below_the_first() -> None:
    whole, below = report(), report(table(), count=2, level=1)
    both = replace(whole, sections=(*whole.sections, *below.sections))
    pdf = reader(render_report(both).pdf)
    first, inner = pdf.outline
    assert first.title == "Part 1"
    assert [mark.title for mark in inner] == ["Part 1", "Part 2"]


def test_names_of_every_european_alphabet_print_right() -> None:
    printed = render_report(report(Text(words=words(f"{GREEK}; {POLISH}; {CYRILLIC}")), shop=GREEK))
    text = text_of(printed.pdf)
    assert f"{GREEK}; {POLISH}; {CYRILLIC}" in text
    assert printed.notices == ()


def test_a_character_that_the_font_has_not_is_replaced_and_told() -> None:
    printed = render_report(report(Text(words=words("tag 漢 here"))))
    assert "tag ? here" in text_of(printed.pdf)
    assert printed.notices == ("The font has no '漢' (U+6F22); a ? stands in its place.",)


def test_every_font_is_embedded() -> None:
    for page in reader(render_report(report(count=3)).pdf).pages:
        for font in page["/Resources"]["/Font"].values():
            assert "/FontFile2" in font["/FontDescriptor"], font["/BaseFont"]


@pytest.mark.parametrize("paper", PAPERS)
def test_no_character_stands_outside_the_page(paper: str) -> None:
    width, height = PAPERS[paper]
    crowded = report(
        Text(words=words(LONGEST_WORD)),
        Facts(rows=(Fact(label=LONGEST_WORD[:80], words=words(LONGEST_WORD)),)),
        table(rows=90, cell=LONGEST_WORD[:100]),
        Statement(headline=LONGEST_WORD[:200], lines=(LONG[:5000],), grave=True),
        plot(5.0, 130.0, 400.0),
        about="SWSW-123456-K",
        shop=LONGEST_WORD[:300],
        title="Report of thorough examination",
    )
    pages = boxes(render_report(crowded, paper).pdf)
    assert len(pages) > 3
    for page in pages:
        for left, lower, right, upper in page:
            assert left >= 0
            assert lower >= 0
            assert right <= width
            assert upper <= height


def test_a_logbook_of_many_lines_is_set_a_section_at_a_time() -> None:
    """Each is set when its turn comes, so that memory does not grow with the logbook."""
    printed = render_report(report(table(rows=4), count=300, level=0))
    assert printed.pages > 20
    assert len(reader(printed.pdf).outline) == 300
