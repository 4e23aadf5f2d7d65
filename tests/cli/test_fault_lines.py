"""A fault that every row has is told three times and counted; others are told each."""

import pytest

from fieldlog.cli.fault_lines import fault_lines
from fieldlog.errors import Problem


def _dates(count: int) -> list[Problem]:
    return [
        Problem(place=f"f.csv:{row}:N Last", wrong=f"'{row}.1.' is two days", todo="say --dates.")
        for row in range(count)
    ]


@pytest.mark.parametrize(("count", "more"), [(2, None), (3, None), (4, "1 more cell"), (5, "2 more cells")])
def test_three_of_the_same_are_told_and_the_others_counted(count: int, more: str | None) -> None:
    lines = list(fault_lines(_dates(count)))
    wanted = [f"f.csv:{row}:N Last: '{row}.1.' is two days say --dates." for row in range(min(count, 3))]
    assert lines[:3] == wanted
    assert lines[3:] == ([] if more is None else [f"and {more} of column N Last with the same fault"])


def test_faults_of_another_column_or_kind_are_told_each() -> None:
    others = [
        Problem(place="f.csv:9:A Year", wrong="'9.1.' is two days", todo="say --dates."),
        Problem(place="f.csv:9:N Last", wrong="'9.1.' lies in the future"),
    ]
    lines = list(fault_lines([*_dates(9), *others]))
    assert lines[3:5] == [str(other) for other in others]
    assert len(lines) == 6
