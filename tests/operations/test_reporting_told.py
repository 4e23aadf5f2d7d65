"""Proves that reports say who was told of a defect, when and how, and mark it where nobody was.

Source: LOLER 1998 reg. 10(1)(a) (the employer is notified forthwith); DGUV Regel 100-500, 2.9, 4.3 (the owner
knows the result), as the rulebooks' particulars quote them.
"""

from datetime import date, timedelta
from pathlib import Path

from fieldlog.domain.records import InspectionKind
from fieldlog.domain.report_content import Facts, Report, Table
from fieldlog.operations.correcting import strike_out
from fieldlog.operations.noticing import note_notice
from fieldlog.operations.reporting import inspection_report, logbook_report, notice_report
from fieldlog.operations.shop import Shop
from tests.operations.builder import ADA, at, inspect
from tests.operations.report_samples import CRACKED, VISIT_DAY, WATCHED, facts_of, section, shop_of

LATER = VISIT_DAY + timedelta(days=3)
BY_LETTER = {"whom": "Mor Quill, works manager", "how": "by letter"}
LETTER = f"{LATER.isoformat()}: Mor Quill, works manager, by letter"


def two_defects(root: Path, rulebook: str = "general") -> tuple[Shop, str]:
    """One of which somebody was told at once (D1 or D2, the guide's), and one of which nobody was."""
    shop, tag = shop_of(root, rulebook)
    defects = {"upper-guide": CRACKED, "hook-latch": WATCHED}
    inspect(shop, tag, InspectionKind.PERIODIC, day=VISIT_DAY, defects=defects)
    return shop, tag


def tell(shop: Shop, tag: str, day: date = LATER, **more: str) -> str:
    texts = BY_LETTER | {"done_on": day.isoformat()} | more
    return note_notice(shop, tag, texts, by=ADA, now=at(day), today=day).line


def told(report: Report, title: str) -> dict[str, tuple[str, bool]]:
    """The last column of the defects' table by their ids: text, and whether it is marked as missing."""
    table = next(block for block in section(report, title).blocks if isinstance(block, Table))
    assert table.columns[-1].title == "Told: whom, when, how"
    return {row[0].text: (row[-1].text, row[-1].missing) for row in table.rows}


def untold(report: Report) -> list[str]:
    return [problem.place for problem in report.missing if "told" in problem.wrong]


def ids(shop: Shop, tag: str) -> tuple[str, str]:
    """The id of the guide's defect, and that of the latch's."""
    known = {row[1].text.split(":")[0]: row[0].text for row in _rows(notice_report(shop, tag))}
    return known["Upper guide"], next(name for part, name in known.items() if part != "Upper guide")


def _rows(report: Report) -> tuple[tuple, ...]:
    return next(block for block in section(report, "The defects").blocks if isinstance(block, Table)).rows


def test_nobody_told_is_marked_and_listed_on_report_and_notice(tmp_path: Path) -> None:
    shop, tag = two_defects(tmp_path)
    guide, latch = ids(shop, tag)
    at_once = (f"{VISIT_DAY.isoformat()}: {CRACKED.told}", False)
    for report, title in (
        (inspection_report(shop, tag), "Defects"),
        (notice_report(shop, tag), "The defects"),
    ):
        assert told(report, title) == {guide: at_once, latch: ("not recorded", True)}
        assert untold(report) == [f"defect {latch}"]


def test_a_notice_given_later_stands_beside_what_was_said_at_once(tmp_path: Path) -> None:
    shop, tag = two_defects(tmp_path)
    guide, latch = ids(shop, tag)
    tell(shop, tag)
    for report, title in (
        (inspection_report(shop, tag), "Defects"),
        (notice_report(shop, tag), "The defects"),
    ):
        seen = told(report, title)
        assert seen[guide] == (f"{VISIT_DAY.isoformat()}: {CRACKED.told}\n{LETTER}", False)
        assert seen[latch] == (LETTER, False)
        assert untold(report) == []
    last = shop.logbooks.read(tag).entries[-1]
    seal = facts_of(section(inspection_report(shop, tag), "Signatures and seal"))
    assert seal["Logbook read to"].startswith(f"line {last.number}, head {last.line[:10]}")


def test_a_notice_tells_of_the_defects_that_it_names_alone(tmp_path: Path) -> None:
    shop, tag = two_defects(tmp_path)
    guide, latch = ids(shop, tag)
    tell(shop, tag, defects=guide, remark="he will close the bay")
    seen = told(inspection_report(shop, tag), "Defects")
    assert seen[guide][0].endswith(f"{LETTER} (he will close the bay)")
    assert seen[latch] == ("not recorded", True)


def test_a_notice_that_was_struck_out_tells_nobody(tmp_path: Path) -> None:
    shop, tag = two_defects(tmp_path)
    _, latch = ids(shop, tag)
    line = tell(shop, tag)
    strike_out(shop, tag, line, "never posted", by=ADA, now=at(LATER, 15), today=LATER)
    report = inspection_report(shop, tag)
    assert told(report, "Defects")[latch] == ("not recorded", True)
    assert untold(report) == [f"defect {latch}"]


def test_it_is_marked_also_where_the_rulebook_does_not_ask_for_it(tmp_path: Path) -> None:
    shop, tag = two_defects(tmp_path, "uk")
    _, latch = ids(shop, tag)
    report = inspection_report(shop, tag)
    assert told(report, "Defects")[latch] == ("not recorded", True)
    assert untold(report) == []


def test_the_logbook_says_it_with_each_defect(tmp_path: Path) -> None:
    shop, tag = two_defects(tmp_path)
    guide, latch = ids(shop, tag)
    facts = {
        fact.label: (fact.words.text, fact.words.missing)
        for part in logbook_report(shop, tag).sections
        for block in part.blocks
        if isinstance(block, Facts)
        for fact in block.rows
    }
    assert facts[f"{guide} told"] == (f"{VISIT_DAY.isoformat()}: {CRACKED.told}", False)
    assert facts[f"{latch} told"] == ("not recorded", True)
    tell(shop, tag)
    book = logbook_report(shop, tag)
    line = next(part for part in book.sections if part.title.startswith("Line 3"))
    assert facts_of(line)[f"{latch} told"] == LETTER
    assert facts_of(book.sections[-1])["Told"] == "Mor Quill, works manager, by letter"
