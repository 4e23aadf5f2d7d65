"""Bars end where their value says, and reach the limit's mark at the limit and not below it."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fieldlog.tui.widgets.bars import bar, bar_signs, bar_to_limit


@pytest.mark.parametrize(
    ("value", "length"), [(-1, 0), (0, 0), (0.01, 1), (5, 5), (5.4, 5), (5.6, 6), (10, 10), (99, 10)]
)
def test_a_bar_is_as_long_as_its_share_of_the_columns(value: float, length: int) -> None:
    assert bar(value, 10, 10, "#") == "#" * length


def test_a_scale_of_nothing_has_no_bar() -> None:
    assert bar(1, 0, 10, "#") == ""


@pytest.mark.parametrize(
    ("value", "drawn"),
    [
        (0, "          |"),
        (50, "#####     |"),
        (99.9, "##########|"),
        (100, "##########|"),
        (100.1, "##########|"),
        (110, "##########|"),
        (115, "##########|#"),
        (120, "##########|#"),
    ],
)
def test_below_at_and_above_the_limit(value: float, drawn: str) -> None:
    assert bar_to_limit(value, 100, 120, 12, sign="#", mark="|") == drawn


@given(value=st.floats(-50, 300), columns=st.integers(12, 160))
def test_below_the_limit_nothing_stands_behind_its_mark(value: float, columns: int) -> None:
    full = max(110.0, value)
    line = bar_to_limit(value, 100, full, columns, sign="#", mark="|")
    assert line.count("|") == 1
    assert len(line) <= columns
    assert value >= 100 or line.endswith("|")


def test_plain_signs_are_ascii_and_all_differ() -> None:
    for plain in (False, True):
        signs = bar_signs(plain=plain)
        assert len({signs.now, signs.before, signs.limit}) == 3
        assert (signs.now + signs.before + signs.limit).isascii() is plain
