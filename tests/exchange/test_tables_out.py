"""Proves that tables going out are what RFC 4180 says, and that numbers and texts keep their meaning."""

import csv
import io
from datetime import date
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fieldlog.exchange.formula_guard import unguard
from fieldlog.exchange.tables_out import cell_text, write_table


def read_back(data: bytes, separator: str = ",") -> list[list[str]]:
    return list(
        csv.reader(io.StringIO(data.decode("utf-8-sig"), newline=""), delimiter=separator, strict=True)
    )


def test_lines_end_with_cr_lf_and_cells_stand_in_quotes():
    # RFC 4180, section 2, rules 1, 5 and 7
    data = write_table(("a", "b"), [{"a": 'say "5x15"', "b": None}])
    assert data == '\ufeff"a","b"\r\n"say ""5x15""",""\r\n'.encode()


@pytest.mark.parametrize(
    ("value", "comma", "semicolon"),
    [
        (Decimal("1000"), "1000", "1000"),
        (Decimal("1E+3"), "1000", "1000"),
        (Decimal("165.4"), "165.4", "165,4"),
        (Decimal("1.125"), "1.1250", "1,1250"),
        (Decimal("-3.50"), "-3.5", "-3,5"),
        (Decimal("0.680388555"), "0.68038856", "0,68038856"),
        (-3, "-3", "-3"),
        (True, "yes", "yes"),
        (date(2026, 2, 28), "2026-02-28", "2026-02-28"),
        (None, "", ""),
    ],
)
def test_values_have_one_meaning(value: object, comma: str, semicolon: str):
    assert cell_text(value) == comma
    assert cell_text(value, ";") == semicolon


@given(
    st.lists(
        st.text(st.characters(exclude_categories=["Cs"], exclude_characters="\0"), max_size=20), max_size=4
    )
)
def test_every_text_comes_back(texts: list[str]):
    (_, *rows) = read_back(write_table(("a",), [{"a": text} for text in texts]))
    assert [unguard(row[0], ",") for row in rows] == texts
