"""A hoist is found by its tag however it is typed or scanned; a wrong tag says what is wrong with it."""

from collections.abc import Callable
from pathlib import Path

import pytest
from stdnum.iso7064 import mod_37_36

from fieldlog.operations.finding import find_tag, find_words
from fieldlog.operations.shop import Shop, summaries
from tests.operations.builder import ready_shop, register

NUMBERS = ("SW0008", "SW0009", "SW0010", "AB0009")


def tag(payload: str) -> str:
    """The ID of prefix and number, its check character by python-stdnum (ISO 7064 MOD 37,36)."""
    return f"{payload[:2]}-{payload[2:]}-{mod_37_36.calc_check_digit(payload)}"


# IDs whose check character is O or I are never given out; of these none has one.
KNOWN = tuple(tag(payload) for payload in NUMBERS)
EIGHT = KNOWN[0]


@pytest.mark.parametrize(
    "typed",
    [
        str,
        str.lower,
        lambda text: f"FL:{text}",
        lambda text: f"fl:{text.lower()}",
        lambda text: f"  {text} ",
        lambda text: text.replace("-", ""),
        lambda text: text.replace("-", " "),
        lambda text: text.replace("-", "\u2013"),
        lambda text: text.replace("0", "O"),
    ],
)
def test_a_tag_is_found_however_it_is_written(typed: Callable[[str], str]) -> None:
    assert find_tag(typed(EIGHT), KNOWN).id == EIGHT


def test_a_wrong_check_character_is_named_and_the_near_tag_offered() -> None:
    wrong = EIGHT[:-1] + ("A" if EIGHT[-1] != "A" else "B")
    found = find_tag(wrong, KNOWN)
    assert found.id == ""
    assert "no such tag: check the last character" in found.sentence
    assert EIGHT in found.near


def test_swapped_digits_offer_the_near_tag() -> None:
    found = find_tag(EIGHT.replace("0008", "0080"), KNOWN)
    assert found.id == ""
    assert EIGHT in found.near


def test_a_right_tag_of_no_hoist_here_says_so() -> None:
    stranger = tag("SW0017")
    found = find_tag(stranger, KNOWN)
    assert (found.id, found.sentence) == ("", f"{stranger} is a right tag, but no hoist of this store")


@pytest.mark.parametrize("typed", ["8", "08", "0008", " 8 "])
def test_a_number_is_enough_where_it_is_the_only_one(typed: str) -> None:
    assert find_tag(typed, KNOWN).id == EIGHT


def test_a_number_that_several_hoists_have_offers_them() -> None:
    found = find_tag("9", KNOWN)
    assert (found.id, found.sentence) == ("", "several hoists have the number 9")
    assert set(found.near) == {KNOWN[1], KNOWN[3]}


def test_a_number_that_nobody_has() -> None:
    assert find_tag("4711", KNOWN).sentence == "no hoist has the number 4711"


def test_a_file_that_only_looks_like_a_logbook_does_not_hide_the_others() -> None:
    """O is never a check character, and five digits never begin with 0."""
    assert find_tag("8", ["SW-0001-O", "SW-00009-X", *KNOWN]).id == EIGHT


@pytest.mark.parametrize("typed", ["", "   "])
def test_nothing_typed_says_what_to_do(typed: str) -> None:
    assert find_tag(typed, KNOWN).sentence == "type or scan a tag, as SW-0008-M"


@pytest.mark.parametrize(
    "typed", ["hello", "https://example.org/x", "S", "0000007", "x" * 10_000, "\x1b[A", "\u0667"]
)
def test_anything_else_is_refused_in_one_short_sentence(typed: str) -> None:
    found = find_tag(typed, KNOWN)
    assert "\n" not in found.sentence
    assert len(found.sentence) < 200
    assert found.sentence or found.id


def test_in_a_store_without_hoists_every_tag_is_unknown() -> None:
    assert find_tag(EIGHT, ()).near == ()
    assert find_tag("8", ()).sentence == "no hoist has the number 8"


@pytest.fixture(scope="module")
def shop(tmp_path_factory: pytest.TempPathFactory) -> Shop:
    root: Path = tmp_path_factory.mktemp("finding")
    made = ready_shop(root)
    register(made, serial="A-17")
    register(made, serial="A-18", site="filter house", maker="Tidebarrow", drive="hand")
    return made


@pytest.mark.parametrize(
    ("words", "serials"),
    [
        ("fenwright", ["A-17"]),
        ("FILTER hand", ["A-18"]),
        ("hand filter", ["A-18"]),
        ("a-1", ["A-17", "A-18"]),
        ("fenwright filter", []),
        ("", ["A-17", "A-18"]),
    ],
)
def test_words_find_hoists_that_have_all_of_them(shop: Shop, words: str, serials: list[str]) -> None:
    held = summaries(shop)
    assert [held[name].serial for name in find_words(words, held)] == serials
