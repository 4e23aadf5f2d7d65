"""Readers take what fits and refuse all else with a sentence; tables gather every fault."""

from decimal import Decimal
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as some

from fieldlog.domain.records import Drive
from fieldlog.rulebook.faults import Faults, MisfitError
from fieldlog.rulebook.shape import (
    Entries,
    Reader,
    Shape,
    among,
    day,
    flag,
    identifier,
    listed,
    named,
    nested,
    number,
    percent,
    read_table,
    reference,
    text,
    whole,
    word,
)

ANYTHING = some.one_of(
    some.none(),
    some.booleans(),
    some.integers(),
    some.decimals(),
    some.text(),
    some.dates(),
    some.lists(some.integers()),
    some.dictionaries(some.text(), some.integers()),
)
READERS = {
    "text": text(),
    "id": identifier(),
    "number": number(),
    "percent": percent(),
    "whole": whole(),
    "flag": flag,
    "day": day,
    "word": word(Drive, "drive"),
    "among": among(("a", "b"), "letter"),
    "reference": reference(Entries(a=1), "letter", "letters.toml"),
    "named": named(Entries(a=1), "letter", "letters.toml"),
    "listed": listed(number()),
    "nested": nested(Shape(kind=dict, required={"a": number()})),
}


@pytest.mark.parametrize("reader", READERS.values(), ids=READERS)
@given(value=ANYTHING)
def test_a_reader_answers_or_says_what_is_wrong_whatever_it_gets(reader: Reader, value: Any) -> None:
    try:
        reader(value)
    except MisfitError as misfit:
        told = misfit.problems
    else:
        return
    assert told
    assert all(problem.wrong for problem in told)


@given(some.decimals(allow_nan=False, allow_infinity=False))
def test_a_percentage_is_taken_exactly_inside_0_and_100_alone(amount: Decimal) -> None:
    if 0 < amount < 100:
        assert percent()(amount) == amount
    else:
        with pytest.raises(MisfitError):
            percent()(amount)


@pytest.mark.parametrize("amount", ["0.0001", "99.9999"])
def test_percentages_just_inside_the_bounds_fit(amount: str) -> None:
    assert percent()(Decimal(amount)) == Decimal(amount)


@pytest.mark.parametrize("amount", ["0", "100", "-0.0001", "100.0001"])
def test_percentages_at_and_outside_the_bounds_do_not(amount: str) -> None:
    with pytest.raises(MisfitError):
        percent()(Decimal(amount))


def test_zero_percent_fits_where_it_is_asked_for() -> None:
    assert percent(zero=True)(0) == 0


@given(some.integers())
def test_an_integer_becomes_the_same_decimal(amount: int) -> None:
    if amount >= 0:
        read = number()(amount)
        assert type(read) is Decimal
        assert read == amount


def test_true_is_no_number() -> None:
    for reader in (number(), whole()):
        with pytest.raises(MisfitError, match="is true or false, where"):
            reader(True)


@pytest.mark.parametrize("amount", [0, 13])
def test_whole_numbers_outside_their_bounds_do_not_fit(amount: int) -> None:
    with pytest.raises(MisfitError, match=f"is {amount}"):
        whole(1, 12)(amount)


def test_whole_numbers_at_their_bounds_fit() -> None:
    assert [whole(1, 12)(amount) for amount in (1, 12)] == [1, 12]


@pytest.mark.parametrize("name", ["a", "5x15", "11.3x31", "caliper-0.05", "M4", "us-b30"])
def test_ids_in_use_fit(name: str) -> None:
    assert identifier()(name) == name


@pytest.mark.parametrize("name", ["", " ", "a b", "-a", "a-", "a--b", "a/b", "../a", "ä", "a\n"])
def test_other_words_are_no_ids(name: str) -> None:
    with pytest.raises(MisfitError):
        identifier()(name)


def test_kebab_case_has_no_capitals_and_no_dots() -> None:
    assert identifier(kebab=True)("upper-guide") == "upper-guide"
    for name in ("Upper-guide", "a.b", "a_b"):
        with pytest.raises(MisfitError, match="is no id"):
            identifier(kebab=True)(name)


def test_a_list_tells_each_of_its_faults_with_its_position() -> None:
    with pytest.raises(MisfitError) as caught:
        listed(word(Drive, "drive"))(["steam", "hand", "horse"])
    assert [problem.place for problem in caught.value.problems] == ["[1]", "[3]"]


def test_an_unread_file_lets_its_names_pass() -> None:
    entries = Entries()
    entries.unread = True
    assert reference(entries, "source", "sources.toml")("whatever") is None
    assert named(entries, "section", "sections.toml")("whatever") == "whatever"


def test_an_unknown_name_gets_the_nearest_known_one() -> None:
    with pytest.raises(MisfitError) as caught:
        among(("electric", "air", "hand"), "drive")("eletric")
    [problem] = caught.value.problems
    assert problem.todo == "Did you mean 'electric'?"


def test_a_table_tells_all_its_faults_and_makes_nothing() -> None:
    shape = Shape(kind=dict, required={"a": number(), "b": flag}, optional={"c": text()})
    faults = Faults()
    assert read_table({"a": -1, "c": 3, "d": 4}, shape, "file: entry", faults) is None
    assert [problem.place for problem in faults.problems] == [
        "file: entry.d",
        "file: entry.a",
        "file: entry.b",
        "file: entry.c",
    ]


def test_a_sound_table_becomes_its_kind() -> None:
    shape = Shape(kind=dict, required={"a": number()}, optional={"c": text()})
    faults = Faults()
    assert read_table({"a": 1}, shape, "file", faults) == {"a": Decimal(1)}
    assert not faults.problems


def test_a_check_over_the_whole_table_is_told_at_the_table() -> None:
    def never(values: object) -> None:
        raise MisfitError("does not hold together.", "Part it.")

    faults = Faults()
    assert (
        read_table({"a": 1}, Shape(kind=dict, required={"a": number()}, check=never), "file: x", faults)
        is None
    )
    assert [str(problem) for problem in faults.problems] == ["file: x: does not hold together. Part it."]
