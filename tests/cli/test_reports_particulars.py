"""Proves that the printed report of an inspection holds what each regime asks for, LOLER item by item: read
from the PDF by a reader that fieldlog does not use."""

from pathlib import Path

import pytest

from fieldlog.domain.records import InspectionKind
from fieldlog.operations.setting_up import set_person_particulars
from fieldlog.operations.shop import Shop
from tests.cli.reported import Report, printed, reporting
from tests.operations.builder import ADA, BEN, NOW, inspect, register, with_ben
from tests.operations.report_samples import (
    ADDRESSES,
    NEXT_DAY,
    QUALIFIED,
    VISIT_DAY,
    found_cracked,
    mended_and_tested,
    shop_of,
    story,
    with_particulars,
)


@pytest.fixture(scope="module")
def told(tmp_path_factory: pytest.TempPathFactory) -> tuple[Shop, str]:
    return story(tmp_path_factory.mktemp("story"))


@pytest.fixture
def report(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> Report:
    return reporting(capsys, monkeypatch, tmp_path)


# What Schedule 1 of LOLER asks for, and what of it must stand in the report of the sample.
# Source: SI 1998/2307, Schedule 1, paragraphs 1 to 8(d) (published, legislation.gov.uk); 8(e), 9 and 10 from
# an adapted copy (published); 8(f) and 11 from memory.
LOLER = {
    "1 employer's name and address": (ADDRESSES["owner"], ADDRESSES["owner_address"]),
    "2 address of the premises": (ADDRESSES["premises"],),
    "3 identity, date of manufacture where known": ("SW-0001-0", "Fenwright", "LC 500", "4711", "2019"),
    "4 date of the last thorough examination": ("Last thorough inspection 2025-03-03",),
    "5 safe working load, configuration": ("500 kg with 1 fall of chain",),
    "7(a) which of the four cases": ("within an interval of 12 months",),
    "8(a) part with a defect, description": (
        "Upper guide: cracks at the top",
        "upper guide cracked at the top",
    ),
    "8(b) repair, renewal or alteration": (
        "new pocket wheel and both guides",
        "new pocket wheel, upper and lower guide",
    ),
    "8(d) latest date of the next one": ("periodic 2027-02-27",),
    "8(e) particulars of any test": ("625 kg 620 kg passed", "held ten minutes, no drift"),
    "8(f) date of the examination": ("Date of the inspection 2026-02-27",),
    "9 name, address, qualifications": (ADA, ADDRESSES["examiner"], QUALIFIED),
    "9 employer's name and address": ("Employer Saltmarsh Hoist Service", f"address {ADDRESSES['shop']}"),
    "10 who signs or authenticates": (f"Sealed 2026-02-27 12:00+00:00 by {ADA}", "Signed by the examiner"),
    "11 date of the report": ("Date of this report 2026-02-27",),
}
LOLER_FIRST = {
    "6(a) that it is the first after installation": ("the first examination after installation",),
    "6(b) installed correctly and safe": ("It has been installed correctly and would be safe to operate.",),
}
LOLER_LATER = {
    "8(c)(i) time by which it could become a danger": ("could become a danger: stops use from 2026-04-20",),
    "8(c)(ii) its remedy": ("new relief rope and clamp",),
}


def lacking(text: str, asked: dict[str, tuple[str, ...]]) -> list[str]:
    """The items of which a text is not in the report."""
    return [item for item, texts in asked.items() if not all(wanted in text for wanted in texts)]


class TestLoler:
    def test_a_report_with_a_defect_and_a_test_holds_every_item(self, report: Report, tmp_path: Path) -> None:
        shop, tag = shop_of(tmp_path / "uk", "uk")
        found_cracked(shop, tag)
        mended_and_tested(shop, tag)
        text = printed(report, shop, "inspection", tag)
        assert lacking(text, LOLER) == []
        assert "Report of thorough examination" in text

    def test_7b_is_said_only_when_it_is_so(
        self, report: Report, told: tuple[Shop, str], tmp_path: Path
    ) -> None:
        assert "would be safe to operate." in printed(report, told[0], "inspection", told[1], "--line", "3")
        shop, tag = shop_of(tmp_path / "uk", "uk")
        found_cracked(shop, tag)
        text = printed(report, shop, "inspection", tag)
        assert "The hoist would be safe" not in text
        assert "left out: not so" in text

    def test_the_first_examination_at_a_place(self, report: Report, told: tuple[Shop, str]) -> None:
        text = printed(report, told[0], "inspection", told[1], "--line", "2")
        assert lacking(text, LOLER_FIRST) == []

    def test_a_defect_that_could_become_a_danger(self, report: Report, told: tuple[Shop, str]) -> None:
        assert lacking(printed(report, told[0], "inspection", told[1]), LOLER_LATER) == []

    def test_self_employed(self, report: Report, tmp_path: Path) -> None:
        shop, tag = shop_of(tmp_path / "uk", "uk")
        set_person_particulars(
            shop, ADA, qualification=QUALIFIED, address="3 Eel Yard", self_employed=True, by=ADA, now=NOW
        )
        assert "Employer self-employed" in printed(report, shop, "inspection", tag)

    def test_nothing_is_made_up_where_nothing_is_recorded(self, report: Report, tmp_path: Path) -> None:
        shop, tag = shop_of(tmp_path / "uk", "uk", complete=False)
        text = printed(report, shop, "inspection", tag)
        assert text.count("not recorded") >= 6
        for address in ADDRESSES.values():
            assert address not in text


@pytest.mark.parametrize(
    ("regime", "wanted"),
    [
        # DGUV Grundsatz 309-007, TRBS 1201 8.3.1, DGUV Regel 100-500 2.9.4.3, DGUV Vorschrift 54, 23(4)
        # (published)
        (
            "de",
            (
                "Group of mechanism M4",
                "Kind and occasion periodic",
                "Date of the inspection 2026-02-27",
                "What was looked at",
                "objections to further use",
                "Used design life not recorded",
                ADDRESSES["examiner"],
                "Signed by the examiner",
                "For the owner",
                "2027-02-28",
            ),
        ),
        # 29 CFR 1910.179(j)(2)(iii) and (iv), DOE-STD-1090-96 ch. 8 (published)
        ("us", ("Date of the inspection 2026-02-27", "Signed by the examiner", "4711", "620 kg", "Findings")),
        ("general", (ADDRESSES["owner"], "Used design life not recorded", "told", "2027-02-27")),
    ],
)
def test_each_regime_finds_what_it_asks_for(
    report: Report, tmp_path: Path, regime: str, wanted: tuple[str, ...]
) -> None:
    shop, tag = shop_of(tmp_path / regime, regime)
    found_cracked(shop, tag)
    mended_and_tested(shop, tag)
    text = printed(report, shop, "inspection", tag)
    assert [words for words in wanted if words not in text] == []


def test_names_of_every_european_alphabet(report: Report, tmp_path: Path) -> None:
    greek, polish = "Υδραυλικά Έργα Θεσσαλονίκης", "Przepompownia Ścieków Łódź-Północ"
    shop, _ = shop_of(tmp_path / "names", "uk")
    with_ben(shop, qualification="Ελεγκτής ανυψωτικών", address="Οδός Αλυσίδων 7", self_employed=True)
    hoist = register(
        shop, day=VISIT_DAY, maker="Müllerström & Çelik", site=polish, place=greek, rulebook="uk"
    )
    with_particulars(shop, site=polish)
    inspect(shop, hoist.id, InspectionKind.FIRST_USE, day=NEXT_DAY, by=BEN)
    text = printed(report, shop, "inspection", hoist.id)
    for name in (greek, polish, "Müllerström & Çelik", "Ελεγκτής ανυψωτικών", "Οδός Αλυσίδων 7"):
        assert name in text
