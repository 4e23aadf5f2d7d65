"""The shop's settings change by a record, by who may seal, and only where something is other than before."""

from decimal import Decimal
from pathlib import Path

import pytest

from fieldlog.domain.records import Person
from fieldlog.errors import IncompleteError, RefusedError
from fieldlog.operations.entering import check_field
from fieldlog.operations.label_log import offset_of
from fieldlog.operations.setting_up import add_person
from fieldlog.operations.shop import Shop, need_settings, rulebook_named
from fieldlog.operations.shop_settings import (
    date_rule_of,
    offset_fields,
    offset_queues,
    set_offset,
    set_shop,
    shop_fields,
)
from fieldlog.rulebook.loader import rulebook_names
from tests.operations.builder import ADA, NOW, TODAY, ready_shop


@pytest.fixture
def shop(tmp_path: Path) -> Shop:
    return ready_shop(tmp_path)


def _lines(shop: Shop) -> int:
    return len(shop.logbooks.read("settings").entries)


def test_one_setting_is_changed_and_the_others_stay(shop: Shop) -> None:
    before, count = need_settings(shop), _lines(shop)
    after = set_shop(shop, {"stricter": "yes"}, by=ADA, now=NOW, today=TODAY)
    assert need_settings(shop) == after
    assert after.stricter_rule_governs
    assert (after.shop, after.prefix, after.rulebook, after.address) == (
        before.shop,
        before.prefix,
        before.rulebook,
        before.address,
    )
    assert _lines(shop) == count + 1
    assert shop.logbooks.read("settings").entries[-1].by == ADA


def test_each_setting_is_taken_and_an_address_can_be_taken_back(shop: Shop) -> None:
    texts = {"shop": "Saltmarsh Hoists", "address": "7 Sluice Lane", "rulebook": "uk", "length_unit": "in"}
    held = set_shop(shop, texts, by=ADA, now=NOW, today=TODAY)
    assert (held.shop, held.address, held.rulebook, held.length_unit) == tuple(texts.values())
    assert set_shop(shop, {"address": ""}, by=ADA, now=NOW, today=TODAY).address == ""


def test_the_same_once_more_writes_nothing(shop: Shop) -> None:
    count = _lines(shop)
    texts = {field.name: field.default for field in shop_fields(need_settings(shop))}
    set_shop(shop, texts, by=ADA, now=NOW, today=TODAY)
    set_shop(shop, {}, by=ADA, now=NOW, today=TODAY)
    assert _lines(shop) == count


def test_who_may_not_seal_changes_nothing(shop: Shop) -> None:
    add_person(shop, Person(name="Cleo Marsh", may_seal=False), by=ADA, now=NOW)
    count = _lines(shop)
    with pytest.raises(RefusedError, match="may look but not seal"):
        set_shop(shop, {"stricter": "yes"}, by="Cleo Marsh", now=NOW, today=TODAY)
    with pytest.raises(RefusedError, match="may look but not seal"):
        set_offset(shop, "bench", {"x": "1"}, by="Cleo Marsh", now=NOW, today=TODAY)
    assert _lines(shop) == count


@pytest.mark.parametrize(
    "texts", [{"shop": ""}, {"rulebook": "fr"}, {"stricter": "maybe"}, {"mass_unit": "stone"}]
)
def test_a_setting_that_can_not_be_taken_is_told(texts: dict[str, str], shop: Shop) -> None:
    with pytest.raises(IncompleteError, match="settings stay as they are"):
        set_shop(shop, texts, by=ADA, now=NOW, today=TODAY)


def test_an_offset_is_kept_for_its_queue_and_listed(shop: Shop) -> None:
    assert offset_queues(shop) == ()
    wanted = set_offset(shop, "bench", {"x": "-1,5", "y": "0.25"}, by=ADA, now=NOW, today=TODAY)
    assert wanted == offset_of(shop, "bench") == (Decimal("-1.5"), Decimal("0.25"))
    assert set_offset(shop, "bench", {"y": "0"}, by=ADA, now=NOW, today=TODAY) == (
        Decimal("-1.5"),
        Decimal(0),
    )
    set_offset(shop, "attic", {"x": "1"}, by=ADA, now=NOW, today=TODAY)
    assert offset_queues(shop) == ("attic", "bench")


@pytest.mark.parametrize("text", ["wide", "1 mm", "--1", "1e2", "1234", ""])
def test_what_is_no_offset_is_refused(text: str) -> None:
    assert check_field(offset_fields((Decimal(0), Decimal(0)))[0], text) != ""


@pytest.mark.parametrize("name", rulebook_names())
def test_every_rulebook_says_how_it_counts_days_and_where_that_stands(name: str) -> None:
    """The sentence is that of the rulebook's own entry, told apart by its source: uk and general differ."""
    says, source = date_rule_of(rulebook_named(name))
    assert len(says) > 40
    assert source == rulebook_named(name).date_rule_source
    assert ("two months after it" in says) == (name == "de")
    assert ("At least every so many months" in says) == (name == "uk")
