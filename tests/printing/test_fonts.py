"""Proves that the shipped typeface has the letters of Europe and the measures that layouts rely on."""

from decimal import Decimal

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st
from PIL import ImageFont

from fieldlog.printing import fonts

WEIGHTS = (fonts.REGULAR, fonts.BOLD)

# Letters beyond A to Z: the languages' own alphabets (common knowledge, no source).
ALPHABETS = {
    "Polish": "ĄĆĘŁŃÓŚŹŻąćęłńóśźż",
    "Czech and Slovak": "ÁČĎÉĚÍŇÓŘŠŤÚŮÝŽĹĽŔÄÔáčďéěíňóřšťúůýžĺľŕäô",
    "Hungarian": "ÁÉÍÓÖŐÚÜŰáéíóöőúüű",
    "Romanian": "ĂÂÎȘȚăâîșț",
    "Turkish": "ÇĞİIÖŞÜçğıiöşü",
    "Nordic": "ÆØÅÄÖÐÞæøåäöðþ",
    "Baltic": "ĀČĒĢĪĶĻŅŠŪŽĄĘĖĮŲÕāčēģīķļņšūžąęėįųõ",
    "German, French, Spanish": "ÄÖÜẞßÀÂÇÈÊËÎÏÔŒÙÛŸÑ¿¡",
    "Maltese, Welsh, Sami": "ĊĠĦŻŴŶŊŦċġħżŵŷŋŧ",
    "Greek": "ΑΒΓΔΕΖΗΘΙΚΛΜΝΞΟΠΡΣΤΥΦΧΨΩΆΈΉΊΌΎΏΪΫάέήίόύώϊϋΐΰς",
    "Cyrillic": "АБВГДЕЁЖЗИЙКЛМНОПРСТУФХЦЧШЩЪЫЬЭЮЯЂЃЄЅІЇЈЉЊЋЌЎЏҐ"
    "абвгдеёжзийклмнопрстуфхцчшщъыьэюяђѓєѕіїјљњћќўџґ",
    "signs": "×–—…°Ø½€£&/()",
}


def outline(weight: str, size: int = 2048) -> ImageFont.FreeTypeFont:
    """The shipped file as FreeType reads it."""
    return ImageFont.truetype(
        str(fonts.FOLDER / fonts.FILES[weight]), size, layout_engine=ImageFont.Layout.BASIC
    )


@pytest.mark.parametrize("weight", WEIGHTS)
@pytest.mark.parametrize("language", ALPHABETS)
def test_every_letter_has_a_glyph(language, weight):
    letters = ALPHABETS[language]
    assert fonts.printable(letters, weight) == fonts.Printable(text=letters, missing=())
    font = outline(weight, 40)
    blank = bytes(font.getmask("\uffff"))  # what FreeType draws for a character without a glyph
    assert [letter for letter in letters if bytes(font.getmask(letter)) == blank] == []


@pytest.mark.parametrize("weight", WEIGHTS)
def test_capital_height_is_that_of_the_outline(weight):
    assert -outline(weight).getbbox("H", anchor="ls")[1] == fonts.CAPITAL_HEIGHT * 2048


@pytest.mark.parametrize("weight", WEIGHTS)
@pytest.mark.parametrize(
    "letters", ["".join(sorted(fonts.LEVEL)), "JQ", *ALPHABETS.values(), "gjpqy,;()[]/ĢĶĻŅŖ"]
)
def test_no_outline_goes_farther_than_its_reach(letters, weight):
    font = outline(weight)
    for letter in letters:
        _, upper, _, lower = font.getbbox(letter, anchor="ls")
        assert -upper <= fonts.reach(letter).rise * 2048, letter
        assert lower <= fonts.reach(letter).sink * 2048, letter


def test_texts_of_one_row_stay_in_line():
    # the middle of a capital is the middle of the reach, with small letters and without
    for text in ("SW-0007", "Ģirts"):
        extent = fonts.reach(text)
        assert extent.rise - fonts.CAPITAL_HEIGHT == extent.sink
    assert fonts.reach("J").sink > fonts.reach("I").sink


@pytest.mark.parametrize("weight", WEIGHTS)
def test_widths_are_those_of_the_outlines(weight):
    font = outline(weight)
    for character in "SW-0X17gjŁΩЖ …":
        assert float(fonts.width_em(character, weight)) == pytest.approx(
            font.getlength(character) / 2048, abs=1e-3
        )
    assert fonts.width_em("0" * 10, weight) == 10 * fonts.width_em("7", weight)


def test_a_point_is_a_72nd_of_an_inch():
    assert abs(fonts.MM_PER_POINT * 72 - Decimal("25.4")) < Decimal("1e-20")


def test_a_letter_of_one_piece_is_made_from_two():
    assert fonts.printable("Go\u0301ra", fonts.BOLD) == fonts.Printable(text="Góra", missing=())


def test_blank_runs_and_inkless_characters_are_taken_out():
    assert fonts.printable("  a\u00a0\t\n b\u200b\u202ec\ufeff ", fonts.REGULAR).text == "a bc"


def test_what_the_font_lacks_becomes_a_question_mark_and_is_named():
    assert fonts.printable("吊 hoist 吊鉤", fonts.REGULAR) == fonts.Printable(
        text="? hoist ??", missing=("吊", "鉤")
    )
    assert fonts.printable("a\x00b\ud800", fonts.REGULAR).missing == ("\x00", "\ud800")


def test_letters_from_right_to_left_count_as_missing():
    for word in ("שלום", "سلام"):
        assert fonts.printable(word, fonts.REGULAR).text == "????"


@given(st.text(max_size=60))
@example("0\r\xad")
@settings(deadline=None)
def test_what_is_printable_stays_so(text):
    once = fonts.printable(text, fonts.REGULAR)
    assert fonts.printable(once.text, fonts.REGULAR) == fonts.Printable(text=once.text, missing=())


def test_the_licence_lies_beside_the_font():
    licence = (fonts.FOLDER / "LICENSE-DejaVu.txt").read_text(encoding="utf-8")
    assert "Bitstream Vera Fonts Copyright" in licence
    assert "DejaVu changes are in public domain" in licence
