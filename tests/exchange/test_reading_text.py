"""Proves the first step of reading a table: encodings, separators, quotes, and what is no table."""

import pytest

from fieldlog.errors import Problem
from fieldlog.exchange.reading_text import RawTable, decode_table, split_table, stated_separator


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "cp1252", "utf-16"])
def test_the_usual_encodings_are_read(encoding: str):
    assert decode_table("Maß;größer\n".encode(encoding), "f.csv") == "Maß;größer\n"


@pytest.mark.parametrize(
    ("data", "place", "word"),
    [
        (b"PK\x03\x04xyz", "f.csv", "workbook"),
        (b"%PDF-1.7", "f.csv", "PDF"),
        (b"a\nb\x81\xff", "f.csv:2", "neither UTF-8 nor Windows-1252"),
        (b"a\nb\nc\0", "f.csv:3", "zero byte"),
        (b"\xff\xfe\x00", "f.csv:1", "neither"),
    ],
)
def test_what_is_no_text_is_told_with_its_line(data: bytes, place: str, word: str):
    found = decode_table(data, "f.csv")
    assert isinstance(found, Problem)
    assert found.place == place
    assert word in found.wrong


def test_rows_keep_their_numbers_over_blank_ones_and_breaks_inside_cells():
    found = split_table('a,b\n\n"x\ny",2\nz,3\n', ",", "f.csv")
    assert isinstance(found, RawTable)
    assert [number for number, _ in found.rows] == [1, 3, 4]


@pytest.mark.parametrize("text", ['a,b\n"x,2\n', 'a,b\n"x"y,2\n'])
def test_quotes_that_do_not_close_are_told_with_their_row(text: str):
    found = split_table(text, ",", "f.csv")
    assert isinstance(found, Problem)
    assert found.place == "f.csv:2"


def test_a_stated_separator_is_kept_as_a_blank_row():
    assert stated_separator("sep=;\r\na;b") == (";", "\na;b")
    assert stated_separator("a;b") == ("", "a;b")
