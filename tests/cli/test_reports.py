"""Proves `fieldlog report`: what it writes and says, and what it refuses."""

from datetime import timedelta
from pathlib import Path

import pytest

from fieldlog.operations.shop import Shop
from tests.cli.reported import Report, printed, reporting
from tests.operations.builder import NOW
from tests.operations.report_samples import (
    story,
)
from tests.printing.report_pages import boxes, reader, text_of

MISSING = "The records do not hold these, and the paper says so:"


@pytest.fixture(scope="module")
def told(tmp_path_factory: pytest.TempPathFactory) -> tuple[Shop, str]:
    return story(tmp_path_factory.mktemp("story"))


@pytest.fixture
def report(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> Report:
    return reporting(capsys, monkeypatch, tmp_path)


@pytest.mark.parametrize("what", ["inspection", "logbook", "chain", "notice"])
def test_each_report_of_a_hoist_is_written_and_named_after_it(
    report: Report, told: tuple[Shop, str], what: str
) -> None:
    shop, tag = told
    answer = report(shop, what, tag)
    assert answer.code == 0
    path = Path(f"{what}-{tag}.pdf")
    count = len(reader(path.read_bytes()).pages)
    assert answer.out == f"{path}: {count} page{'s' if count > 1 else ''}\n"


def test_missing_particulars_are_said_before_the_report_is_written_all_the_same(
    report: Report, told: tuple[Shop, str]
) -> None:
    answer = report(told[0], "inspection", told[1], "--out", "x.pdf")
    assert answer.code == 0
    assert answer.err.splitlines()[0] == MISSING
    assert "  defect D2: no remedy is recorded. Say what repair" in answer.err
    assert Path("x.pdf").stat().st_size > 1000
    assert "not recorded" in text_of(Path("x.pdf").read_bytes())


def test_with_nothing_missing_nothing_is_said(report: Report, told: tuple[Shop, str]) -> None:
    assert report(told[0], "logbook", told[1]).err == ""


def test_one_line_and_one_defect_may_be_named(report: Report, told: tuple[Shop, str]) -> None:
    assert "before first use" in printed(report, told[0], "inspection", told[1], "--line", "2")
    assert "+ MENDED" in printed(report, told[0], "notice", told[1], "--defect", "D1")


def test_the_same_record_gives_the_same_bytes_on_any_day(
    report: Report, told: tuple[Shop, str], monkeypatch: pytest.MonkeyPatch
) -> None:
    shop, tag = told
    for what in ("inspection", "logbook", "chain", "notice"):
        report(shop, what, tag, "--out", "today.pdf")
        monkeypatch.setattr("fieldlog.cli.context.now", lambda: NOW + timedelta(days=400))
        report(shop, what, tag, "--out", "later.pdf")
        assert Path("today.pdf").read_bytes() == Path("later.pdf").read_bytes()


def test_letter_paper(report: Report, told: tuple[Shop, str]) -> None:
    report(told[0], "chain", told[1], "--out", "x.pdf", "--paper", "letter")
    assert float(reader(Path("x.pdf").read_bytes()).pages[0].mediabox.height) == 792


class TestDue:
    def test_site_and_last_month(self, report: Report, told: tuple[Shop, str]) -> None:
        text = printed(report, told[0], "due", "--on", "2026-04-02", "--until", "2027-04", "--site", "intake")
        assert "Inspections due intake hall as on 2026-04-02, until the end of 2027-04" in text
        # A month and a year after 2026-04-01, by the calendar.
        assert "2026-05-01" in text
        assert "2027-04-01" in text

    def test_today_is_taken_where_no_day_is_given(self, report: Report, told: tuple[Shop, str]) -> None:
        assert f"as on {NOW.date().isoformat()}" in printed(report, told[0], "due")

    @pytest.mark.parametrize("month", ["2026-13", "26-04", "april", "2026-04-01"])
    def test_a_month_is_written_in_one_way(self, report: Report, told: tuple[Shop, str], month: str) -> None:
        answer = report(told[0], "due", "--until", month)
        assert (answer.code, answer.out) == (2, "")
        assert f"'{month}' is not a month; write year-month, as 2027-03" in answer.err


class TestFigures:
    def test_they_are_written_under_the_name_of_the_site(
        self, report: Report, told: tuple[Shop, str]
    ) -> None:
        answer = report(told[0], "figures")
        assert (answer.code, answer.out, answer.err) == (0, "figures-intake-hall.pdf: 1 page\n", "")

    def test_the_day_that_is_asked_for_decides(self, report: Report, told: tuple[Shop, str]) -> None:
        """Monthly and yearly from 2026-04-01, by the calendar."""
        text = printed(report, told[0], "figures", "--on", "2026-04-02", "--site", "INTAKE")
        assert "Figures of the shop intake hall as on 2026-04-02" in text
        assert "2026-05 1 1 frequent" in text
        assert "Due ahead 1 in 12 months, 1 later" in text
        later = printed(report, told[0], "figures", "--on", "2026-05-02")
        assert "Overdue 1 1 frequent" in later

    def test_the_same_day_gives_the_same_bytes(self, report: Report, told: tuple[Shop, str]) -> None:
        for name in ("one.pdf", "two.pdf"):
            report(told[0], "figures", "--on", "2026-04-02", "--out", name)
        assert Path("one.pdf").read_bytes() == Path("two.pdf").read_bytes()


@pytest.mark.parametrize(
    ("arguments", "code", "sentence"),
    [
        (("inspection", "SW-0009-K"), 3, "no hoist of this store"),
        (("inspection", "SW-0001-0", "--line", "1"), 2, "is no inspection but a registration"),
        (("inspection", "SW-0001-0", "--line", "99"), 3, "has no line 99"),
        (("notice", "SW-0001-0", "--defect", "D9"), 3, "has no defect D9"),
        (("due", "--site", "moon"), 3, "no hoist hangs at a site called 'moon'"),
        (("figures", "--site", "moon"), 3, "no hoist hangs at a site called 'moon'"),
        (("figures", "--on", "soon"), 2, "soon"),
        (("due", "--until", "2020-01"), 2, "before its day"),
        (("chain", "SW-0001-0", "--paper", "a5"), 2, "invalid choice: 'a5'"),
        (("logbook", "SW-0001-0", "--out", "/nowhere/x.pdf"), 5, "/nowhere/x.pdf can not be written"),
        ((), 2, "WHAT"),
    ],
)
def test_what_can_not_be_done_is_one_sentence(
    report: Report, told: tuple[Shop, str], arguments: tuple[str, ...], code: int, sentence: str
) -> None:
    answer = report(told[0], *arguments)
    assert (answer.code, answer.out) == (code, "")
    assert sentence in answer.err
    assert "Traceback" not in answer.err
    assert not list(Path().glob("*.pdf"))


@pytest.mark.parametrize("what", ["inspection", "logbook", "chain", "notice"])
def test_nothing_stands_outside_the_paper(report: Report, told: tuple[Shop, str], what: str) -> None:
    report(told[0], what, told[1], "--out", "x.pdf", "--paper", "letter")
    for page in boxes(Path("x.pdf").read_bytes()):
        assert all(
            left >= 0 and right <= 612 and lower >= 0 and upper <= 792 for left, lower, right, upper in page
        )
