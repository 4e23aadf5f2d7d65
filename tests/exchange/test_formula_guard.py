"""Proves that no cell of a table can start a formula, however it is opened, and that the guard comes off.

The starting characters: OWASP, CSV injection (from memory).
"""

import csv
import io

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fieldlog.exchange.formula_guard import guard, unguard
from fieldlog.exchange.tables_out import write_table

INJECTIONS = (
    "=1+1",
    "+1+1",
    "-1+1",
    "@SUM(A1)",
    "\t=1+1",
    "\r=1+1",
    "\n=1+1",
    " =1+1",
    '"=1+1',
    "'=1+1",
    "＝1+1",
    "＋1",
    "－1",
    "＠A1",
    "a;=1+1;b",
    "a\t=1+1",
    "a\n=1+1",
    '=HYPERLINK("http://invalid.example","x")',
    "=cmd|' /C calc'!A0",
)
STARTS = tuple("=+-@\t\r＝＋－＠")
TEXTS = st.text(st.sampled_from("=+-@'\" ab;,\t\n\r|%＝"), max_size=12)


@pytest.mark.parametrize("separator", [",", ";", "\t"])
@pytest.mark.parametrize("text", INJECTIONS)
def test_no_cell_starts_a_formula_for_whichever_separator_the_reader_is_told(text: str, separator: str):
    data = write_table(("a", "b"), [{"a": text, "b": "plain"}], separator).decode("utf-8-sig")
    for told in (",", ";", "\t"):
        for row in csv.reader(io.StringIO(data, newline=""), delimiter=told):
            for cell in row:
                assert not cell.lstrip(' "\r\n').startswith(STARTS), (text, separator, told, cell)


@given(TEXTS, st.sampled_from([",", ";", "\t"]))
def test_the_guard_comes_off_again_whatever_stood_there(text: str, separator: str):
    assert unguard(guard(text, separator), separator) == text


@pytest.mark.parametrize("text", ["bay 2, -3 m", "5x15", "SW-0008-M", "O'Neil", ""])
def test_usual_texts_stay_as_they_are(text: str):
    assert guard(text, ",") == text
