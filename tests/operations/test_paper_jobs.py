"""Batches hold the labels that a day's work asks for, and a shelf label says what was typed."""

from datetime import date
from pathlib import Path

import pytest

from fieldlog.domain.label_content import CHAIN, DUE, FIELDS, SPARE, TAG, WITHDRAWN
from fieldlog.domain.records import InspectionKind
from fieldlog.errors import IncompleteError, InputError, NotFoundError
from fieldlog.operations.drafting import DefectDraft
from fieldlog.operations.handing_over import retire
from fieldlog.operations.paper_jobs import batch, hoists_for, spare_content
from fieldlog.operations.servicing import fit_chain, withdraw
from fieldlog.operations.shop import Shop
from tests.operations.builder import ADA, NOW, TODAY, at, inspect, ready_shop, register
from tests.operations.service import CHAIN_SET, WITHDRAWAL

EARLIER = date(2026, 11, 20)
SHELF = {"chain": "5 x 15", "grade": "T", "length": "12.5", "certificate": "C-0418", "note": "rack 4"}


@pytest.fixture
def shop(tmp_path: Path) -> Shop:
    return ready_shop(tmp_path)


def chosen(shop: Shop, kind: str, day: date | None = None, site: str = "") -> list[str]:
    return hoists_for(shop, kind, today=TODAY, done_on=day, site=site)


def test_the_stickers_of_a_day_are_those_of_the_inspections_they_count_from(shop: Shop) -> None:
    first, second, third = (register(shop, day=EARLIER, serial=serial) for serial in "123")
    inspect(shop, first.id, day=EARLIER)
    inspect(shop, second.id, day=TODAY)
    inspect(shop, third.id, day=EARLIER)
    inspect(shop, third.id, InspectionKind.FREQUENT, day=TODAY, readings=("165.5", "166.2", "166.0"))
    # the check of the third hoist does not renew its yearly sticker
    assert chosen(shop, DUE, EARLIER) == sorted([first.id, third.id])
    assert chosen(shop, DUE, TODAY) == [second.id]
    assert chosen(shop, DUE, date(2026, 11, 21)) == []


def test_other_kinds_follow_what_was_done_that_day(shop: Shop) -> None:
    old, new = register(shop, day=EARLIER), register(shop, day=TODAY, serial="2")
    inspect(shop, old.id, day=EARLIER)
    inspect(shop, new.id, day=TODAY)
    assert chosen(shop, TAG, TODAY) == [new.id]
    assert chosen(shop, WITHDRAWN, TODAY) == []
    withdraw(shop, old.id, WITHDRAWAL, by=ADA, now=NOW, today=TODAY)
    assert chosen(shop, WITHDRAWN, TODAY) == [old.id]
    assert chosen(shop, CHAIN, EARLIER) == [old.id]  # the chain that it came with
    fit_chain(shop, old.id, CHAIN_SET, by=ADA, now=at(TODAY), today=TODAY)
    assert chosen(shop, CHAIN, EARLIER) == []
    assert chosen(shop, CHAIN, TODAY) == sorted([old.id, new.id])


def test_progress_is_told_while_the_day_of_a_registration_is_looked_for(shop: Shop) -> None:
    for serial in "12":
        register(shop, serial=serial)
    told: list[tuple[int, int]] = []
    hoists_for(shop, TAG, today=TODAY, done_on=TODAY, progress=lambda done, of: told.append((done, of)))
    assert told == [(1, 2), (2, 2)]


def test_a_site_is_chosen_by_words_of_its_name_and_both_filters_hold_together(shop: Shop) -> None:
    hall, press = register(shop), register(shop, site="sludge press", serial="2")
    inspect(shop, hall.id)
    assert chosen(shop, TAG, site="Sludge") == [press.id]
    assert chosen(shop, TAG) == sorted([hall.id, press.id])
    assert chosen(shop, DUE, TODAY, site="press") == []
    assert chosen(shop, DUE, TODAY, site="hall") == [hall.id]


def test_without_a_day_only_hoists_out_of_service_get_that_tag(shop: Shop) -> None:
    good, bad = register(shop), register(shop, serial="2")
    inspect(shop, good.id)
    inspect(shop, bad.id, defects={"hook-latch": DefectDraft(what="latch bent")})
    assert chosen(shop, WITHDRAWN) == [bad.id]


def test_one_that_is_refused_does_not_hold_up_the_others(shop: Shop) -> None:
    good, bad = register(shop), register(shop, serial="2")
    inspect(shop, good.id)
    inspect(shop, bad.id, defects={"hook-latch": DefectDraft(what="latch bent")})
    made = batch(shop, chosen(shop, DUE, TODAY), DUE, today=TODAY)
    assert [label.texts["id"] for label in made.labels] == [good.id]
    assert made.refusals == (f"no due sticker for {bad.id}: D1: latch bent",)


def test_what_is_wrong_with_the_order_itself_is_not_taken_for_a_refusal(shop: Shop) -> None:
    hoist = register(shop)
    inspect(shop, hoist.id)
    with pytest.raises(InputError, match="year colours are one of"):
        batch(shop, [hoist.id], DUE, today=TODAY, year_colours="rainbow")


def test_a_shelf_label_says_what_was_typed(shop: Shop) -> None:
    label = spare_content(shop, SHELF | {"received": "2026-10-02"}, today=TODAY)
    assert label.texts == {
        "heading": "spare load chain",
        "size": "5 x 15 mm",
        "grade": "T",
        "length": "12.5 m",
        "certificate": "C-0418",
        "received": "2026-10-02",
        "note": "rack 4",
        "shop": "Saltmarsh Hoist Service",
    }
    assert label.code == ""
    assert set(label.texts) <= set(FIELDS[SPARE])


def test_one_kept_for_a_hoist_takes_size_grade_and_code_from_it(shop: Shop) -> None:
    hoist = register(shop, chain="11,3x31", grade="DAT")
    typed = {"length": "41 ft", "certificate": "C-0418"}
    label = spare_content(shop, typed, today=TODAY, hoist_id=hoist.id)
    assert (label.texts["size"], label.texts["grade"]) == ("11.3 x 31 mm", "DAT")
    assert (label.texts["id"], label.code) == (hoist.id, f"FL:{hoist.id}")
    assert label.texts["received"] == "2026-11-25"
    # 41 ft x 0.3048 m (the international foot, 1959)
    assert label.texts["length"] == "12.4968 m"


def test_every_field_that_can_not_be_taken_is_named(shop: Shop) -> None:
    typed = {"chain": "15x5", "length": "long", "received": "2026-11-26"}
    with pytest.raises(IncompleteError) as refused:
        spare_content(shop, typed, today=TODAY)
    said = str(refused.value)
    for place in ("Chain dn x pn", "Chain grade", "Length", "Certificate no.", "Received"):
        assert place in said
    with pytest.raises(NotFoundError, match="no such tag"):
        spare_content(shop, SHELF, today=TODAY, hoist_id="SW-4711-X")


def test_a_retired_hoist_gets_no_more_labels(shop: Shop) -> None:
    kept, gone = register(shop), register(shop, serial="4712")
    retire(shop, gone.id, {"why": "scrapped"}, by=ADA, now=NOW, today=TODAY)
    assert chosen(shop, TAG) == [kept.id]
