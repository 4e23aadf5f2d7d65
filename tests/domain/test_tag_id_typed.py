"""Hoist IDs as they are typed and scanned: what is forgiven, and what is refused in one sentence."""

import itertools
import string

import pytest
from hypothesis import given
from hypothesis import strategies as st
from stdnum.iso7064 import mod_37_36

from fieldlog.domain.tag_id import (
    looks_like_scan,
    make_id,
    number_of,
    parse_id,
    prefix_of,
    scan_text,
)
from fieldlog.errors import InputError
from tests.domain.tags import ALPHABET, hoist_ids, untimed

# Check characters by python-stdnum: SW0008 M, SW0001 0, SW12345 0.
FORGIVEN = [
    (typed, hoist_id)
    for hoist_id, ways in [
        ("SW-0008-M", ["SW-0008-M", "sw-0008-m", "  Sw 0008 m\n", "sw0008m", "SW0008-M", "SW-0008M"]),
        ("SW-0008-M", ["SW 00 08 M", "SW--0008--M", "-SW-0008-M-", "SW–0008—M", "SW‐0008−M"]),
        ("SW-0008-M", ["FL:SW-0008-M", "fl: sw-0008-m", "SW-OOO8-M", "swooo8m"]),
        ("SW-0001-0", ["SW-0001-0", "SW-0001-O", "SW-000I-o"]),
        ("SW-12345-0", ["SW-12345-0", "swi2345o"]),
    ]
    for typed in ways
]


@pytest.mark.parametrize(("typed", "hoist_id"), FORGIVEN)
def test_typing_is_forgiven(typed: str, hoist_id: str) -> None:
    assert parse_id(typed) == hoist_id


def test_digits_for_letters_are_forgiven_in_the_prefix() -> None:
    hoist_id = f"OI-0010-{mod_37_36.calc_check_digit('OI0010')}"
    assert parse_id(f"01-0010-{hoist_id[-1]}") == hoist_id
    assert parse_id(f"0I-OOIO-{hoist_id[-1]}") == hoist_id


@pytest.mark.parametrize(
    "typed", ["SW-0008-N", "SW-0009-M", "SV-0008-M", "SW-0007-0", "SW-0007-O", "sw0080m", "FL:SW-0008-X"]
)
def test_a_wrong_check_character_is_told_as_such(typed: str) -> None:
    """The last two zeros: SW0007 has the check character O, which is never given out."""
    with pytest.raises(InputError, match="no such tag: check the last character"):
        parse_id(typed)


NO_IDS = [
    *("", "   ", "FL:", "-", "hello", "8", "0008", "SW", "SW-0008", "SW-8-M", "SW-008-M", "SW-00008-M"),
    *("SW-0000-M", "S-0008-M", "ABCDE-0008-M", "SW-1234567-M", "SW-00-08-M", "SW5-0008-M", "SW-0008-MM"),
    *("SW_0008_M", "SW-0008-Ä", "SW-000８-M", "SW-000٨-M", "\u017fW-0008-M", "FL;SW-0008-M", "SW\x00-0008-M"),
]


@pytest.mark.parametrize("typed", NO_IDS)
def test_what_is_not_shaped_like_an_id_is_told_so(typed: str) -> None:
    with pytest.raises(InputError, match="is not a tag ID; write 2 to 4 letters") as caught:
        parse_id(typed)
    assert str(caught.value).isprintable()


def test_over_40_characters_are_refused() -> None:
    spaced = "SW-0008-M".replace("-", "-" + " " * 15)
    assert len(spaced) == 39
    assert parse_id(spaced) == "SW-0008-M"
    assert parse_id(" " * 100 + spaced + " " * 100) == "SW-0008-M"
    assert parse_id(spaced.replace("M", " M")) == "SW-0008-M"
    for typed in (spaced.replace("M", "  M"), "S" * 10_000):
        with pytest.raises(InputError, match="longer than a tag ID") as caught:
            parse_id(typed)
        assert len(str(caught.value)) < 200


@untimed
@given(hoist_id=hoist_ids(), data=st.data())
def test_every_id_is_read_back_however_it_is_typed(hoist_id: str, data: st.DataObject) -> None:
    confused = {"O": "O0", "0": "O0", "I": "I1", "1": "I1"}
    typed = "".join(data.draw(st.sampled_from(confused.get(char, char))) for char in hoist_id)
    assert parse_id(typed) == hoist_id
    assert parse_id(scan_text(hoist_id)) == hoist_id
    assert parse_id(hoist_id.lower().replace("-", "")) == hoist_id


@untimed
@given(hoist_id=hoist_ids(), data=st.data())
def test_an_id_with_one_wrong_character_is_never_another_hoist(hoist_id: str, data: st.DataObject) -> None:
    """Typed with its dashes; O and 0, I and 1 count as the same character."""
    place = data.draw(st.sampled_from([spot for spot, char in enumerate(hoist_id) if char != "-"]))
    same = {"O": "O0", "0": "O0", "I": "I1", "1": "I1"}.get(hoist_id[place], hoist_id[place])
    wrong = data.draw(st.sampled_from([char for char in ALPHABET if char not in same]))
    with pytest.raises(InputError):
        parse_id(hoist_id[:place] + wrong + hoist_id[place + 1 :])


@untimed
@given(text=st.text(max_size=50) | st.text(alphabet="SWOI01278- FL:x", max_size=20))
def test_any_text_gives_an_id_or_one_sentence(text: str) -> None:
    try:
        hoist_id = parse_id(text)
    except InputError as error:
        message = str(error)
        assert message.isprintable()
    else:
        assert make_id(prefix_of(hoist_id), number_of(hoist_id)) == hoist_id
        assert mod_37_36.is_valid(hoist_id.replace("-", ""))


@pytest.mark.parametrize(("digits", "letters"), [("10", "IO"), ("11", "II")])
def test_without_dashes_only_one_reading_can_be_right(digits: str, letters: str) -> None:
    """`AB10....` is AB and six digits or ABIO and four: by python-stdnum their checks are never the same.

    All pairs of first letters leave the computation in each of its 36 states, so all cases are covered.
    Readings with prefixes one letter apart differ in a single character, which is always detected.
    """
    for first, second in itertools.product(string.ascii_uppercase, repeat=2):
        as_number, as_prefix = f"{first}{second}{digits}0008", f"{first}{second}{letters}0008"
        assert mod_37_36.calc_check_digit(as_number) != mod_37_36.calc_check_digit(as_prefix)
        for payload, length in ((as_number, 2), (as_prefix, 4)):
            check = mod_37_36.calc_check_digit(payload)
            if check not in "OI":
                assert parse_id(payload + check) == f"{payload[:length]}-{payload[length:]}-{check}"


def test_a_scan_is_told_from_typing() -> None:
    assert scan_text("SW-0008-M") == "FL:SW-0008-M"
    for scan in ("FL:SW-0008-M", "fl:sw-0008-m", " FL:", "FL:anything"):
        assert looks_like_scan(scan)
    for typing in ("", "FL", "FL-0001-A", "SW-0008-M", "xFL:", "\ufb02:", "\ufb02:SW"):
        assert not looks_like_scan(typing)
