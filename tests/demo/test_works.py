"""Proves that the invented works is a whole: 24 hoists of mixed drives and sizes, facts that fit together."""

from collections import Counter
from decimal import Decimal

import pytest

from demo.history import TECHNICIAN, nameplate
from demo.stories import STORIES
from demo.works import Machine, read_works
from fieldlog.operations.entering import read_chain_size
from fieldlog.operations.registering import hoist_from
from fieldlog.printing.templates import template_names
from fieldlog.rulebook.loader import load_rulebook, rulebook_names
from tests.demo.written import DAY

WORKS = read_works()
TOLD_BY_DATA_ALONE = {"near-limit", "tool-lapsed", "undecided", "hook-opened", "overdue", "late-check"}

machine_by_machine = pytest.mark.parametrize("machine", WORKS.fleet, ids=lambda machine: machine.key)


def test_the_fleet_is_24_hoists_in_five_halls():
    assert len(WORKS.fleet) == 24
    halls = ["intake hall", "filter house", "sludge press", "chlorine store", "workshop"]
    assert list(WORKS.sites) == halls
    assert sorted({machine.site for machine in WORKS.fleet}) == sorted(halls)


def test_drives_sizes_and_rulebooks_are_mixed():
    drives = Counter(machine.drive for machine in WORKS.fleet)
    assert set(drives) == {"electric", "air", "hand"}
    assert min(drives.values()) >= 5
    sizes = {machine.chain for machine in WORKS.fleet}
    assert {"4x12", "11x33"} <= sizes
    assert len(sizes) >= 8
    books = Counter(machine.rulebook for machine in WORKS.fleet)
    assert set(books) == set(rulebook_names())
    assert books["general"] > len(WORKS.fleet) / 2


def test_keys_serials_and_places_are_never_given_twice():
    for fact in ("key", "serial", "place"):
        values = [getattr(machine, fact) for machine in WORKS.fleet]
        assert len(set(values)) == len(values), fact


def test_every_story_has_one_hoist_and_every_hoist_with_a_story_is_told():
    told = [machine.story for machine in WORKS.fleet if machine.story]
    assert len(set(told)) == len(told)
    assert set(told) == set(STORIES) | TOLD_BY_DATA_ALONE


@machine_by_machine
def test_the_visits_lie_in_the_history_and_the_tools_exist(machine: Machine):
    assert WORKS.first_day >= machine.taken >= machine.periodic >= machine.frequent >= 0
    assert machine.taken > machine.chain_changed
    assert {machine.tool, machine.last_tool} - {""} <= {tool.name for tool in WORKS.tools}


@machine_by_machine
def test_the_nameplate_is_taken_as_it_is_typed(machine: Machine):
    hoist = hoist_from(nameplate(machine, DAY), "SW-0001-0", rulebook=WORKS.rulebook, today=DAY)
    assert (hoist.site, hoist.place, hoist.drive.value) == (machine.site, machine.place, machine.drive)
    assert hoist.capacity_kg == machine.capacity_kg
    assert hoist.lift_mm == machine.lift_m * 1000
    assert f"{hoist.chain.dn_mm}x{hoist.chain.pn_mm}" == machine.chain
    assert hoist.year == DAY.year - machine.age
    assert bool(hoist.group) is (machine.drive != "hand")


@machine_by_machine
def test_the_book_allows_some_growth_over_the_eleven_links(machine: Machine):
    new = 11 * read_chain_size(machine.chain).pn_mm
    book = {name: Decimal(machine.book[name]) for name in machine.book if name != "book_document"}
    assert new <= book.get("book_length", new) < book.get("book_discard", 2 * new)
    assert bool(book) is bool(machine.book.get("book_document"))


def test_people_and_tools_have_a_history():
    assert [person.name for person in WORKS.people if not person.left].count(TECHNICIAN) == 1
    assert any(person.left for person in WORKS.people)
    known = {entry.id for entry in load_rulebook(WORKS.rulebook).instruments}
    for tool in WORKS.tools:
        assert tool.type in known
        assert list(tool.calibrations) == sorted(tool.calibrations, reverse=True)
        assert len(tool.calibrations) > 1


def test_the_works_prints_on_a_sheet_that_is_shipped():
    assert WORKS.label_sheet in template_names()
