"""Forms as data: each reader takes what it should and refuses all else in one short sentence."""

from collections.abc import Callable
from datetime import date
from decimal import Decimal
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fieldlog.errors import InputError
from fieldlog.operations.entering import (
    LONGEST_TEXT,
    Field,
    check_field,
    read_chain_size,
    read_choice,
    read_date,
    read_day_of_work,
    read_length,
    read_mass,
    read_text,
    read_whole,
    read_yes_no,
    take_all,
    take_field,
)

TODAY = date(2026, 11, 25)
READERS: tuple[Callable[[str], Any], ...] = (
    read_text("the maker"),
    read_choice("the drive", ("electric", "air", "hand")),
    read_yes_no,
    read_length("the throat"),
    read_mass("the capacity"),
    read_whole("falls", 1, 12),
    read_date("the day"),
    read_day_of_work("the day", TODAY),
    read_chain_size,
)


def test_text_is_taken_up_to_its_longest() -> None:
    read = read_text("the maker")
    assert read("x" * LONGEST_TEXT) == "x" * LONGEST_TEXT
    with pytest.raises(InputError, match=f"the maker is {LONGEST_TEXT + 1} characters long"):
        read("x" * (LONGEST_TEXT + 1))


@pytest.mark.parametrize("text", ["two\nlines", "a\ttab", "bell\a", "\x1b[31mred", "\u202ebackwards"])
def test_text_that_can_not_be_printed_is_refused(text: str) -> None:
    with pytest.raises(InputError, match="can not be printed"):
        read_text("the maker")(text)


@pytest.mark.parametrize(("text", "chosen"), [("electric", "electric"), ("E", "electric"), ("ha", "hand")])
def test_the_beginning_of_a_choice_is_enough(text: str, chosen: str) -> None:
    assert read_choice("the drive", ("electric", "air", "hand"))(text) == chosen


@pytest.mark.parametrize("text", ["a", "steam", "x" * 10_000])
def test_a_choice_that_is_none_or_could_be_two_is_refused(text: str) -> None:
    with pytest.raises(InputError, match="the drive is one of air, atomic, not") as refused:
        read_choice("the drive", ("air", "atomic"))(text)
    assert len(str(refused.value)) < 120


def test_a_whole_choice_goes_before_a_longer_one() -> None:
    assert read_choice("the group", ("M3", "M30"))("m3") == "M3"


@pytest.mark.parametrize(("text", "answer"), [("y", True), ("YES", True), ("n", False), (" No ", False)])
def test_yes_and_no(text: str, answer: bool) -> None:
    assert read_yes_no(text) is answer


@pytest.mark.parametrize("text", ["maybe", "1", "ja", "x" * 10_000])
def test_neither_yes_nor_no(text: str) -> None:
    with pytest.raises(InputError, match="answer yes or no") as refused:
        read_yes_no(text)
    assert len(str(refused.value)) < 80


# 20 ft = 6.096 m and 2000 lb = 907.18474 kg exactly (NIST SP 811, appendix B).
def test_lengths_and_masses_come_in_millimetres_and_kilograms() -> None:
    assert read_length("the lift height", "m")("6") == Decimal(6000)
    assert read_length("the lift height", "m")("20 ft") == Decimal(6096)
    assert read_mass("the capacity")("2000 lb") == Decimal("907.18474")
    assert read_mass("the capacity")("1 t") == Decimal(1000)


def test_nothing_of_a_length_or_a_mass_is_none() -> None:
    for read in (read_length("the throat"), read_mass("the capacity")):
        with pytest.raises(InputError, match="is greater than 0"):
            read("0")


@pytest.mark.parametrize(
    ("text", "taken"), [("0", False), ("1", True), ("12", True), ("13", False), ("1.5", False)]
)
def test_a_whole_number_within_its_bounds(text: str, taken: bool) -> None:
    field = Field(name="falls", label="Falls", read=read_whole("falls", 1, 12))
    assert (check_field(field, text) == "") is taken


# ISO 8601 dates only; 2028 is a leap year and 2026 is none (Gregorian calendar).
@pytest.mark.parametrize(
    ("text", "taken"),
    [
        ("2028-02-29", True),
        ("2026-02-29", False),
        ("25.11.2026", False),
        ("11/25/2026", False),
        ("today", False),
    ],
)
def test_a_date_is_written_as_iso_8601_does(text: str, taken: bool) -> None:
    assert (check_field(Field(name="d", label="Day", read=read_date("the day")), text) == "") is taken


@pytest.mark.parametrize(
    ("text", "taken"), [("2026-11-24", True), ("2026-11-25", True), ("2026-11-26", False)]
)
def test_a_day_of_work_is_today_at_the_latest(text: str, taken: bool) -> None:
    said = check_field(Field(name="d", label="Day", read=read_day_of_work("the day", TODAY)), text)
    assert said == ("" if taken else "the day 2026-11-26 lies in the future")


@pytest.mark.parametrize(
    ("text", "dn", "pn"),
    [
        ("5x15", "5", "15"),
        ("5 X 15 mm", "5", "15"),
        ("11,3×31", "11.3", "31"),
        ("5 mm x 15 mm", "5", "15"),
        ("1/4 in x 3/4 in", "6.35", "19.05"),  # 1 in = 25.4 mm (international yard and pound agreement, 1959)
        ("5x10", "5", "10"),
        ("5x25", "5", "25"),
    ],
)
def test_a_chain_size_is_diameter_and_pitch(text: str, dn: str, pn: str) -> None:
    size = read_chain_size(text)
    assert (size.dn_mm, size.pn_mm) == (Decimal(dn), Decimal(pn))


@pytest.mark.parametrize(
    "text", ["5", "x", "5x", "5x15x3", "15x5", "5x9.99", "5x25.01", "0x0", "a x b", "x" * 9_999]
)
def test_a_chain_size_that_is_none_is_refused(text: str) -> None:
    with pytest.raises(InputError) as refused:
        read_chain_size(text)
    assert len(str(refused.value)) < 160


def test_an_empty_field_is_missing_or_none() -> None:
    needed = Field(name="maker", label="Maker", read=read_text("the maker"))
    spare = Field(name="place", label="Place", read=read_text("the place"), required=False)
    assert check_field(needed, "  ") == "Maker is missing"
    assert take_field(spare, "  ") is None
    assert take_field(needed, "  Fenwright ") == "Fenwright"


def test_all_faults_come_at_once_and_what_was_good_is_kept() -> None:
    fields = (
        Field(name="maker", label="Maker", read=read_text("the maker")),
        Field(name="falls", label="Falls", read=read_whole("falls", 1, 12), default="1"),
        Field(name="drive", label="Drive", read=read_choice("the drive", ("air", "hand"))),
    )
    values, problems = take_all(fields, {"maker": "", "drive": "steam"})
    assert values == {"falls": 1}
    assert [problem.place for problem in problems] == ["Maker", "Drive"]
    assert take_all(fields, {"maker": "Tidebarrow", "falls": "2", "drive": "a"}) == (
        {"maker": "Tidebarrow", "falls": 2, "drive": "air"},
        (),
    )


@given(text=st.text(max_size=60).map(str.strip).filter(bool))
def test_whatever_is_typed_is_taken_or_refused_in_one_sentence(text: str) -> None:
    for read in READERS:
        said = check_field(Field(name="any", label="Any", read=read), text)
        assert "\n" not in said
        assert len(said) < 250
