"""Proves that the figures on paper are the shop's, counted by hand, and how long their bars are."""

from datetime import date
from pathlib import Path

import pytest

from fieldlog.domain.report_content import Bars, Report, Section
from fieldlog.errors import NotFoundError
from fieldlog.operations.figures import shop_figures
from fieldlog.operations.reporting import figures_report
from fieldlog.operations.shop import Shop
from fieldlog.operations.shop_settings import set_shop
from tests.operations.builder import ADA, NOW, RULE, TODAY, inspect, ready_shop, register
from tests.operations.report_samples import facts_of, section, words_of
from tests.operations.worn_chains import FREQUENT, STEADY, day_after, fit_chain, measure, worn_shop

LOAD, WORN, LIVES = "Inspections due, by month", "Most worn chains", "Mean life of replaced chains"
NEAR, LATE = date(2025, 7, 20), date(2026, 1, 11)


def bars_of(part: Section) -> Bars:
    return next(block for block in part.blocks if isinstance(block, Bars))


def lengths(report: Report, title: str) -> dict[str, float]:
    return {bar.label.text: bar.length for bar in bars_of(section(report, title)).rows}


@pytest.fixture(scope="module")
def steady(tmp_path_factory: pytest.TempPathFactory) -> Shop:
    """One hoist, measured last on 2025-07-09: frequent on 2025-08-09; periodic from 2025-01-10 on
    2026-01-10 (monthly and yearly by the calendar)."""
    return worn_shop(tmp_path_factory.mktemp("steady"), *STEADY)[0]


@pytest.fixture(scope="module")
def replaced(tmp_path_factory: pytest.TempPathFactory) -> Shop:
    """The chain was replaced after 200 days, and the next one grew past its 2.475 mm."""
    shop, tag = worn_shop(tmp_path_factory.mktemp("replaced"), *STEADY)
    fit_chain(shop, tag, 200)
    measure(shop, tag, 210, "2.7")
    return shop


def test_twelve_months_from_this_one_on(steady: Shop) -> None:
    report = figures_report(steady, NEAR)
    drawn = lengths(report, LOAD)
    assert next(iter(drawn)) == "2025-07"
    assert list(drawn)[-1] == "2026-06"
    assert {month: length for month, length in drawn.items() if length} == {"2025-08": 1, "2026-01": 1}
    assert bars_of(section(report, LOAD)).full == 1
    told = words_of(section(report, LOAD))
    assert "2025-08 | 1 | 1 frequent\n" in told
    assert "2026-01 | 1 | 1 periodic\n" in told


def test_the_overdue_stand_above_the_months_and_are_solid(steady: Shop) -> None:
    first, *others = bars_of(section(figures_report(steady, LATE), LOAD)).rows
    assert (first.label.text, first.length, first.solid) == ("Overdue", 2, True)
    assert [words.text for words in first.beside] == ["2", "1 frequent, 1 periodic"]
    assert not any(bar.solid or bar.length for bar in others)


def test_what_is_in_grace_is_not_overdue(tmp_path: Path) -> None:
    """Month plate: due 2026-01, in time until the end of 2026-03 (BetrSichV 14(5))."""
    shop = ready_shop(tmp_path)
    hoist = register(shop, day=date(2025, 1, 20), rulebook="de")
    inspect(shop, hoist.id, day=date(2025, 1, 20))
    grace = {
        bar.label.text: bar for bar in bars_of(section(figures_report(shop, date(2026, 3, 2)), LOAD)).rows
    }
    assert [words.text for words in grace["In grace"].beside] == ["1", "1 periodic"]
    assert not grace["In grace"].solid
    late = lengths(figures_report(shop, date(2026, 4, 1)), LOAD)
    assert "In grace" not in late
    assert late["Overdue"] == lengths(figures_report(shop, date(2026, 3, 2)), LOAD).get("Overdue", 0) + 1


def test_a_worn_chain_is_drawn_against_its_limit(steady: Shop) -> None:
    """0.9 mm of the 2.475 mm that DOE-STD-1090-96, chapter 8, allows on 165 mm are 36.4 %."""
    part = section(figures_report(steady, NEAR), WORN)
    bars = bars_of(part)
    (only,) = bars.rows
    assert (bars.limit, bars.full) == (100, 110)
    assert only.length == pytest.approx(100 * 0.9 / 2.475, abs=0.05)
    assert not only.solid
    assert "SW-0001-0 | 36.4 | 5 x 15 mm | intake hall, bay 2" in words_of(part)


def test_a_chain_past_its_limit_is_marked_in_its_words_too(replaced: Shop) -> None:
    """2.7 / 2.475 = 109.1 %."""
    part = section(figures_report(replaced, TODAY), WORN)
    (only,) = bars_of(part).rows
    assert only.solid
    assert (only.beside[0].text, only.beside[0].strong) == ("X 109.1", True)
    assert "At 100 % the chain is discarded" in words_of(part)


@pytest.mark.parametrize(
    ("grown", "solid"), [("2.473", False), ("2.474", True), ("2.475", True), ("2.476", True)]
)
def test_at_the_limit_is_past_it(tmp_path: Path, grown: str, solid: bool) -> None:
    """At 1.5 % the chain is replaced (DOE-STD-1090-96, chapter 8): 2.475 mm of 165 mm. What is told to a
    tenth goes to the safe side: 2.474 / 2.475 = 99.96 %, 2.473 / 2.475 = 99.92 %."""
    shop, _ = worn_shop(tmp_path, (0, "0.3"), (90, grown))
    (only,) = bars_of(section(figures_report(shop, NEAR), WORN)).rows
    assert only.solid is solid


def test_how_long_chains_last(replaced: Shop) -> None:
    told = words_of(section(figures_report(replaced, TODAY), LIVES))
    assert told.startswith("5 x 15 mm | normal | 1 | 200 | 1\n")


def test_the_first_section_sums_up(tmp_path: Path) -> None:
    """A steel rule can not tell 2.2 mm from 2.475 mm: 1 of 6 lengths, 16.7 %."""
    shop, tag = worn_shop(tmp_path, (0, "0.3"))
    inspect(shop, tag, FREQUENT, day=day_after(90), readings=("167.2", "165.5", "166.0"), instrument=RULE)
    facts = facts_of(section(figures_report(shop, NEAR), "The shop"))
    figures = shop_figures(shop, NEAR)
    assert facts == {
        "Hoists": f"1 in use, {figures.out_of_service} out of service",
        "Overdue": "1 inspection of 1 hoist",
        "Undecided readings": "16.7 %, 1 of 6 lengths judged",
        "Due ahead": "1 in 12 months, 0 later",
    }


def test_a_shop_that_speaks_in_inches_keeps_the_record_beside(tmp_path: Path) -> None:
    """5 / 25.4 = 0.19685, 15 / 25.4 = 0.59055: 1 in is 25.4 mm (NIST SP 811, appendix B)."""
    shop, tag = worn_shop(tmp_path, *STEADY)
    fit_chain(shop, tag, 200)
    measure(shop, tag, 210, "0.1")
    set_shop(shop, {"length_unit": "in"}, by=ADA, now=NOW, today=TODAY)
    report = figures_report(shop, TODAY)
    assert "0.1969 x 0.5906 in\n(5 x 15 mm)" in words_of(section(report, WORN))
    assert "0.1969 x 0.5906 in (5 x 15 mm)" in words_of(section(report, LIVES))
    assert "the value in brackets is the one that was recorded" in words_of(section(report, "The shop"))


def test_an_empty_shop_says_what_there_is_not(tmp_path: Path) -> None:
    report = figures_report(ready_shop(tmp_path), TODAY)
    assert report.about == "all sites"
    assert words_of(section(report, LOAD)) == "Nothing is due."
    assert words_of(section(report, WORN)) == "No length of a chain has been measured yet."
    assert words_of(section(report, LIVES)) == "No chain has been replaced yet."
    told = facts_of(section(report, "The shop"))
    assert told["Undecided readings"] == "no length of a chain has been judged yet"


def test_one_site_alone(tmp_path: Path) -> None:
    shop, _ = worn_shop(tmp_path, *STEADY)
    register(shop, serial="2", site="workshop", day=NEAR)
    assert figures_report(shop, LATE).about == "all sites"
    report = figures_report(shop, LATE, site="WORK")
    assert report.about == "workshop"
    assert lengths(report, LOAD)["Overdue"] == 1
    assert words_of(section(report, WORN)) == "No length of a chain has been measured yet."
    with pytest.raises(NotFoundError, match="no hoist hangs at a site called 'boiler house'"):
        figures_report(shop, LATE, site="boiler house")


@pytest.mark.parametrize("line", [0, 2])
def test_a_logbook_that_does_not_read_whole_is_named(tmp_path: Path, line: int) -> None:
    shop, tag = worn_shop(tmp_path, *STEADY)
    path = next(shop.root.glob(f"logbooks/**/{tag}.jsonl"))
    lines = path.read_text("utf-8").splitlines()
    path.write_text("\n".join([*lines[:line], "{}", *lines[line + 1 :], ""]), encoding="utf-8")
    told = words_of(section(figures_report(shop, NEAR), "The shop"))
    assert "! NOT ALL RECORDS COUNT\n" in told
    assert tag in told.partition("COUNT\n")[2].splitlines()[0]
    assert "run fieldlog verify" in told


def test_progress_is_told_and_nothing_is_missing(steady: Shop) -> None:
    seen: list[tuple[int, int]] = []
    report = figures_report(steady, NEAR, progress=lambda done, total: seen.append((done, total)))
    assert seen[-1] == (1, 1)
    assert report.missing == ()
    assert (report.dated, report.subject) == (NEAR, "as on 2025-07-20")
    assert figures_report(steady, NEAR) == report
