"""What was printed is kept as evidence and known again; offsets of printers are kept for the shop."""

from datetime import date
from decimal import Decimal
from pathlib import Path

import pytest

from fieldlog.domain.label_content import CHAIN, DUE, SPARE, TAG, WITHDRAWN, LabelContent
from fieldlog.domain.records import LabelPrinted, PrinterOffset
from fieldlog.operations.label_log import (
    keep_offset,
    last_printed,
    note_printed,
    offset_of,
    printed_before,
    says_of,
    times_printed,
)
from fieldlog.operations.paper import content
from fieldlog.operations.paper_jobs import spare_content
from fieldlog.operations.shop import Shop, open_hoist, settings
from tests.operations.builder import ADA, NOW, TODAY, inspect, ready_shop, register

SHELF = {"chain": "5x15", "grade": "T", "length": "12.5", "certificate": "C-0418"}


@pytest.fixture
def shop(tmp_path: Path) -> Shop:
    return ready_shop(tmp_path)


@pytest.mark.parametrize(
    ("kind", "texts", "says"),
    [
        (TAG, {"id": "SW-0007-X", "site": "intake hall"}, "SW-0007-X"),
        (DUE, {"id": "SW-0007-X", "due": "2027-11-25"}, "2027-11-25"),
        (WITHDRAWN, {"since": "2026-11-25", "lock": "14"}, "2026-11-25, 14"),
        (WITHDRAWN, {"since": "2026-11-25", "lock": ""}, "2026-11-25"),
        (CHAIN, {"size": "5 x 15 mm", "discard": "167.475 mm"}, "5 x 15 mm, 167.475 mm"),
        (SPARE, {"size": "5 x 15 mm", "length": "3 m", "certificate": "C-1"}, "5 x 15 mm, 3 m, C-1"),
    ],
)
def test_a_label_is_known_by_what_it_says(kind: str, texts: dict[str, str], says: str) -> None:
    assert says_of(LabelContent(kind=kind, texts=texts, code="")) == says


def test_copies_are_recorded_and_count_as_one_print(shop: Shop) -> None:
    hoist = register(shop)
    inspect(shop, hoist.id)
    label = content(shop, hoist.id, DUE, today=TODAY)
    entry = note_printed(shop, label, "roll-62", by=ADA, now=NOW, today=TODAY, copies=3)
    assert isinstance(entry.body, LabelPrinted)
    assert entry.body.copies == 3
    opened = open_hoist(shop, hoist.id)
    assert times_printed(opened.history.labels, label) == 1
    assert printed_before(opened, label) == last_printed(shop, label) == TODAY


def test_a_label_for_the_shelf_goes_into_the_shop_s_own_logbook(shop: Shop) -> None:
    label = spare_content(shop, SHELF, today=TODAY)
    assert last_printed(shop, label) is None
    head = shop.logbooks.read("settings").head
    entry = note_printed(shop, label, "roll-62", by=ADA, now=NOW, today=TODAY)
    assert entry.body == LabelPrinted(
        done_on=TODAY, label=SPARE, template="roll-62", says="5 x 15 mm, 12.5 m, C-0418", head=head[:10]
    )
    assert shop.logbooks.read("settings").entries[-1] == entry
    assert last_printed(shop, label) == TODAY
    other = spare_content(shop, SHELF | {"certificate": "C-0419"}, today=TODAY)
    assert last_printed(shop, other) is None


def test_a_spare_chain_kept_for_a_hoist_is_recorded_there(shop: Shop) -> None:
    hoist = register(shop)
    label = spare_content(shop, SHELF, today=TODAY, hoist_id=hoist.id)
    entry = note_printed(shop, label, "roll-62", by=ADA, now=NOW, today=date(2026, 11, 26))
    assert open_hoist(shop, hoist.id).history.entries[-1] == entry
    assert last_printed(shop, label) == date(2026, 11, 26)


def test_a_queue_has_no_offset_until_one_is_kept_and_the_last_holds(shop: Shop) -> None:
    assert offset_of(shop, "bench") == (0, 0)
    keep_offset(shop, "bench", (Decimal("1.5"), Decimal("-0.25")), by=ADA, now=NOW)
    entry = keep_offset(shop, "bench", (Decimal("-1"), Decimal("0.5")), by=ADA, now=NOW)
    assert entry.body == PrinterOffset(queue="bench", x_mm=Decimal("-1"), y_mm=Decimal("0.5"))
    assert offset_of(shop, "bench") == (Decimal("-1"), Decimal("0.5"))
    assert offset_of(shop, "office") == (0, 0)


def test_neither_hides_the_shop_s_settings(shop: Shop) -> None:
    before = settings(shop)
    keep_offset(shop, "bench", (Decimal(1), Decimal(0)), by=ADA, now=NOW)
    note_printed(shop, spare_content(shop, SHELF, today=TODAY), "roll-62", by=ADA, now=NOW, today=TODAY)
    assert settings(shop) == before
