"""Proves what a mapping file may say, and that all that is wrong with one is told at once."""

from contextlib import suppress

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fieldlog.errors import IncompleteError, InputError
from fieldlog.exchange.mapping import Mapped, read_map

GOOD = """
dates = "dmy"
ignore = ["Telefon"]
[columns]
"Kran Nr." = "serial"
"Max." = { field = "capacity", unit = "t" }
[constants]
site = "intake hall"
[words.drive]
"Kettenzug 400 V" = "electric"
"""


def test_a_good_file_is_read():
    found = read_map(GOOD, "map.toml")
    assert found.columns == {
        "kran nr": Mapped(field="serial"),
        "max": Mapped(field="capacity", unit="t"),
    }
    assert (found.constants, found.dates, found.ignore) == (
        {"site": "intake hall"},
        "dmy",
        frozenset({"telefon"}),
    )
    assert found.words == {"drive": {"kettenzug 400 v": "electric"}}


def test_all_faults_are_told_with_their_keys():
    bad = """
oops = 1
dates = "ymd"
ignore = "Telefon"
[columns]
A = "colour"
B = { field = "capacity", unit = "stone" }
[constants]
site = 3
[words.drive]
x = "steam"
[words.hue]
y = "red"
"""
    with pytest.raises(IncompleteError) as refused:
        read_map(bad, "map.toml")
    places = {problem.place for problem in refused.value.problems}
    assert places == {
        f"map.toml: {key}"
        for key in (
            *("oops", "dates", "ignore", "columns.A", "columns.B", "constants.site"),
            *("words.drive.x", "words.hue"),
        )
    }


def test_what_is_no_toml_is_one_sentence():
    with pytest.raises(InputError, match=r"map\.toml is not TOML"):
        read_map("[columns", "map.toml")


@given(st.text(max_size=60))
def test_any_text_is_a_mapping_or_a_sentence(text: str):
    with suppress(InputError, IncompleteError):
        assert read_map(text, "map.toml").dates in ("", "iso", "dmy", "mdy")
