"""The library of units sees what it can not misread, and is loaded only where it is needed."""

import subprocess
import sys
from collections.abc import Iterator
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest

from fieldlog import units
from fieldlog.errors import InputError
from fieldlog.units import (
    parse_length,
)
from tests.typed import BAD_LENGTHS, GOOD_LENGTHS

ROOT = Path(__file__).parents[1]


@pytest.fixture
def fresh_factors() -> Iterator[None]:
    units._factor.cache_clear()
    yield
    units._factor.cache_clear()


def test_pint_sees_numbers_and_names_of_the_table_and_never_what_was_typed(
    monkeypatch: pytest.MonkeyPatch, fresh_factors: None
) -> None:
    """pint's own parser reads `6 1/2 in` as 3 inch and hangs on `9**9**9`: nothing raw may reach it."""
    seen: list[tuple[Any, ...]] = []

    class Recorder:
        def convert(self, *arguments: Any) -> Decimal:
            seen.append(arguments)
            return Decimal(1)

    monkeypatch.setattr(units, "_registry", Recorder)
    for text, *_ in GOOD_LENGTHS + BAD_LENGTHS:
        try:
            parse_length(text)
        except InputError:
            continue
    names = {"centimeter", "meter", "inch", "foot"}
    assert {name for _, name, _ in seen} == names
    assert all(number == Decimal(1) and target == "millimeter" for number, _, target in seen)


@pytest.mark.parametrize(("text", "loads"), [("234,1 mm", False), ("234.1", False), ("9 7/32 in", True)])
def test_pint_is_loaded_only_for_a_unit_other_than_the_fields_own(text: str, loads: bool) -> None:
    """The third case shows that the check would notice."""
    program = (
        "import sys; from fieldlog.units import parse_length, format_length;"
        f"format_length(parse_length({text!r}).value); print('pint' in sys.modules)"
    )
    done = subprocess.run(
        [sys.executable, "-c", program], cwd=ROOT, capture_output=True, text=True, check=True
    )
    assert done.stdout.strip() == str(loads)
