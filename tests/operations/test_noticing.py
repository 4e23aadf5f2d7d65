"""Proves the notice log: which defect was told to whom, when and how, and that it is shown with the hoist."""

from datetime import date
from pathlib import Path

import pytest

from fieldlog.cli.output import hoist_lines
from fieldlog.domain.records import Hoist, InspectionKind, Notice
from fieldlog.errors import IncompleteError, NotFoundError
from fieldlog.operations.drafting import DefectDraft
from fieldlog.operations.hoist_page import hoist_page
from fieldlog.operations.noticing import note_notice
from fieldlog.operations.shop import Shop
from tests.operations.builder import ADA, NOW, TODAY, inspect, ready_shop, register

SEEN = date(2026, 11, 20)
WHO = {"by": ADA, "now": NOW, "today": TODAY}
TOLD = {"whom": "Mor Quill", "how": "by letter"}


@pytest.fixture
def shop(tmp_path: Path) -> Shop:
    return ready_shop(tmp_path)


def with_defect(shop: Shop) -> Hoist:
    hoist = register(shop, day=SEEN)
    inspect(shop, hoist.id, day=SEEN)
    inspect(shop, hoist.id, InspectionKind.PERIODIC, day=SEEN, defects={"brake": DefectDraft(what="slips")})
    return hoist


def test_all_open_defects_are_told_unless_some_are_named(shop: Shop):
    hoist = with_defect(shop)
    entry = note_notice(shop, hoist.id, TOLD, **WHO)
    assert entry.body == Notice(done_on=TODAY, defects=("D1",), whom="Mor Quill", how="by letter")
    page = hoist_page(shop, hoist.id, TODAY)
    assert page.notices == (entry.body,)
    lines = "\n".join(hoist_lines(page))
    assert "told to Mor Quill on 2026-11-25, by letter" in lines
    assert "D1 told to Mor Quill, by letter" in page.timeline[-1].says


@pytest.mark.parametrize(
    ("texts", "word"),
    [
        ({"whom": ""}, "Told to is missing"),
        ({"how": ""}, "How is missing"),
        ({"defects": "D9"}, "no defect D9"),
        ({"done_on": "2026-11-19"}, "seen on 2026-11-20"),
        ({"done_on": "2026-11-26"}, "future"),
    ],
)
def test_a_notice_that_can_not_be_is_refused(shop: Shop, texts: dict[str, str], word: str):
    hoist = with_defect(shop)
    with pytest.raises(IncompleteError, match=word):
        note_notice(shop, hoist.id, TOLD | texts, **WHO)


def test_on_the_day_it_was_seen_it_may_be_told(shop: Shop):
    hoist = with_defect(shop)
    note_notice(shop, hoist.id, TOLD | {"done_on": "2026-11-20", "defects": "d1"}, **WHO)


def test_a_hoist_without_defects_has_nothing_to_tell(shop: Shop):
    with pytest.raises(NotFoundError):
        note_notice(shop, register(shop).id, TOLD, **WHO)
