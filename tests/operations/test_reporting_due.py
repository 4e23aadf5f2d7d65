"""Proves that the due list on paper puts every inspection once under its site and month, and counts them."""

from datetime import date
from pathlib import Path

import pytest

from fieldlog.domain.records import DefectGrade, InspectionKind
from fieldlog.domain.report_content import Report, Table
from fieldlog.errors import InputError, NotFoundError
from fieldlog.operations.drafting import DefectDraft
from fieldlog.operations.due import due_list
from fieldlog.operations.reporting import due_report
from fieldlog.operations.shop import Shop, open_shop
from tests.operations.builder import inspect, ready_shop, register
from tests.operations.report_samples import section, words_of

DONE = {"intake hall": date(2026, 1, 31), "filter house": date(2026, 2, 10), "workshop": date(2025, 3, 2)}
DAY = date(2026, 3, 2)


@pytest.fixture(scope="module")
def three(tmp_path_factory: pytest.TempPathFactory) -> Shop:
    """Three hoists under LOLER at three sites; the one in the workshop was examined a year and a day ago."""
    shop = ready_shop(tmp_path_factory.mktemp("due"))
    for number, (site, day) in enumerate(DONE.items()):
        hoist = register(shop, day=day, site=site, rulebook="uk", serial=f"S-{number}")
        inspect(shop, hoist.id, day=day)
    return shop


def rows(report: Report, site: str) -> list[list[str]]:
    tables = [block for block in section(report, site).blocks if isinstance(block, Table)]
    return [[words.text for words in row] for table in tables for row in table.rows]


def test_each_site_has_its_section_in_alphabetical_order(three: Shop) -> None:
    titles = [part.title for part in due_report(three, DAY).sections]
    assert titles == ["The load of work", "filter house", "intake hall", "workshop"]


def test_months_are_named_where_they_begin_and_the_overdue_stand_before_all(three: Shop) -> None:
    """12 months and one month from the day of the examination, clamped to the month's end: 2026-01-31 gives
    2026-02-28 (LOLER reg. 9(3)(a)(ii), the calendar rule). The day itself is in time, so that on 2026-03-02
    the examination of 2025-03-02 is not overdue yet."""
    hall = [row[:3] for row in rows(due_report(three, DAY), "intake hall")]
    assert hall == [["Overdue", "2026-02-28", "frequent"], ["2027-01", "2027-01-31", "periodic"]]
    shed = [row[:3] for row in rows(due_report(three, DAY), "workshop")]
    assert shed == [["Overdue", "2025-04-02", "frequent"], ["2026-03", "2026-03-02", "periodic"]]
    later = [row[:3] for row in rows(due_report(three, date(2026, 3, 3)), "workshop")]
    assert later == [["Overdue", "2025-04-02", "frequent"], ["", "2026-03-02", "periodic"]]


def test_no_row_of_a_hoist_with_an_overdue_inspection_reads_in_service(three: Shop) -> None:
    states = {row[0] or row[1]: row[6] for row in rows(due_report(three, DAY), "intake hall")}
    assert states == {"Overdue": "! OVERDUE", "2027-01": "! OVERDUE"}
    assert {row[6] for row in rows(due_report(three, DAY), "filter house")} == {"+ IN SERVICE"}


def test_the_load_counts_what_is_listed(three: Shop) -> None:
    told = words_of(section(due_report(three, DAY), "The load of work"))
    assert "Inspections: 6, of which 2 overdue" in told
    assert "Hoists: 3 at 3 sites" in told
    # Overdue: intake hall and workshop; March: filter house frequent (2026-03-10) and workshop periodic.
    assert "Overdue | 0 | 2 | 2 | 2 | 0" in told
    assert "2026-03 | 1 | 1 | 2 | 2 | 0" in told
    assert "2027-01 | 1 | 0 | 1 | 1 | 0" in told
    assert "2027-02 | 1 | 0 | 1 | 1 | 0" in told


def test_every_inspection_of_the_due_list_is_on_paper(three: Shop) -> None:
    report = due_report(three, DAY)
    listed = {(row[3], row[1]) for site in DONE for row in rows(report, site)}
    known = {(row.id, due.due_on.isoformat()) for row in due_list(three, DAY) for due in row.dues}
    assert listed == known


def test_until_ends_with_its_month(three: Shop) -> None:
    report = due_report(three, DAY, until=date(2026, 3, 1))
    assert "Inspections: 4, of which 2 overdue" in words_of(section(report, "The load of work"))
    assert report.subject == "as on 2026-03-02, until the end of 2026-03"
    with pytest.raises(InputError, match="would end in 2026-02, before its day"):
        due_report(three, DAY, until=date(2026, 2, 28))


def test_one_site_alone(three: Shop) -> None:
    report = due_report(three, DAY, site="Filter")
    assert report.about == "filter house"
    assert [part.title for part in report.sections] == ["The load of work", "filter house"]
    with pytest.raises(NotFoundError, match="no hoist hangs at a site called 'boiler house'"):
        due_report(three, DAY, site="boiler house")


def test_months_of_grace_are_told_and_nothing_in_them_is_overdue(tmp_path: Path) -> None:
    """Month plate: due 2026-01, in time until the end of 2026-03 (BetrSichV 14(5))."""
    shop = ready_shop(tmp_path)
    hoist = register(shop, day=date(2025, 1, 20), rulebook="de")
    inspect(shop, hoist.id, day=date(2025, 1, 20))
    row = next(row for row in rows(due_report(shop, DAY), "intake hall") if row[2] == "periodic")
    assert row[:2] == ["2026-01", "2026-01-31, in time until 2026-03-31"]


def test_a_hoist_out_of_service_is_listed_and_counted_as_such(tmp_path: Path) -> None:
    shop = ready_shop(tmp_path)
    hoist = register(shop, day=DONE["workshop"])
    broken = DefectDraft(what="hook cracked", grade=DefectGrade.STOPS_NOW)
    inspect(shop, hoist.id, InspectionKind.PERIODIC, day=DONE["workshop"], defects={"lower-hook": broken})
    report = due_report(shop, DAY)
    assert rows(report, "intake hall")[0][6] == "X OUT OF SERVICE, 1 defect open"
    assert " | 1\n" in words_of(section(report, "The load of work"))


def test_a_hoist_whose_record_does_not_read_is_told_of(tmp_path: Path) -> None:
    shop = ready_shop(tmp_path)
    hoist, lost = register(shop), register(shop, serial="4712")
    path = tmp_path / "logbooks" / f"{lost.id}.jsonl"
    assert "NOT ALL HOISTS" not in words_of(section(due_report(shop, DAY), "The load of work"))
    path.write_bytes(b"spoilt\n")
    told = words_of(section(due_report(open_shop(tmp_path), DAY), "The load of work"))
    assert f"X NOT ALL HOISTS ARE LISTED\nlogbooks/{lost.id}.jsonl line 1" in told
    assert hoist.id not in told


def test_a_shop_without_hoists(tmp_path: Path) -> None:
    report = due_report(ready_shop(tmp_path), DAY)
    assert words_of(report.sections[0]).endswith("Nothing is due.")
