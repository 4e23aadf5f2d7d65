"""The checklist: its form, its faults, and that it names all that the trade looks at."""

from collections import Counter
from collections.abc import Callable

import pytest

from fieldlog.domain.records import Drive, InspectionKind
from fieldlog.domain.rules import ChecklistItem
from fieldlog.errors import Problem
from fieldlog.rulebook.checklist import CAUTION_MOST, DEFECT_MOST, LOOK_AT_MOST, TITLE_MOST
from fieldlog.rulebook.loader import load_all, load_rulebook

Faults = Callable[[], tuple[Problem, ...]]
Spoil = Callable[[str, str, str], None]

ITEMS = load_rulebook("general").items
BY_ID = {item.id: item for item in ITEMS}
THOROUGH = set(InspectionKind) - {InspectionKind.PRE_USE, InspectionKind.FREQUENT}
GUIDE, CHAIN = "checklist/guides.toml", "checklist/chain.toml"

# What a hoist technician must look at, with a word that the item's text must hold. Common practice of the
# trade; the list itself has no published source, its items name theirs.
SUBJECTS = [
    ("nameplate", "grade", "identity and nameplate"),
    ("rated-capacity", "capacity", "rated capacity"),
    ("chain-as-on-plate", "pitch", "chain dn x pn and grade"),
    ("use-and-group", "group", "group of mechanism"),
    ("upper-hook", "latch", "suspension and upper hook"),
    ("lower-hook", "crack", "lower hook"),
    ("hook-latch", "spring", "latch"),
    ("hook-nut", "nut", "hook nut"),
    ("hook-bearing", "bearing", "hook bearing"),
    ("hook-throat", "throat", "throat opening"),
    ("chain-damage", "whole chain", "load chain over its whole length"),
    ("chain-clean", "not only on the outside", "lubricated between the links"),
    ("chain-corrosion", "pits", "corrosion"),
    ("chain-twist", "plane", "twist"),
    ("capsized-block", "falls", "capsized block on more falls"),
    ("chain-end-anchor", "both ends", "end anchorage"),
    ("chain-elongation", "three places", "elongation"),
    ("chain-diameter", "right angles", "diameter"),
    ("pocket-wheel", "pockets", "pocket wear"),
    ("pocket-wheel-relief", "weld", "weld relief"),
    ("pocket-wheel-ring", "ring", "retaining ring"),
    ("upper-guide", "load drops", "upper guide: chain jumps pockets and the load drops"),
    ("lower-guide", "opening", "lower guide: worn openings and edges"),
    ("guide-gap", "gap", "gap to the upper guide"),
    ("guide-screws", "screw", "guide screws"),
    ("chain-stop", "stop", "chain stop"),
    ("chain-stop-place", "before the last link", "its place before the end"),
    ("buffers", "right end up", "buffers: all parts, right way round"),
    ("buffers-worn", "crushed", "buffers crushed or perished"),
    ("buffers-dent", "dent", "dent where they press the switch"),
    ("limit-up", "upper limit", "limit switch up"),
    ("limit-down", "lower limit", "limit switch down"),
    ("container-fixed", "screws", "container fastened"),
    ("container-opening", "breaks the guide", "opening clear so that the chain can run in"),
    ("container-full", "rim", "not over-full"),
    ("container-pile", "cone", "chain can not pile up"),
    ("brake", "mark", "brake"),
    ("overload-device", "rated load", "overload device"),
    ("pendant", "buttons", "pendant"),
    ("pendant-cable", "relief", "cable and strain relief"),
    ("emergency-stop", "stop", "emergency stop"),
    ("earth", "earth", "earth"),
    ("gearbox", "oil", "gearbox noise and leaks"),
    ("fasteners", "sheared", "fasteners"),
    ("trolley-wheels", "flange", "trolley"),
    ("trolley-stops", "both ends", "end stops"),
    ("beam", "flange", "beam"),
    ("hand-chain", "links", "hand chain"),
    ("pawl-ratchet", "pawl", "pawl and ratchet"),
    ("air-lines", "leak", "air lines"),
    ("air-supply", "filter", "air filter"),
    ("air-motor", "vanes", "vanes"),
    ("labels", "legible", "labels and warnings legible"),
    ("oil", "level", "oil"),
]
NOT_SAFETY = {"nameplate", "use-and-group", "chain-clean", "air-supply", "air-motor", "oil"}


@pytest.mark.parametrize(("item", "word", "subject"), SUBJECTS)
def test_every_subject_of_the_trade_has_its_item(item: str, word: str, subject: str) -> None:
    found = BY_ID[item]
    said = f"{found.title} {found.look_at} {found.defect_when}".lower()
    assert word in said, subject
    assert found.safety is (item not in NOT_SAFETY)


def test_the_list_is_full_and_its_ids_are_unique() -> None:
    assert len(ITEMS) >= 40
    assert len(BY_ID) == len(ITEMS)


@pytest.mark.parametrize("item", ITEMS, ids=lambda item: item.id)
def test_an_item_fits_its_screen_and_applies_somewhere(item: ChecklistItem) -> None:
    assert len(item.title) <= TITLE_MOST == 34
    assert len(item.look_at) <= LOOK_AT_MOST == 220
    assert len(item.defect_when) <= DEFECT_MOST == 200
    assert len(item.caution) <= CAUTION_MOST
    assert item.drives
    assert item.kinds
    assert len(set(item.kinds)) == len(item.kinds)
    assert item.source.title


def test_sections_are_walked_in_the_order_of_the_trade() -> None:
    order = [
        "identity",
        "suspension",
        "chain",
        "guides",
        "stops",
        "limits",
        "container",
        "power",
        "trolley",
        "tests",
    ]
    for rulebook in load_all().values():
        assert list(rulebook.sections) == order
        positions = [order.index(item.section) for item in rulebook.items]
        assert positions == sorted(positions)
        assert set(positions) == set(range(len(order)))


@pytest.mark.parametrize("drive", list(Drive))
def test_pre_use_is_short_frequent_longer_and_the_rest_thorough(drive: Drive) -> None:
    count = Counter(kind for item in ITEMS if drive in item.drives for kind in item.kinds)
    assert 6 <= count[InspectionKind.PRE_USE] <= 10
    assert 20 <= count[InspectionKind.FREQUENT] <= 25
    assert all(count[kind] > 40 for kind in THOROUGH)


def test_what_is_seen_often_is_seen_in_a_thorough_inspection_too() -> None:
    for item in ITEMS:
        if InspectionKind.PRE_USE in item.kinds:
            assert InspectionKind.FREQUENT in item.kinds, item.id
        if InspectionKind.FREQUENT in item.kinds:
            assert set(item.kinds) >= THOROUGH, item.id


def test_measured_items_are_those_that_ask_for_figures() -> None:
    assert {item.id: item.measure for item in ITEMS if item.measure} == {
        "hook-throat": "hook",
        "chain-elongation": "elongation",
        "chain-diameter": "diameter",
    }


def test_cautions_stand_where_the_danger_is() -> None:
    """Isolate before opening, never measure under load, fingers out, limits and brake without load first."""
    for item in ("pocket-wheel", "upper-guide", "contactors", "gears-shafts"):
        assert "Isolate, lock and tag" in BY_ID[item].caution
    for item in ("hook-throat", "chain-elongation", "chain-diameter"):
        assert "load off" in BY_ID[item].caution
    for item in ("chain-damage", "chain-run", "container-opening"):
        assert "fingers out" in BY_ID[item].caution
    for item in ("limit-up", "limit-down", "brake"):
        assert "without load" in BY_ID[item].caution


def test_items_need_what_they_look_at() -> None:
    needs = {item.id: item.needs for item in ITEMS}
    assert needs["limit-up"] == needs["limit-down"] == needs["buffers-dent"] == ("limit_switches",)
    assert needs["overload-device"] == ("overload_device",)
    assert needs["capsized-block"] == needs["return-wheel"] == ("more_falls",)
    for item in ITEMS:
        if item.section in ("container", "trolley"):
            assert item.needs == (item.section,)


@pytest.mark.parametrize(
    "fault",
    [
        (GUIDE, "section = 'guides'", "section = 'guide'", f"{GUIDE}: section", "unknown section 'guide'"),
        (GUIDE, "section = 'guides'\n", "", f"{GUIDE}: section", "is missing"),
        (
            CHAIN,
            "drives = ['electric'",
            "drives = ['steam'",
            f"{CHAIN}: chain-damage.drives[1]",
            "drive 'steam'",
        ),
        (
            CHAIN,
            "'thorough'",
            "'throrough'",
            f"{CHAIN}: chain-damage.kinds[3]",
            "kind of inspection 'throrough'",
        ),
        (CHAIN, "'pre-use'", "'periodic'", f"{CHAIN}: chain-damage.kinds", "names 'periodic' twice"),
        (CHAIN, "['more_falls']", "['falls']", f"{CHAIN}: capsized-block.needs[1]", "unknown need 'falls'"),
        (CHAIN, "'elongation'", "'length'", f"{CHAIN}: chain-elongation.measure", "unknown measure 'length'"),
        (CHAIN, "id = 'chain-hinge'", "id = 'Hinge_1'", f"{CHAIN}: Hinge_1.id", "is no id"),
        (CHAIN, "id = 'chain-hinge'", "id = 'brake'", "checklist/limits.toml: brake", "stands twice"),
        (CHAIN, "id = 'chain-hinge'\n", "", f"{CHAIN}: entry 5.id", "is missing"),
        (CHAIN, "Rust and pits", "x" * 35, f"{CHAIN}: chain-corrosion.title", "is 35 characters long"),
        (CHAIN, "Rust and pits", " ", f"{CHAIN}: chain-corrosion.title", "is empty"),
        (
            CHAIN,
            "'Rust and pits'",
            '"Rust\\tand pits"',
            f"{CHAIN}: chain-corrosion.title",
            "control character",
        ),
        (CHAIN, "section = 'chain'", "section = 'chain'\nextra = 1", f"{CHAIN}: extra", "no such key"),
        (
            "sections.toml",
            "'after a move'",
            "'after lunch'",
            "sections.toml: thorough.kinds[5]",
            "after lunch",
        ),
        ("sections.toml", "title = 'Load chain'", "titel = 'x'", "sections.toml: chain.title", "is missing"),
        ("sections.toml", "id = 'chain'", "id = 'identity'", "sections.toml: identity", "stands twice"),
    ],
    ids=lambda fault: fault[3],
)
def test_a_planted_fault_is_told(spoil: Spoil, faults: Faults, fault: tuple[str, ...]) -> None:
    file, old, new, place, words = fault
    spoil(file, old, new)
    told = {problem.place: problem.wrong for problem in faults()}
    assert place in told, told
    assert words in told[place]


def test_a_title_of_34_characters_still_fits(spoil: Spoil, folder: object, faults: Faults) -> None:
    spoil(CHAIN, "Rust and pits", "x" * 34)
    spoil(CHAIN, "safety = true", "safety = 'no'")
    assert [problem.place for problem in faults()] == [f"{CHAIN}: chain-damage.safety"]


def test_a_wrong_section_is_told_once_for_all_items_of_its_file(spoil: Spoil, faults: Faults) -> None:
    spoil(GUIDE, "section = 'guides'", "section = 'guide'")
    assert [problem.place for problem in faults()] == [f"{GUIDE}: section"]
