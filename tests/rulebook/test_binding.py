"""A rulebook file names entries that exist and that together make a whole."""

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from fieldlog.domain.records import Drive
from fieldlog.errors import Problem
from fieldlog.rulebook.loader import load_all, load_from, load_rulebook

Faults = Callable[[], tuple[Problem, ...]]
Spoil = Callable[[str, str, str], None]
FILE = "rulebooks/general.toml"


@pytest.mark.parametrize(
    "fault",
    [
        ("name = 'general'", "name = 'house'", "name", "is 'house', unlike the file's name"),
        ("edition = '2026-1'\n", "", "edition", "is missing"),
        ("issued_on = 2026-11-25", "issued_on = '2026-11-25'", "issued_on", "where a date"),
        ("issued_on = 2026-11-25", "issued_on = 2026-11-25T10:00:00", "issued_on", "where a date"),
        ("hook = 'general'", "hook = 'generous'", "hook", "unknown hook 'generous'"),
        ("hook = 'general'", "hook = 'general'\ncolour = 'red'", "colour", "no such key"),
        ("['powered', 'hand']", "['powered']", "elongation", "no entry for drive 'hand'"),
        ("['eu-powered', 'eu-hand']", "['eu-powered', 'eu-hand', 'us']", "load_tests", "2 entries for drive"),
        ("    'frequent-strict-heavy',\n", "", "intervals", "no interval for 'frequent' in heavy service"),
        ("'frequent-strict-heavy'", "'frequent-strict-hefty'", "intervals[5]", "unknown interval"),
        (
            "    'periodic-heavy',\n",
            "    'periodic-heavy',\n    'periodic-de-heavy',\n",
            "intervals",
            "2 intervals for 'periodic' in heavy",
        ),
        ("    'guides',\n", "    'guiders',\n", "sections[4]", "unknown section 'guiders'"),
    ],
    ids=lambda fault: fault[2],
)
def test_a_planted_fault_is_told(spoil: Spoil, faults: Faults, fault: tuple[str, ...]) -> None:
    old, new, place, words = fault
    spoil(FILE, old, new)
    told = {problem.place: problem.wrong for problem in faults()}
    assert f"{FILE}: {place}" in told, told
    assert words in told[f"{FILE}: {place}"]


def test_a_faulty_entry_is_not_told_again_where_it_is_named(spoil: Spoil, faults: Faults) -> None:
    spoil("elongation.toml", "percent = 1.5", "percent = 'much'")
    assert [problem.place for problem in faults()] == ["elongation.toml: powered.percent"]


def test_a_section_left_out_takes_its_items_along(spoil: Spoil, folder: Path) -> None:
    spoil(FILE, "    'trolley',\n", "")
    rulebook = load_from(folder, "general")
    assert "trolley" not in rulebook.sections
    assert not [item for item in rulebook.items if item.section == "trolley"]


def test_a_shop_may_put_its_own_rulebook_beside_the_shipped_ones(folder: Path) -> None:
    text = (folder / FILE).read_text("utf-8")
    own = text.replace("name = 'general'", "name = 'saltmarsh'").replace(
        "hook = 'general'", "hook = 'us-b30'"
    )
    (folder / "rulebooks" / "saltmarsh.toml").write_text(own, "utf-8")
    assert load_from(folder, "saltmarsh").hook.percent == 5
    assert load_from(folder, "general").hook.percent == 10


@pytest.mark.parametrize("name", ["us", "de", "uk"])
def test_general_is_never_milder_in_elongation_hooks_and_load_tests(name: str) -> None:
    general, other = load_rulebook("general"), load_rulebook(name)
    for drive in Drive:
        allowed = [
            next(rule.percent for rule in book.elongation if drive in rule.drives)
            for book in (general, other)
        ]
        tested = [
            next(rule.static_factor for rule in book.load_tests if drive in rule.drives)
            for book in (general, other)
        ]
        assert allowed[0] <= allowed[1]
        assert tested[0] >= tested[1]
    assert general.hook.percent <= other.hook.percent
    assert general.diameter.share >= other.diameter.share
    assert general.watch_share <= other.watch_share


def test_every_figure_can_be_cited() -> None:
    for rulebook in load_all().values():
        rules: list[Any] = [
            *rulebook.elongation,
            rulebook.diameter,
            *rulebook.hook_rules,
            *rulebook.load_tests,
            *rulebook.intervals,
            *rulebook.hours,
            *rulebook.idle,
            *rulebook.thresholds,
            *rulebook.items,
            *rulebook.instruments,
            *rulebook.groups,
            *rulebook.particulars,
            *rulebook.retention,
        ]
        assert all(rule.source.title and rule.source.certainty for rule in rules)
        assert rulebook.date_rule_source.title
