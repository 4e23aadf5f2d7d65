"""Proves what an import would do, and that every fault names row and column."""

from pathlib import Path

import pytest

from fieldlog.exchange.tables_in import read_table
from fieldlog.operations.planning_import import ImportPlan, plan_import
from fieldlog.operations.shop import Shop
from tests.operations.builder import TODAY, ready_shop, register

HEAD = (
    "id,maker,model,serial,drive,capacity,lift,chain,site,registered on,last inspection,book length,"
    "book document"
)
GOOD = ["", "Fenwright", "LC 500", "4711", "electric", "500", "6", "5x15", "intake hall", "", "", "", ""]


def plan(shop: Shop, *rows: list[str]) -> ImportPlan:
    table = read_table("\n".join([HEAD, *(",".join(row) for row in rows)]).encode(), "f.csv")
    return plan_import(shop, table, today=TODAY)


def changed(**cells: str) -> list[str]:
    names = [name.replace(" ", "_") for name in HEAD.split(",")]
    return [cells.get(name, text) for name, text in zip(names, GOOD, strict=True)]


@pytest.mark.parametrize(
    ("cells", "place", "word"),
    [
        ({"id": "SW-0001-9"}, "f.csv:2:A id", "check the last character"),
        ({"model": ""}, "f.csv:2:C model", "Model is missing"),
        ({"capacity": "1 stone"}, "f.csv:2:F capacity", "unit of mass"),
        ({"registered_on": "2026-11-26"}, "f.csv:2:J registered on", "future"),
        ({"last_inspection": "2026-11-26"}, "f.csv:2:K last inspection", "future"),
        ({"book_length": "165"}, "f.csv:2:M book document", "name the document"),
    ],
)
def test_faults_name_row_and_column(tmp_path: Path, cells: dict[str, str], place: str, word: str):
    (fault,) = plan(ready_shop(tmp_path), changed(**cells)).faults
    assert fault.place == place
    assert word in fault.wrong


def test_today_is_no_future_day(tmp_path: Path):
    found = plan(ready_shop(tmp_path), changed(registered_on="2026-11-25", last_inspection="2026-11-25"))
    assert found.faults == ()
    assert found.planned[0].hoist.registered_on == TODAY


@pytest.mark.parametrize(
    ("second", "word"),
    [
        ({"maker": "FENWRIGHT", "serial": " 4711"}, "those of row 2"),
        ({"serial": "4712", "id": "SW-0001-0"}, "given to row 2"),
    ],
)
def test_the_same_hoist_or_tag_twice_in_a_file_is_a_fault(tmp_path: Path, second: dict[str, str], word: str):
    (fault,) = plan(ready_shop(tmp_path), changed(id="SW-0001-0"), changed(**second)).faults
    assert fault.place.startswith("f.csv:3:")
    assert word in fault.wrong


def test_a_hoist_that_is_here_is_known_by_serial_or_tag_and_differences_are_noted(tmp_path: Path):
    shop = ready_shop(tmp_path)
    held = register(shop)
    found = plan(shop, changed(site="workshop"))
    assert (found.new, found.planned[0].id) == (0, held.id)
    assert any("site 'intake hall', not 'workshop'" in note.wrong for note in found.notes)
    assert plan(shop, changed(id=held.id)).planned[0].here


def test_a_tag_that_is_another_hoist_here_is_a_fault(tmp_path: Path):
    shop = ready_shop(tmp_path)
    held = register(shop)
    (fault,) = plan(shop, changed(id=held.id, serial="9")).faults
    assert "another hoist here" in fault.wrong
    (fault,) = plan(shop, changed(id="SW-0002-Y")).faults
    assert f"is {held.id} here" in fault.wrong


def test_faults_stand_in_the_order_of_their_rows(tmp_path: Path):
    rows = [
        changed(serial=str(n), drive="steam" if n % 2 else "air", model="" if n % 3 else "x")
        for n in range(12)
    ]
    faults = plan(ready_shop(tmp_path), *rows).faults
    numbers = [int(fault.place.split(":")[1]) for fault in faults]
    assert numbers == sorted(numbers)


def test_columns_that_are_taken_as_usual_are_noted(tmp_path: Path):
    notes = plan(ready_shop(tmp_path), changed()).notes
    assert any("limit switches" in note.wrong for note in notes)


def test_a_book_length_that_does_not_go_with_the_chain_is_questioned(tmp_path: Path):
    found = plan(ready_shop(tmp_path), changed(book_length="180", book_document="manual"))
    assert found.faults == ()
    assert found.questions[0].place == "f.csv:2:L book length"
