"""Proves that every particular that a rulebook asks for has its place in the report, and that what the
records lack is listed once and marked there, never made up."""

from pathlib import Path

import pytest
from msgspec.structs import replace

from fieldlog.domain.criteria import Certainty, Source
from fieldlog.domain.paper_rules import Occasion, Particular
from fieldlog.domain.records import InspectionKind, Person
from fieldlog.operations.reporting import inspection_report
from fieldlog.operations.reporting_particulars import PLACES, asked, lacking, lacks_of
from fieldlog.operations.reporting_visit import read_visit
from fieldlog.operations.setting_up import add_person, set_person_particulars
from fieldlog.operations.shop import Shop, people
from fieldlog.rulebook.loader import load_all
from tests.operations.builder import ADA, BEN, NOW, at, inspect, ready_shop, register
from tests.operations.report_samples import (
    FIRST_DAY,
    QUALIFIED,
    VISIT_DAY,
    facts_of,
    found_cracked,
    left_open,
    marked,
    mended_and_tested,
    section,
    shop_of,
    words_of,
)

REGIMES = tuple(load_all())
SIGN = "signature: the record is sealed, but not signed with a key."


def problems(shop: Shop, tag: str) -> list[str]:
    return [f"{problem.place}: {problem.wrong}" for problem in inspection_report(shop, tag).missing]


@pytest.mark.parametrize("name", REGIMES)
def test_every_particular_of_every_rulebook_has_its_place(name: str) -> None:
    unknown = {held.field for held in load_all()[name].particulars} - set(PLACES)
    assert not unknown


@pytest.mark.parametrize("name", REGIMES)
def test_every_place_is_a_section_of_the_report(tmp_path: Path, name: str) -> None:
    shop, tag = shop_of(tmp_path, name)
    titles = {part.title for part in inspection_report(shop, tag).sections}
    assert {place.section for place in PLACES.values()} <= titles


@pytest.mark.parametrize("name", REGIMES)
def test_with_everything_recorded_only_signature_and_life_are_left(tmp_path: Path, name: str) -> None:
    """No running hours are logged in the sample, so the used share of the life is not known."""
    shop, tag = shop_of(tmp_path, name)
    found_cracked(shop, tag)
    mended_and_tested(shop, tag)
    left = [text for text in problems(shop, tag) if not text.startswith("life: ")]
    assert left == [SIGN]


MISSING = {
    "general": [
        "owner: the name of owner or employer is not recorded.",
        "owner: the owner's address is not recorded.",
        "premises: the address of the premises is not recorded.",
        "hoist: the year of manufacture is not recorded.",
        "hoist: the grade of the chain is not recorded.",
        "life: the used share of the design life is not recorded.",
        "examiner: the examiner's address is not recorded.",
        "examiner: the qualification is not recorded.",
        "examiner: the examiner's employer is not recorded.",
        SIGN,
    ],
    "uk": [
        "owner: the name of owner or employer is not recorded.",
        "owner: the owner's address is not recorded.",
        "premises: the address of the premises is not recorded.",
        "examiner: the examiner's address is not recorded.",
        "examiner: the qualification is not recorded.",
        "examiner: the examiner's employer is not recorded.",
        SIGN,
    ],
    "de": [
        "hoist: the year of manufacture is not recorded.",
        "hoist: the group of mechanism is not recorded.",
        "life: the used share of the design life is not recorded.",
        "examiner: the examiner's address is not recorded.",
        SIGN,
    ],
    "us": [SIGN],
}
"""What each regime misses where nothing but the least was typed. LOLER asks for the date of manufacture
'where known' (Schedule 1, 3); the German finding for name and address (DGUV Regel 100-500, 2.9.4.3); the
American certification record for date, signature and identifier (29 CFR 1910.179(j)(2)(iii)); all
as published."""


@pytest.mark.parametrize("name", REGIMES)
def test_what_is_missing_is_listed_and_marked(tmp_path: Path, name: str) -> None:
    shop, tag = shop_of(tmp_path, name, complete=False, year="", grade="", group="")
    assert sorted(problems(shop, tag)) == sorted(MISSING[name])
    report = inspection_report(shop, tag)
    texts = "\n".join(words_of(part) for part in report.sections)
    # The signature's mark is the line to sign on; every other one is marked where it belongs, and again in
    # the table of what is asked for, once for each particular that lacks something.
    asks = sum(bool(lacks_of(held, read_visit(shop, tag))) for held in asked(read_visit(shop, tag)))
    assert marked(report) == len(MISSING[name]) - 1 + asks
    assert texts.count("not recorded") >= len(MISSING[name]) - 1
    assert "Signature: unsigned" in texts


def test_a_year_that_is_not_known_is_no_fault_under_loler(tmp_path: Path) -> None:
    shop, tag = shop_of(tmp_path, "uk", year="")
    assert facts_of(section(inspection_report(shop, tag), "The hoist"))["Year made"] == "not known"
    assert problems(shop, tag) == [SIGN]


def test_where_nobody_asks_nothing_is_marked(tmp_path: Path) -> None:
    """The American record asks for no owner: it is left out and not called missing."""
    shop, tag = shop_of(tmp_path, "us", complete=False)
    assert list(facts_of(section(inspection_report(shop, tag), "For whom and where"))) == ["Place"]


class TestDefects:
    def test_remedy_date_and_telling_are_asked_for_each_defect(self, tmp_path: Path) -> None:
        shop, tag = shop_of(tmp_path, "general", lift="6", group="")
        left_open(shop, tag)
        wanted = [text for text in problems(shop, tag) if text.startswith("defect")]
        assert wanted == [
            "defect D1: no remedy is recorded.",
            "defect D1: it is to be watched, and no date is recorded by which it could become a danger.",
            "defect D1: who was told of it, when and how, is not recorded.",
        ]
        row = next(
            line
            for line in words_of(section(inspection_report(shop, tag), "Defects")).splitlines()
            if line.startswith("D1")
        )
        assert row.count("not recorded") == 3

    def test_the_work_that_mended_it_is_its_remedy(self, tmp_path: Path) -> None:
        shop, tag = shop_of(tmp_path, "uk")
        found_cracked(shop, tag)
        mended_and_tested(shop, tag)
        assert not [text for text in problems(shop, tag) if text.startswith("defect")]


class TestPeople:
    def test_an_address_recorded_later_completes_the_report(self, tmp_path: Path) -> None:
        shop, tag = shop_of(tmp_path, "uk", complete=False)
        set_person_particulars(
            shop, ADA, qualification=QUALIFIED, address="3 Eel Yard", self_employed=True, by=ADA, now=NOW
        )
        assert not [text for text in problems(shop, tag) if text.startswith("examiner")]
        told = facts_of(section(inspection_report(shop, tag), "Signatures and seal"))
        assert told["Employer"] == "self-employed"
        assert "Employer's address" not in told

    def test_another_employer_needs_an_address_of_its_own(self, tmp_path: Path) -> None:
        shop, tag = shop_of(tmp_path, "uk")
        add_person(shop, replace(people(shop)[ADA], employer="Fenland Lifting"), by=ADA, now=NOW)
        assert "examiner: the employer's address is not recorded." in problems(shop, tag)

    def test_somebody_who_is_no_longer_known_keeps_their_name(self, tmp_path: Path) -> None:
        shop = ready_shop(tmp_path)
        add_person(shop, Person(name=BEN), by=ADA, now=at(FIRST_DAY))
        hoist = register(shop, day=FIRST_DAY, rulebook="uk")
        inspect(shop, hoist.id, day=FIRST_DAY, by=BEN)
        told = facts_of(section(inspection_report(shop, hoist.id), "Signatures and seal"))
        assert told["Examined and reported by"] == BEN
        assert told["Qualification"] == "not recorded"


class TestLast:
    def test_without_an_inspection_before_it_the_date_is_missing(self, tmp_path: Path) -> None:
        shop = ready_shop(tmp_path)
        hoist = register(shop, day=FIRST_DAY, rulebook="uk")
        inspect(shop, hoist.id, InspectionKind.PERIODIC, day=FIRST_DAY)
        wrong = "last inspection: the date of the inspection before this one is not in the logbook."
        assert wrong in problems(shop, hoist.id)

    def test_before_first_use_there_is_none_to_name(self, tmp_path: Path) -> None:
        shop, tag = shop_of(tmp_path, "uk")
        told = facts_of(section(inspection_report(shop, tag), "This inspection"))
        assert told["Last thorough inspection"] == "none: this is the first"


@pytest.mark.parametrize(
    ("occasion", "says"),
    [
        (InspectionKind.PERIODIC, "within an interval of 12 months"),
        (InspectionKind.AFTER_EVENT, "after exceptional circumstances"),
        (InspectionKind.AFTER_REPAIR, "not recorded"),
        (InspectionKind.FREQUENT, "an inspection between thorough examinations; none of their four cases"),
    ],
)
def test_the_basis_under_loler(tmp_path: Path, occasion: InspectionKind, says: str) -> None:
    """Source: SI 1998/2307, Schedule 1, 7(a) with reg. 9(3)(a). A repair is none of the four by itself."""
    shop, tag = shop_of(tmp_path, "uk")
    inspect(shop, tag, occasion, day=VISIT_DAY)
    assert facts_of(section(inspection_report(shop, tag), "This inspection"))["Basis"] == says


def test_a_hoist_that_lifts_persons_is_examined_every_6_months(tmp_path: Path) -> None:
    """Source: SI 1998/2307, reg. 9(3)(a)(i)."""
    shop, tag = shop_of(tmp_path, "uk", lifts_persons="yes")
    inspect(shop, tag, InspectionKind.PERIODIC, day=VISIT_DAY)
    told = facts_of(section(inspection_report(shop, tag), "This inspection"))
    assert told["Basis"] == "within an interval of 6 months"


def test_a_particular_that_this_fieldlog_does_not_know_is_missing_and_told(tmp_path: Path) -> None:
    shop, tag = shop_of(tmp_path, "uk")
    visit = read_visit(shop, tag)
    source = Source(id="s", title="a later rule", certainty=Certainty.PUBLISHED)
    later = Particular(id="x", field="noise", says="Noise at the ear.", when=Occasion.ALWAYS, source=source)
    rulebook = replace(visit.opened.rulebook, particulars=(*visit.opened.rulebook.particulars, later))
    changed = replace(visit, opened=replace(visit.opened, rulebook=rulebook))
    assert "Noise at the ear." in lacking(changed)["noise"].wrong
