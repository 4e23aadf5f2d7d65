"""Proves that tables of hoists are read as people keep them, and that every fault has its row and column."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fieldlog.exchange.mapping import ColumnMap, Mapped
from fieldlog.exchange.tables_in import NEEDED, read_table

HEAD = "maker,model,serial,drive,capacity,lift,chain,site"
ROW = "Fenwright,LC,A1,electric,1 t,6,5x15,intake hall"


def texts(data: str | bytes, **options: object) -> list[dict[str, str]]:
    table = read_table(data if isinstance(data, bytes) else data.encode(), "f.csv", **options)  # type: ignore[arg-type]
    assert table.faults == ()
    return [{name: cell.text for name, cell in row.cells.items()} for row in table.rows]


@pytest.mark.parametrize("separator", [",", ";", "\t"])
@pytest.mark.parametrize("encoding", ["utf-8-sig", "cp1252", "utf-16"])
def test_separators_and_encodings_make_no_difference(separator: str, encoding: str):
    text = f"{HEAD}\n{ROW}".replace(",", separator).replace("hall", "Höhe")
    (row,) = texts(text.encode(encoding))
    assert (row["site"], row["capacity"]) == ("intake Höhe", "1 t")


def test_columns_may_stand_in_any_order_and_below_a_title():
    turned = ",".join(reversed(HEAD.split(",")))
    cells = ",".join(reversed(ROW.split(",")))
    table = read_table(f"Our hoists,,,\n\n{turned}\n{cells}".encode(), "f.csv")
    assert [row.number for row in table.rows] == [4]
    assert table.rows[0].cells["maker"].place == "f.csv:4:H maker"


def test_diameter_and_pitch_may_have_columns_of_their_own():
    (row,) = texts("maker,model,serial,drive,wll,lift,dn,pn (mm),site\nF,L,A,hand,1 t,3,7,21,x")
    assert row["chain"].replace(" mm", "") == "7x21"


def test_a_mapping_names_columns_gives_constants_and_goes_before_usual_names():
    mapping = ColumnMap(
        columns={"no": Mapped(field="serial"), "max": Mapped(field="capacity", unit="t")},
        constants={"site": "workshop", "lift": "6 m"},
        ignore=frozenset({"phone"}),
    )
    data = "maker,model,No.,drive,Max.,chain,phone,place\nF,L,A,air,2,5x15,1,\n"
    (row,) = texts(data, mapping=mapping)
    assert (row["serial"], row["capacity"], row["site"], row["lift"]) == ("A", "2 t", "workshop", "6 m")
    assert read_table(data.encode(), "f.csv", mapping=mapping).notes == ()


def test_a_column_that_is_not_read_is_noted_and_stops_nothing():
    table = read_table(f"{HEAD},Telefon\n{ROW},1".encode(), "f.csv")
    assert [note.place for note in table.notes] == ["f.csv:1:I Telefon"]
    assert table.faults == ()


@pytest.mark.parametrize(
    ("data", "place", "word"),
    [
        (f"{HEAD},wll\n{ROW},1", "f.csv:1:I wll", "second time"),
        (f"{HEAD}\n{ROW},beyond", "f.csv:2:I", "9 cells"),
        (f"{HEAD}\n{ROW.replace('1 t', '1')}", "f.csv:2:E capacity", "unit"),
        (f"{HEAD}\n", "f.csv", "no rows"),
        ("", "f.csv", "nothing"),
        ("hello\nworld", "f.csv:1", "headings"),
        (f'{HEAD}\n"x', "f.csv:2", "does not read"),
    ],
)
def test_faults_have_their_place(data: str, place: str, word: str):
    (fault,) = read_table(data.encode(), "f.csv").faults
    assert fault.place == place
    assert word in fault.wrong


@pytest.mark.parametrize("name", NEEDED)
def test_a_needed_column_that_is_not_there_is_told_once(name: str):
    place = HEAD.split(",").index(name)
    cut = [
        ",".join(cell for n, cell in enumerate(line.split(",")) if n != place) for line in (HEAD, ROW, ROW)
    ]
    faults = read_table("\n".join(cut).encode(), "f.csv").faults
    assert [fault.wrong for fault in faults] == [f"there is no column for the {name}."]


@given(st.binary(max_size=200) | st.text(max_size=200).map(lambda text: f"{HEAD}\n{text}".encode()))
def test_any_bytes_give_rows_or_faults(data: bytes):
    table = read_table(data, "f.csv", dates="dmy")
    assert table.rows or table.faults
    assert all(fault.place.startswith("f.csv") for fault in table.faults)
