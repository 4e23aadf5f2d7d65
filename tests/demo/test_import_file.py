"""Proves that the spreadsheet of the demo is what its script writes, and that its 12 faults are found."""

from pathlib import Path

from demo.import_file import FILE, HEADINGS, HOISTS, PLANTED, table_bytes
from fieldlog.exchange.headings import letter
from fieldlog.exchange.tables_in import read_table
from fieldlog.operations.planning_import import plan_import
from tests.operations.builder import TODAY, ready_shop


def test_the_file_is_the_one_that_the_script_writes():
    assert FILE.read_bytes() == table_bytes()


def test_every_planted_fault_is_found_with_row_and_column_and_nothing_else(tmp_path: Path):
    table = read_table(FILE.read_bytes(), FILE.name, dates="dmy")
    found = plan_import(ready_shop(tmp_path), table, today=TODAY)
    places = {fault.place: str(fault) for fault in found.faults}
    wanted = {
        f"{FILE.name}:{fault.row}:{letter(HEADINGS.index(fault.heading))} {fault.heading}": fault
        for fault in PLANTED
    }
    assert len(PLANTED) == 12
    assert places.keys() == wanted.keys()
    assert all(fault.word in places[place] for place, fault in wanted.items())
    assert (len(found.planned), found.questions) == (HOISTS - len(PLANTED), ())


def test_without_the_faults_all_hoists_are_good(tmp_path: Path):
    table = read_table(table_bytes(faulty=False), "good.csv", dates="dmy")
    found = plan_import(ready_shop(tmp_path), table, today=TODAY)
    assert (len(found.planned), found.faults, found.questions) == (HOISTS, (), ())
