"""Reads the published figures of tests/check_values for the tests that compare with them."""

import tomllib
from decimal import ROUND_HALF_UP, Decimal
from pathlib import Path
from typing import Any

CHECK_VALUES = Path(__file__).parents[1] / "check_values"
CERTAINTIES = {"published", "from memory", "common practice, no source", "arithmetic on published figures"}

Case = dict[str, Any]


def cases(file: str, table: str, expected: int) -> list[Case]:
    """The cases of a table, each with the source of its group unless it names its own.

    `expected` pins how many there are, so that none can fall out of a test unseen.
    """
    groups = tomllib.loads((CHECK_VALUES / f"{file}.toml").read_text("utf-8"), parse_float=Decimal)[table]
    shared = ("source", "clause", "certainty")
    found: list[Case] = [
        {key: group[key] for key in shared} | case for group in groups for case in group["cases"]
    ]
    assert len(found) == expected, f"{file}.toml, {table}: {len(found)} cases, not {expected}"
    for case in found:
        assert case["source"], case
        assert case["clause"], case
        assert case["certainty"] in CERTAINTIES, case
    return found


def number(case: Case, key: str) -> Decimal:
    """A figure of a case, as printed."""
    return Decimal(case[key])


def printed(value: Decimal, as_printed: str) -> bool:
    """Whether a value, rounded half up to the decimals of the printed figure, is that figure."""
    figure = Decimal(as_printed)
    return value.quantize(figure, rounding=ROUND_HALF_UP) == figure
