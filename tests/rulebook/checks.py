"""Reads the published figures of tests/check_values for the tests of this room."""

import tomllib
from decimal import Decimal
from pathlib import Path
from typing import Any

CHECK_VALUES = Path(__file__).parents[1] / "check_values"


def cases(file: str, table: str, expected: int) -> list[dict[str, Any]]:
    """The cases of a table, each with its group's source; `expected` pins how many there are."""
    groups = tomllib.loads((CHECK_VALUES / f"{file}.toml").read_text("utf-8"), parse_float=Decimal)[table]
    shared = ("source", "clause", "certainty", "printed")
    found = [
        {key: group.get(key, "") for key in shared} | case for group in groups for case in group["cases"]
    ]
    assert len(found) == expected, f"{table}: {len(found)} cases, not {expected}"
    assert all(case["source"] and case["certainty"] for case in found)
    return found
