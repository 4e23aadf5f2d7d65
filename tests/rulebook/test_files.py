"""TOML files become plain values; a file that can not be read is a fault and never a crash."""

from decimal import Decimal
from pathlib import Path

from fieldlog.rulebook.faults import Faults
from fieldlog.rulebook.files import read_rows, read_toml, rows_of
from fieldlog.rulebook.shape import Entries, Shape, number, text

SHAPE = Shape(kind=dict, required={"id": text(), "a": number()})


def test_figures_are_read_exactly(tmp_path: Path) -> None:
    (tmp_path / "a.toml").write_text("a = 0.1\nb = 3\n", "utf-8")
    data = read_toml(tmp_path, "a.toml", Faults())
    assert data == {"a": Decimal("0.1"), "b": 3}


def test_a_folder_in_place_of_a_file_is_a_fault(tmp_path: Path) -> None:
    (tmp_path / "a.toml").mkdir()
    faults = Faults()
    assert read_toml(tmp_path, "a.toml", faults) is None
    [problem] = faults.problems
    assert problem.wrong.startswith("can not be read")


def test_a_parser_error_keeps_its_line(tmp_path: Path) -> None:
    (tmp_path / "a.toml").write_text("a = 1\na = 2\n", "utf-8")
    faults = Faults()
    assert read_toml(tmp_path, "a.toml", faults) is None
    [problem] = faults.problems
    assert problem.place == "a.toml: line 2, column 6"


def test_rows_that_are_no_tables_are_a_fault() -> None:
    faults = Faults()
    assert rows_of({"row": [1, 2]}, "a.toml", "row", faults) == []
    assert rows_of({"row": "x"}, "a.toml", "row", faults) == []
    assert [problem.wrong for problem in faults.problems] == ["is no list of entries."] * 2


def test_the_first_of_two_equal_ids_stays() -> None:
    faults, into = Faults(), Entries()
    read_rows("a.toml", [{"id": "x", "a": 1}, {"id": "x", "a": 2}, {"a": 3}], SHAPE, into, faults)
    assert into["x"] == {"id": "x", "a": 1}
    assert into["entry 3"] is None
    assert [problem.place for problem in faults.problems] == ["a.toml: x", "a.toml: entry 3.id"]
