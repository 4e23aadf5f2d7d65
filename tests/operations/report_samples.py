"""Shops with a story to report: all particulars recorded or none, a defect mended on the visit, odd names."""

from datetime import date
from pathlib import Path

from msgspec.structs import replace

from fieldlog.domain.records import AnswerKind, DefectGrade, InspectionKind
from fieldlog.domain.report_content import (
    Bars,
    Facts,
    Report,
    Section,
    Signatures,
    Statement,
    Table,
    Text,
    WearPlot,
)
from fieldlog.operations.drafting import DefectDraft
from fieldlog.operations.servicing import fit_chain, mend, record_load_test, return_to_service
from fieldlog.operations.setting_up import (
    add_person,
    set_person_particulars,
    set_shop_address,
    set_site_particulars,
)
from fieldlog.operations.shop import Shop, people
from tests.operations.builder import ADA, at, inspect, ready_shop, register

FIRST_DAY = date(2025, 3, 3)
VISIT_DAY = date(2026, 2, 27)
NEXT_DAY = date(2026, 4, 1)
STOPS_ON = date(2026, 4, 20)

ADDRESSES = {
    "shop": "7 Sluice Lane, Saltmarsh",
    "owner": "Saltmarsh Water Works",
    "owner_address": "Pumping Station Road, Saltmarsh",
    "premises": "Intake Hall, Old Weir, Saltmarsh",
    "examiner": "3 Eel Yard, Saltmarsh",
}
QUALIFIED = "hoist inspector, works school of Saltmarsh"
CRACKED = DefectDraft(
    what="upper guide cracked at the top",
    where="where it presses the chain into the pockets",
    grade=DefectGrade.STOPS_NOW,
    remedy="new pocket wheel and both guides",
    serious=True,
    told="shift leader of the intake hall, by word at once and on paper",
)
SLIPPING = DefectDraft(
    what="strain relief slips, the cable begins to carry the pendant",
    grade=DefectGrade.STOPS_FROM,
    stops_on=STOPS_ON.isoformat(),
    remedy="new relief rope and clamp",
    told="shift leader, on paper",
)
WATCHED = DefectDraft(what="spring of the latch is weak", grade=DefectGrade.WATCH)


def with_particulars(shop: Shop, *, site: str = "intake hall", by: str = ADA) -> None:
    """Record every address, qualification and employer that a report may ask for."""
    now = at(FIRST_DAY, 6)
    set_shop_address(shop, ADDRESSES["shop"], by=by, now=now)
    set_site_particulars(
        shop,
        site,
        address=ADDRESSES["premises"],
        owner=ADDRESSES["owner"],
        owner_address=ADDRESSES["owner_address"],
        by=by,
        now=now,
    )
    set_person_particulars(
        shop,
        by,
        qualification=QUALIFIED,
        address=ADDRESSES["examiner"],
        employer="Saltmarsh Hoist Service",
        by=by,
        now=now,
    )


def shop_of(root: Path, rulebook: str, *, complete: bool = True, **plate: str) -> tuple[Shop, str]:
    """A shop with one hoist under a rulebook, examined before first use; its particulars recorded or not."""
    shop = ready_shop(root)
    if complete:
        with_particulars(shop)
    else:
        add_person(shop, replace(people(shop)[ADA], qualification=""), by=ADA, now=at(FIRST_DAY, 6))
    hoist = register(shop, day=FIRST_DAY, **({"rulebook": rulebook, "group": "M4"} | plate))
    inspect(shop, hoist.id, InspectionKind.FIRST_USE, day=FIRST_DAY)
    return shop, hoist.id


def found_cracked(shop: Shop, tag: str) -> None:
    """The yearly inspection finds a cracked guide."""
    inspect(shop, tag, InspectionKind.PERIODIC, day=VISIT_DAY, defects={"upper-guide": CRACKED})


def mended_and_tested(shop: Shop, tag: str, day: date = VISIT_DAY) -> None:
    """The guide is replaced and the hoist tested with a load, on the day of the visit or another one."""
    mending = {
        "done_on": day.isoformat(),
        "defects": "D1",
        "work": "new pocket wheel, upper and lower guide",
        "checked_by": ADA,
        "load_path": "yes",
    }
    mend(shop, tag, mending, by=ADA, now=at(day, 15), today=day)
    test = {
        "done_on": day.isoformat(),
        "required": "625 kg",
        "reached": "620 kg",
        "passed": "yes",
        "remark": "held ten minutes, no drift",
    }
    record_load_test(shop, tag, test, by=ADA, now=at(day, 16), today=day)


def released(shop: Shop, tag: str) -> None:
    """An inspection after the repair, and the return to service, on the day of the visit."""
    inspect(shop, tag, InspectionKind.AFTER_REPAIR, day=VISIT_DAY)
    back = {"done_on": VISIT_DAY.isoformat(), "guards": "yes", "locks": ADA, "remark": ""}
    return_to_service(shop, tag, back, by=ADA, now=at(VISIT_DAY, 17), today=VISIT_DAY)


def left_open(shop: Shop, tag: str) -> None:
    """A later inspection with a dated defect, one to be watched without a date, and an item not seen."""
    inspect(
        shop,
        tag,
        InspectionKind.PERIODIC,
        day=NEXT_DAY,
        defects={"pendant-cable": SLIPPING, "hook-latch": WATCHED},
        answers={"papers": AnswerKind.NOT_SEEN},
    )


def new_chain(shop: Shop, tag: str, day: date) -> None:
    """A new chain set of the plate's size."""
    fitted = {
        "done_on": day.isoformat(),
        "chain": "5x15",
        "grade": "T",
        "certificate": "K-5x15-0418",
        "length": "7 m",
        "set": "yes",
        "links": "11",
        "basis": "inside",
        "baseline": "165.2",
    }
    fit_chain(shop, tag, fitted, by=ADA, now=at(day), today=day)


def section(report: Report, title: str) -> Section:
    return next(held for held in report.sections if held.title == title)


def words_of(part: Section) -> str:
    """All that a section says, in its order, one text a line."""
    lines: list[str] = []
    for block in part.blocks:
        match block:
            case Facts():
                lines += [f"{fact.label}: {fact.words.text}" for fact in block.rows]
            case Table():
                lines += [" | ".join(words.text for words in row) for row in block.rows]
            case Text():
                lines.append(block.words.text)
            case Statement():
                lines += [block.headline, *block.lines]
            case WearPlot():
                lines.append(block.words)
            case Bars():
                rows = [(bar.label, *bar.beside) for bar in block.rows]
                lines += [" | ".join(words.text for words in row) for row in rows]
            case Signatures():
                lines += [f"{line.role}: {line.name}" for line in block.lines]
    return "\n".join(lines)


def facts_of(part: Section) -> dict[str, str]:
    """The particulars of a section by their labels."""
    blocks = [block for block in part.blocks if isinstance(block, Facts)]
    return {fact.label: fact.words.text for block in blocks for fact in block.rows}


def marked(report: Report) -> int:
    """How many words of a report are marked as standing for something that is not recorded."""
    count = 0
    for part in report.sections:
        for block in part.blocks:
            if isinstance(block, Facts):
                count += sum(fact.words.missing for fact in block.rows)
            if isinstance(block, Table):
                count += sum(words.missing for row in block.rows for words in row)
    return count


def story(root: Path) -> tuple[Shop, str]:
    """Found, mended, tested and released on one day (lines 3 to 7); then two more defects, on line 8."""
    shop, tag = shop_of(root, "uk")
    found_cracked(shop, tag)
    mended_and_tested(shop, tag)
    released(shop, tag)
    left_open(shop, tag)
    return shop, tag
