"""What all readings share: links, the instrument as it stood that day, the book, last time's doubt."""

from collections.abc import Callable
from datetime import date
from decimal import Decimal
from pathlib import Path

import pytest

from fieldlog.domain.records import Basis, InspectionKind
from fieldlog.errors import InputError
from fieldlog.operations.drafting import InspectionDraft, ReadingDraft
from fieldlog.operations.gauging import Gauging, gauging, last_value, typed_reading, work_day
from fieldlog.operations.inspecting import seal_inspection
from fieldlog.operations.servicing import fit_chain
from fieldlog.operations.shop import Shop, open_hoist
from tests.operations.builder import (
    ADA,
    CALIPER,
    NOW,
    RULE,
    TODAY,
    begin,
    fill,
    inspect,
    ready_shop,
    register,
    with_instrument,
)
from tests.operations.service import CHAIN_SET

PERIODIC = InspectionKind.PERIODIC


@pytest.fixture
def shop(tmp_path: Path) -> Shop:
    return ready_shop(tmp_path)


def shared(shop: Shop, hoist_id: str, day: date = TODAY, **typed: object) -> Gauging:
    content = InspectionDraft(occasion=PERIODIC, done_on=day.isoformat(), instrument=CALIPER)
    for name, value in typed.items():
        setattr(content, name, value)
    return gauging(shop, open_hoist(shop, hoist_id), content, day)


@pytest.mark.parametrize(
    ("done_on", "day"),
    [
        ("2026-11-20", date(2026, 11, 20)),
        ("2026-11-25", TODAY),
        ("2026-11-26", TODAY),
        ("2026-11-", TODAY),
        ("", TODAY),
    ],
)
def test_the_day_is_the_one_of_the_inspection_and_today_while_that_is_none(done_on: str, day: date) -> None:
    assert work_day(InspectionDraft(occasion=PERIODIC, done_on=done_on), TODAY) == day


def test_an_instrument_is_needed(shop: Shop) -> None:
    hoist = register(shop)
    for nothing in ("", "  "):
        assert "choose the instrument first" in shared(shop, hoist.id, instrument=nothing).problem
    assert "no instrument 'tape'" in shared(shop, hoist.id, instrument="tape").problem
    assert shared(shop, hoist.id).problem == ""


@pytest.mark.parametrize("instrument", ["", "tape", CALIPER])
def test_a_gauge_needs_no_instrument(shop: Shop, instrument: str) -> None:
    held = shared(shop, register(shop).id, basis=Basis.GAUGE, instrument=instrument)
    assert (held.problem, held.instrument, held.instrument_note) == ("", None, "")


@pytest.mark.parametrize(
    ("links", "taken"),
    [("0", False), ("1", True), ("11", True), ("99", True), ("100", False), ("", False), ("x", False)],
)
def test_links_are_a_whole_number(shop: Shop, links: str, taken: bool) -> None:
    held = shared(shop, register(shop).id, links=links)
    assert (held.problem == "") is taken
    assert held.links == (int(links) if taken else 0)


def test_a_bare_type_is_said_not_to_be_in_the_register(shop: Shop) -> None:
    assert shared(shop, register(shop).id).instrument_note == "not in the tool register"


def test_the_instrument_is_told_as_it_stood_on_the_day_of_the_inspection(shop: Shop) -> None:
    """Sealed late, a reading is flagged by the calibration of its own day, not of the day of sealing."""
    hoist = register(shop)
    with_instrument(shop, "C1", calibrated_on=date(2025, 11, 20), interval_months=12)
    assert shared(shop, hoist.id, date(2026, 11, 20), instrument="C1").instrument_note == (
        "in calibration until 2026-11-20"
    )
    assert shared(shop, hoist.id, date(2026, 11, 21), instrument="C1").instrument_note == (
        "out of calibration since 2026-11-20"
    )


def test_the_book_holds_for_the_chain_it_is_for(shop: Shop) -> None:
    hoist = register(shop, book_length="165.2", book_document="p. 31")
    assert shared(shop, hoist.id).book == hoist.book
    inspect(shop, hoist.id)
    again = CHAIN_SET | {"grade": "DAT", "why_other_size": "the maker's new grade"}
    fit_chain(shop, hoist.id, again, by=ADA, now=NOW, today=TODAY)
    assert shared(shop, hoist.id).book == hoist.book
    other = CHAIN_SET | {"chain": "5x16", "why_other_size": "none to be had", "baseline": "176.1"}
    fit_chain(shop, hoist.id, other, by=ADA, now=NOW, today=TODAY)
    held = shared(shop, hoist.id)
    assert held.book is None
    assert (held.size.dn_mm, held.size.pn_mm) == (Decimal(5), Decimal(16))


def test_last_time_is_found_where_it_was_taken_the_same_way(shop: Shop) -> None:
    hoist = register(shop)
    inspect(shop, hoist.id)
    opened = open_hoist(shop, hoist.id)
    assert last_value(opened, "hook end", 11, Basis.INSIDE) == Decimal("166.1")
    assert last_value(opened, "hook end", 9, Basis.INSIDE) is None
    assert last_value(opened, "hook end", 11, Basis.OUTSIDE) is None
    assert last_value(opened, "elsewhere", 11, Basis.INSIDE) is None


def test_last_times_doubt_is_that_of_last_times_instrument(shop: Shop) -> None:
    """w = 1.645 MPE / sqrt 3: steel rule of class II, MPE 0.5 mm up to 1 m (UK SI 2016/1153): 0.4749 mm."""
    hoist = register(shop)
    assert shared(shop, hoist.id).last_guards_mm == {}
    inspect(shop, hoist.id, instrument=RULE)
    assert set(shared(shop, hoist.id).last_guards_mm.values()) == {Decimal("0.4749")}


def test_last_times_instrument_may_be_unknown_by_now(shop: Shop, monkeypatch: pytest.MonkeyPatch) -> None:
    hoist = register(shop)
    inspect(shop, hoist.id, instrument=RULE)
    find = Gauging.__module__ + ".instrument_type"

    def forgotten(_shop: Shop, name: str, _rulebook: object) -> object:
        raise InputError(f"no instrument {name!r}")

    monkeypatch.setattr(find, forgotten)
    assert shared(shop, hoist.id, basis=Basis.GAUGE).last_guards_mm == {}


def test_a_go_no_go_gauge_leaves_no_figure_for_next_time(shop: Shop) -> None:
    hoist = register(shop)
    opened, draft, content = begin(shop, hoist.id, InspectionKind.FIRST_USE)
    fill(shop, opened, content)
    content.basis = Basis.GAUGE
    for reading in content.readings:
        reading.touch = False
    seal_inspection(shop, draft, content, by=ADA, now=NOW, today=TODAY)
    assert shared(shop, hoist.id).last_guards_mm == {}
    assert last_value(open_hoist(shop, hoist.id), "hook end", 11, Basis.GAUGE) is None


# 9 7/32 in is 234.15625 mm exactly: 1 in = 25.4 mm (international yard and pound agreement, 1959).
@pytest.mark.parametrize(
    ("text", "value_mm"),
    [
        ("234,1", "234.1"),
        (" 234.1 mm ", "234.1"),
        ("9.21 in", "233.934"),
        ("9 7/32 in", "234.15625"),
        ('9 7/32"', "234.15625"),
        ("23.41cm", "234.1"),
    ],
)
def test_readings_are_typed_as_people_write_them(shop: Shop, text: str, value_mm: str) -> None:
    held = shared(shop, register(shop).id)
    reading = typed_reading(ReadingDraft(place="hook end", text=text), held)
    assert reading is not None
    assert (reading.value_mm, reading.typed, reading.links) == (Decimal(value_mm), text.strip(), 11)


@pytest.mark.parametrize("text", ["0", "-165", "165,400", "165.4.1", "nan", "6 1/2", "165 kg", "1e400"])
def test_what_is_no_length_is_refused(shop: Shop, text: str) -> None:
    with pytest.raises(InputError, match="reading"):
        typed_reading(ReadingDraft(place="hook end", text=text), shared(shop, register(shop).id))


BASES: tuple[tuple[Basis, Callable[[ReadingDraft], None]], ...] = (
    (Basis.INSIDE, lambda draft: None),
    (Basis.OUTSIDE, lambda draft: setattr(draft, "text", "  ")),
    (Basis.GAUGE, lambda draft: setattr(draft, "text", "165.4")),
)


@pytest.mark.parametrize(("basis", "change"), BASES)
def test_nothing_typed_is_no_reading(
    shop: Shop, basis: Basis, change: Callable[[ReadingDraft], None]
) -> None:
    draft = ReadingDraft(place="hook end")
    change(draft)
    assert typed_reading(draft, shared(shop, register(shop).id, basis=basis)) is None


@pytest.mark.parametrize("touch", [True, False])
def test_a_gauge_reading_is_whether_both_ends_touch(shop: Shop, touch: bool) -> None:
    held = shared(shop, register(shop).id, basis=Basis.GAUGE)
    reading = typed_reading(ReadingDraft(place="hook end", text="t", touch=touch), held)
    assert reading is not None
    assert (reading.both_ends_touch, reading.value_mm) == (touch, None)
