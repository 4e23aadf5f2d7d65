"""Proves that a move keeps the old facts, asks for an inspection there, and follows the rulebook of the site.

An examination after a move: SI 1998/2307 (LOLER), reg. 9(2).
"""

from datetime import date
from pathlib import Path

import pytest

from fieldlog.domain.records import Hoist, InspectionKind, Site
from fieldlog.errors import IncompleteError, RefusedError
from fieldlog.operations.handing_over import retire
from fieldlog.operations.hoist_page import hoist_page
from fieldlog.operations.moving import move_hoist
from fieldlog.operations.setting_up import add_site
from fieldlog.operations.shop import Shop, open_hoist
from tests.operations.builder import ADA, NOW, TODAY, inspect, ready_shop, register

EARLIER = date(2026, 9, 1)
WHO = {"by": ADA, "now": NOW, "today": TODAY}


@pytest.fixture
def shop(tmp_path: Path) -> Shop:
    return ready_shop(tmp_path)


def used(shop: Shop) -> Hoist:
    hoist = register(shop, day=EARLIER)
    inspect(shop, hoist.id, day=EARLIER)
    return hoist


def due_days(shop: Shop, name: str) -> dict[str, date]:
    return {due.inspection.value: due.due_on for due in hoist_page(shop, name, TODAY).row.dues}


def test_a_move_keeps_the_old_record_and_makes_the_inspection_after_it_due(shop: Shop):
    hoist = used(shop)
    move_hoist(shop, hoist.id, {"site": "workshop", "place": "bay 9"}, **WHO)
    opened = open_hoist(shop, hoist.id)
    assert (opened.hoist.site, opened.hoist.place) == ("workshop", "bay 9")
    assert opened.hoist.registered_on == EARLIER
    first = opened.history.entries[0].body
    assert isinstance(first, Hoist)
    assert first.site == "intake hall"
    assert due_days(shop, hoist.id)["after a move"] == TODAY
    inspect(shop, hoist.id, InspectionKind.AFTER_MOVE)
    assert "after a move" not in due_days(shop, hoist.id)


def test_the_rulebook_of_the_site_holds_there_unless_another_is_named(shop: Shop):
    add_site(shop, Site(name="quay", rulebook="uk"), by=ADA, now=NOW)
    hoist = used(shop)
    move_hoist(shop, hoist.id, {"site": "quay"}, **WHO)
    assert open_hoist(shop, hoist.id).hoist.rulebook == "uk"
    move_hoist(shop, hoist.id, {"site": "workshop"}, **WHO)
    assert open_hoist(shop, hoist.id).hoist.rulebook == "uk"
    move_hoist(shop, hoist.id, {"site": "quay", "rulebook": "de"}, **WHO)
    assert open_hoist(shop, hoist.id).hoist.rulebook == "de"


@pytest.mark.parametrize(
    ("texts", "word"),
    [
        ({"site": "intake hall", "place": "bay 2"}, "hangs there already"),
        ({"site": "workshop", "done_on": "2026-11-26"}, "future"),
        ({"site": "workshop", "done_on": "2026-08-31"}, "lies before 2026-09-01"),
        ({"site": "workshop", "rulebook": "moon"}, "rulebook"),
    ],
)
def test_a_move_that_can_not_be_is_refused(shop: Shop, texts: dict[str, str], word: str):
    hoist = used(shop)
    with pytest.raises(IncompleteError, match=word):
        move_hoist(shop, hoist.id, texts, **WHO)


def test_a_move_may_be_told_later_but_not_before_the_last_one(shop: Shop):
    hoist = used(shop)
    move_hoist(shop, hoist.id, {"site": "workshop", "done_on": "2026-09-01"}, **WHO)
    move_hoist(shop, hoist.id, {"site": "quay", "done_on": "2026-10-01"}, **WHO)
    with pytest.raises(IncompleteError, match="2026-10-01"):
        move_hoist(shop, hoist.id, {"site": "workshop", "done_on": "2026-09-30"}, **WHO)


def test_a_retired_hoist_is_put_to_use_again_only_on_purpose(shop: Shop):
    hoist = used(shop)
    retire(shop, hoist.id, {"why": "spare", "done_on": "2026-10-01"}, **WHO)
    with pytest.raises(RefusedError, match="retired since 2026-10-01"):
        move_hoist(shop, hoist.id, {"site": "workshop"}, **WHO)
    move_hoist(shop, hoist.id, {"site": "workshop"}, back_in_use=True, **WHO)
    assert open_hoist(shop, hoist.id).history.retired is None
    assert "after a move" in due_days(shop, hoist.id)
