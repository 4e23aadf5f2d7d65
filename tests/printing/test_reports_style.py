"""Proves how words are made ready for the page."""

import pytest

from fieldlog.errors import InputError
from fieldlog.printing.reports import render_report
from fieldlog.printing.reports_style import PAPERS, Typesetter, paper_size, styles
from tests.printing.report_pages import report, words


def test_papers_are_what_the_standards_say() -> None:
    """A4 210 x 297 mm (ISO 216), letter 8.5 x 11 in (ASME Y14.1); 72 points to the inch."""
    assert paper_size("a4") == pytest.approx((210 / 25.4 * 72, 297 / 25.4 * 72), abs=0.01)
    assert paper_size("letter") == (8.5 * 72, 11 * 72)
    assert set(PAPERS) == {"a4", "letter"}


def test_another_paper_is_refused() -> None:
    with pytest.raises(InputError, match="no paper is called 'a5': choose one of a4, letter"):
        render_report(report(), "a5")


def test_no_type_is_smaller_than_seven_points() -> None:
    """Common practice, no source: smaller type is not read in a workshop."""
    assert min(style.fontSize for style in styles().values()) >= 7


def test_what_is_missing_and_what_is_strong_are_told_apart_from_plain_words() -> None:
    setter = Typesetter()
    assert setter.words(words("kept")) == "kept"
    assert setter.words(words("kept", strong=True)) == "<b>kept</b>"
    assert "backColor" in setter.words(words("not recorded", missing=True))


def test_signs_of_the_markup_are_taken_as_text() -> None:
    assert Typesetter().markup("a < b & c") == "a &lt; b &amp; c"


def test_control_characters_and_tabs_become_spaces() -> None:
    assert Typesetter().clean("a\tb\u00a0c") == "a b c"


def test_replaced_characters_are_told_once() -> None:
    setter = Typesetter()
    assert setter.clean("漢 and 漢") == "? and ?"
    assert len(setter.notices()) == 1
