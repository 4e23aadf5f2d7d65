"""Proves that an import is all or nothing, the same file again changes nothing, and any bytes are safe."""

from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from fieldlog.domain.records import Hoist, TakenOver
from fieldlog.errors import RefusedError, StoreError
from fieldlog.exchange.tables_in import read_table
from fieldlog.exchange.tables_out import write_table
from fieldlog.operations.due import due_list
from fieldlog.operations.exporting import rows_of
from fieldlog.operations.hoist_page import hoist_page
from fieldlog.operations.importing import ImportFaultsError, ImportReport, import_hoists, plan_import
from fieldlog.operations.shop import Shop, open_hoist
from fieldlog.operations.verifying import verify
from fieldlog.store.files import FileCalls
from fieldlog.store.logbooks import Logbooks
from tests.operations.builder import ADA, BEN, NOW, TODAY, inspect, ready_shop, register, with_ben

HEAD = "id,maker,model,serial,drive,capacity,lift,chain,site,place,last inspection,last reading (mm),paper"
ROWS = (
    ",Fenwright,LC,A1,electric,1 t,6,7x21,intake hall,bay 1,2026-03-31,232.4,book 4",
    "SW-0001-0,Fenwright,LC,A2,hand,500,3,5x15,filter house,,,,",
    ",Brackenhaul,Teal,A1,air,250,3,4x12,workshop,,2025-12-31,,",
)


class FailingCalls(FileCalls):
    """A disk that fails at the n-th sync."""

    def __init__(self, after: int) -> None:
        self.left = after

    def fsync(self, fd: int) -> None:
        self.left -= 1
        if self.left == 0:
            raise OSError(28, "No space left on device")


def take(shop: Shop, *rows: str, confirmed: bool = False, by: str = ADA) -> ImportReport:
    table = read_table("\n".join([HEAD, *rows]).encode(), "f.csv")
    plan = plan_import(shop, table, today=TODAY)
    return import_hoists(shop, plan, by=by, now=NOW, today=TODAY, confirmed=confirmed)


def hoists(shop: Shop) -> list[Hoist]:
    return [open_hoist(shop, name).hoist for name in shop.logbooks.hoist_names()]


def test_hoists_get_tags_beside_those_that_the_file_gives(tmp_path: Path):
    shop = ready_shop(tmp_path)
    report = take(shop, *ROWS)
    assert (len(report.registered), report.here, report.taken_over) == (3, 0, 2)
    assert {hoist.serial: hoist.id for hoist in hoists(shop)}["A2"] == "SW-0001-0"
    assert verify(shop).problems == ()


def test_paper_shows_in_the_logbook_and_never_counts_as_an_inspection(tmp_path: Path):
    shop = ready_shop(tmp_path)
    take(shop, ROWS[0])
    (name,) = shop.logbooks.hoist_names()
    page = hoist_page(shop, name, TODAY)
    assert (
        "taken over from paper (book 4): last periodic 2026-03-31, 11 links inside 232.4 mm"
        in page.timeline[1].says
    )
    assert page.timeline[1].day.isoformat() == "2026-03-31"
    assert (page.row.kind, page.standing.fitness.value) == ("before first use", "out of service")
    assert open_hoist(shop, name).history.inspections == ()
    assert page.summary.used_pct is None


def test_the_same_file_again_changes_nothing(tmp_path: Path):
    shop = ready_shop(tmp_path)
    take(shop, *ROWS)
    before = {name: shop.logbooks.read(name).head for name in shop.logbooks.hoist_names()}
    report = take(shop, *ROWS)
    assert (report.registered, report.here, report.taken_over) == ((), 3, 0)
    assert {name: shop.logbooks.read(name).head for name in shop.logbooks.hoist_names()} == before


@pytest.mark.parametrize("after", range(1, 16))
def test_an_import_that_the_disk_broke_off_is_finished_by_the_next(tmp_path: Path, after: int):
    shop = ready_shop(tmp_path)
    broken = replace(shop, logbooks=Logbooks(tmp_path, files=FailingCalls(after)))
    try:
        take(broken, *ROWS)
    except StoreError as fault:
        assert "import the same file again to finish" in str(fault)  # noqa: PT017 (how often it syncs is the store's)
    take(shop, *ROWS)
    assert sorted(hoist.serial for hoist in hoists(shop)) == ["A1", "A1", "A2"]
    papers = [
        entry
        for name in shop.logbooks.hoist_names()
        for entry in shop.logbooks.read(name).entries
        if isinstance(entry.body, TakenOver)
    ]
    assert len(papers) == 2


def test_paper_is_not_taken_over_once_the_shop_has_inspected_the_hoist(tmp_path: Path):
    shop = ready_shop(tmp_path)
    hoist = register(shop, maker="Fenwright", model="LC", serial="A1", chain="7x21", capacity="1000")
    inspect(shop, hoist.id, readings=("231.4", "232.1", "231.9"))
    assert take(shop, ROWS[0]).taken_over == 0


def test_one_fault_stops_the_whole_file(tmp_path: Path):
    shop = ready_shop(tmp_path)
    with pytest.raises(ImportFaultsError, match="1 fault"):
        take(shop, *ROWS, ROWS[0].replace("A1", "A9").replace("7x21", "21x7"))
    assert shop.logbooks.hoist_names() == []


def test_what_is_questioned_is_taken_only_when_confirmed(tmp_path: Path):
    shop = ready_shop(tmp_path)
    row = ROWS[0].replace("232.4", "253.2")
    with pytest.raises(ImportFaultsError, match="looks like 12 links"):
        take(shop, row)
    assert shop.logbooks.hoist_names() == []
    assert len(take(shop, row, confirmed=True).registered) == 1


def test_who_may_not_seal_may_not_import(tmp_path: Path):
    shop = ready_shop(tmp_path)
    with_ben(shop, may_seal=False)
    with pytest.raises(RefusedError):
        take(shop, *ROWS, by=BEN)


# What a registration may hold; the texts include those that start formulas and hold separators.
TEXTS = st.text(st.sampled_from("abZ0 =+-@',;\"é"), min_size=1, max_size=12).filter(
    lambda text: text.strip() == text
)
FLEETS = st.lists(
    st.fixed_dictionaries(
        {
            "maker": TEXTS,
            "model": TEXTS,
            "site": TEXTS,
            "place": TEXTS,
            "drive": st.sampled_from(["electric", "air", "hand"]),
            "capacity": st.sampled_from(["250", "1 t", "2000 lb", "1.125 t", "453.125"]),
            "lift": st.sampled_from(["6", "20 ft", "3.125", "4500 mm"]),
            "chain": st.sampled_from(["5x15", "7.1x20.5", "11,3x31"]),
            "hook_throat": st.sampled_from(["", "30", "1 1/8 in"]),
            "service": st.sampled_from(["normal", "heavy", "severe"]),
            "trolley": st.sampled_from(["yes", "no"]),
            "group": st.sampled_from(["", "M4"]),
            "book_length": st.sampled_from(["", "165.125"]),
            "book_document": TEXTS,
        }
    ),
    min_size=1,
    max_size=3,
)


@settings(max_examples=15, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(FLEETS, st.sampled_from([",", ";", "\t"]))
def test_what_is_exported_is_imported_as_the_same_hoists(
    tmp_path_factory: pytest.TempPathFactory, fleet: list[dict[str, str]], separator: str
):
    shop = ready_shop(tmp_path_factory.mktemp("from"))
    for number, texts in enumerate(fleet):
        chain = {"book_length": ""} if texts["chain"] != "5x15" else {}
        register(shop, **{**texts, **chain, "serial": f"S{number}"})
    table = rows_of(shop, "hoists", TODAY)
    data = write_table(table.columns, table.rows, separator)
    other = ready_shop(tmp_path_factory.mktemp("to"))
    plan = plan_import(other, read_table(data, "out.csv"), today=TODAY)
    assert plan.faults == ()
    import_hoists(other, plan, by=ADA, now=NOW, today=TODAY)
    assert hoists(other) == hoists(shop)


def test_last_inspections_of_an_export_come_along_as_paper(tmp_path: Path):
    shop = ready_shop(tmp_path / "from")
    inspect(shop, register(shop).id)
    table = rows_of(shop, "hoists", TODAY)
    other = ready_shop(tmp_path / "to")
    plan = plan_import(other, read_table(write_table(table.columns, table.rows), "o.csv"), today=TODAY)
    assert import_hoists(other, plan, by=ADA, now=NOW, today=TODAY).taken_over == 1
    assert due_list(other, TODAY)[0].kind == "before first use"


def spoiled(places: list[int]) -> bytes:
    """The good file with some bytes turned into their neighbours."""
    good = "\n".join([HEAD, *ROWS]).encode()
    return bytes(byte ^ (1 if place in places else 0) for place, byte in enumerate(good))


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    st.binary(max_size=120)
    | st.lists(st.text(st.sampled_from("A1x,;\"'=-.kgt5\n é"), max_size=60), max_size=3).map(
        lambda rows: "\n".join([HEAD, *rows]).encode()
    )
    | st.lists(st.integers(0, 200), max_size=4).map(spoiled)
)
def test_any_bytes_give_faults_or_records_and_never_half_an_import(
    tmp_path_factory: pytest.TempPathFactory, data: bytes
):
    shop = ready_shop(tmp_path_factory.mktemp("any"))
    table = read_table(data, "f.csv", dates="dmy")
    plan = plan_import(shop, table, today=TODAY)
    if plan.faults:
        with pytest.raises(ImportFaultsError):
            import_hoists(shop, plan, by=ADA, now=NOW, today=TODAY, confirmed=True)
        assert shop.logbooks.hoist_names() == []
    else:
        import_hoists(shop, plan, by=ADA, now=NOW, today=TODAY, confirmed=True)
        assert len(shop.logbooks.hoist_names()) == len(table.rows)
