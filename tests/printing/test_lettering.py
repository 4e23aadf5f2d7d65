"""Proves that a text is set as large as its box takes, then smaller, then cut and told, and never wider."""

from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fieldlog.domain.label_content import CHAIN, DUE, SPARE, TAG, WITHDRAWN, LabelContent
from fieldlog.errors import InputError
from fieldlog.printing.fonts import MM_PER_POINT, printable, width_em
from fieldlog.printing.layouts import Align, Box, Layout, TextBox, Weight
from fieldlog.printing.lettering import ELLIPSIS, capital_height_mm, fit, fit_all, too_small_from_afar
from tests.printing.specimens import label


def text_box(field="place", *, w="40", h="4", size="9", least="6", before="", lines=1):
    return TextBox(
        field=field,
        box=Box(x_mm=Decimal(0), y_mm=Decimal(0), w_mm=Decimal(w), h_mm=Decimal(h)),
        size_pt=Decimal(size),
        least_pt=Decimal(least),
        weight=Weight.REGULAR,
        align=Align.LEFT,
        before=before,
        lines=lines,
    )


def width_mm(fitted):
    return width_em(fitted.text, fitted.box.weight) * fitted.size_pt * MM_PER_POINT


def test_a_short_text_keeps_its_size():
    fitted = fit("workshop", text_box(), "SW-0007-X")
    assert (fitted.text, fitted.size_pt, fitted.notices) == ("workshop", 9, ())


def test_a_longer_text_is_set_smaller_and_whole():
    text = "chlorine store, north gate, left"
    fitted = fit(text, text_box(), "SW-0007-X")
    assert fitted.text == text
    assert 6 <= fitted.size_pt < 9
    assert Decimal("39.3") < width_mm(fitted) <= 40


def test_a_low_box_makes_letters_smaller_too():
    # 3 mm / (1.2280 x 0.3528 mm a point) = 6.92 pt
    assert fit("g", text_box(h="3"), "SW-0007-X").size_pt == Decimal("6.9")


def test_at_the_least_size_the_end_is_cut_and_told():
    text = "intake hall, upper gallery, third bay from the river"
    fitted = fit(text, text_box(), "SW-0007-X")
    assert fitted.size_pt == 6
    assert fitted.text.endswith(ELLIPSIS)
    assert text.startswith(fitted.text.removesuffix(ELLIPSIS))
    assert fitted.notices == (f"SW-0007-X: place was cut to {fitted.text!r}; in full it reads {text!r}.",)


def test_exactly_as_wide_as_the_box_is_not_cut_and_a_hair_wider_is():
    text = "m" * 20
    exact = width_em(text, "regular") * 6 * MM_PER_POINT
    assert fit(text, text_box(w=str(exact + Decimal("0.0001"))), "x").notices == ()
    assert fit(text, text_box(w=str(exact - Decimal("0.0001"))), "x").text == "m" * 18 + ELLIPSIS


def test_a_cut_leaves_no_blank_or_comma_before_the_ellipsis():
    for width in range(12, 60):
        shown = fit(
            "bay 1, bay 2, bay 3, bay 4, bay 5, bay 6, bay 7, bay 8", text_box(w=str(width)), "x"
        ).text
        assert not shown.removesuffix(ELLIPSIS).endswith((" ", ","))


def test_words_before_a_text_are_part_of_it():
    assert fit("I. Fenwright", text_box("by", before="by "), "x").text == "by I. Fenwright"


def test_a_character_without_glyph_is_told():
    fitted = fit("吊 1", text_box(), "SW-0007-X")
    assert fitted.text == "? 1"
    assert fitted.notices == ("SW-0007-X: the font has no '吊' (U+540A) for place; a ? stands in its place.",)


@pytest.mark.parametrize("field", ["id", "capacity", "month", "year", "due"])
def test_what_would_mislead_when_cut_is_refused(field):
    with pytest.raises(InputError, match=f"SW-0007-X: {field} .* does not fit"):
        fit("1" * 60, text_box(field), "SW-0007-X")


@given(st.text(max_size=80), st.integers(10, 60))
@settings(deadline=None)
def test_no_text_is_wider_than_its_box_or_set_below_the_least_size(text, width):
    fitted = fit(text, text_box(w=str(width)), "x")
    assert width_mm(fitted) <= width
    assert 6 <= fitted.size_pt <= 9
    whole = printable(text, "regular").text
    assert fitted.text == whole or (
        fitted.text.endswith(ELLIPSIS) and any("was cut" in said for said in fitted.notices)
    )


def test_empty_texts_are_left_out():
    layout = Layout(kind=TAG, texts=(text_box("id"), text_box("place"), text_box("shop")))
    shown = fit_all(label(TAG, place=" ", shop=""), layout)
    assert [text.box.field for text in shown] == ["id"]


@pytest.mark.parametrize(
    ("kind", "field"),
    [
        *(
            (TAG, "id"),
            (DUE, "id"),
            (DUE, "month"),
            (DUE, "year"),
            (CHAIN, "discard"),
            (SPARE, "certificate"),
        ),
        *((WITHDRAWN, field) for field in ("signal", "message", "reason", "by", "since", "remove")),
    ],
)
def test_a_label_without_what_it_is_for_is_refused(kind, field):
    with pytest.raises(InputError, match=f"has no {field}"):
        fit_all(label(kind, **{field: " "}), Layout(kind=kind, texts=()))
    with pytest.raises(InputError, match=f"The {kind} label of {kind} label has no"):
        fit_all(LabelContent(kind=kind, texts={}, code=""), Layout(kind=kind, texts=()))


LONG = "upper chain guide cracked at the top, where it presses the chain into the pockets, and latch bent"


def test_a_text_runs_over_several_lines_of_about_equal_width():
    fitted = fit(LONG, text_box("reason", h="9", lines=3), "x")
    lines = fitted.text.split("\n")
    assert len(lines) == 3
    assert " ".join(lines) == LONG
    widths = [width_em(line, "regular") * fitted.size_pt * MM_PER_POINT for line in lines]
    assert max(widths) <= 40
    assert min(widths) > max(widths) * Decimal("0.7")
    assert fitted.notices == ()


def test_a_short_text_takes_one_of_its_lines_at_full_size():
    fitted = fit("latch bent", text_box("reason", h="12", lines=3), "x")
    assert (fitted.text, fitted.size_pt) == ("latch bent", 9)


def test_lines_share_the_height_of_their_box():
    # 6 mm / (2 lines x 1.228 x 0.3528 mm a point) = 6.92 pt
    assert fit(LONG[:40], text_box("reason", h="6", lines=2), "x").size_pt == Decimal("6.9")


@pytest.mark.parametrize("lines", [2, 3, 4])
def test_the_last_line_is_cut_and_told(lines):
    fitted = fit(LONG * 3, text_box("reason", h="12", lines=lines), "SW-0007-X")
    shown = fitted.text.split("\n")
    assert len(shown) == lines
    assert all(not line.endswith(ELLIPSIS) for line in shown[:-1])
    assert shown[-1].endswith(ELLIPSIS)
    assert fitted.notices[0].startswith("SW-0007-X: reason was cut to ")


def test_a_word_wider_than_the_box_is_cut_where_it_stands():
    fitted = fit("see " + "m" * 90 + " again", text_box("reason", h="12", lines=3), "x")
    shown = fitted.text.split("\n")
    assert shown[0] == "see"
    assert shown[1].startswith("mmm")
    assert shown[1].endswith(ELLIPSIS)
    assert len(shown) == 2


@given(st.text(max_size=160), st.integers(10, 60), st.integers(2, 4))
@settings(deadline=None)
def test_no_line_is_wider_than_its_box(text, width, lines):
    fitted = fit(text, text_box("reason", w=str(width), h="14", lines=lines), "x")
    shown = fitted.text.split("\n")
    assert len(shown) <= lines
    assert 6 <= fitted.size_pt <= 9
    for line in shown:
        assert width_em(line, "regular") * fitted.size_pt * MM_PER_POINT <= width
    whole = printable(text, "regular").text
    assert " ".join(shown) == whole or any("was cut" in said for said in fitted.notices)


def test_capitals_are_0_729_of_the_size():
    # FreeType on the shipped font: 1493 of 2048 units; 20 pt are 7.056 mm
    assert float(capital_height_mm(Decimal(20))) == pytest.approx(7.056 * 1493 / 2048, abs=0.001)


@pytest.mark.parametrize(("size", "told"), [("19.7", True), ("19.8", False)])
def test_an_id_under_its_height_for_the_distance_is_told(size, told):
    # 5 ft / 300 = 5.08 mm; 19.7 pt give 5.066 mm, 19.8 pt 5.092 mm
    box = text_box("id", w="90", h="9", size=size, least="6")
    layout = Layout(kind=TAG, texts=(box,), read_from_mm=Decimal(1524))
    said = too_small_from_afar(fit_all(label(TAG), layout), layout, "SW-0007-X")
    assert (said != ()) is told
    if told:
        assert said[0].startswith(
            "SW-0007-X: id stands 5.1 mm high, to be read from 1.51 m and not from 1.52 m"
        )
    plain = Layout(kind=TAG, texts=(box,))
    assert too_small_from_afar(fit_all(label(TAG), plain), plain, "x") == ()
