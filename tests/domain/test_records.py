"""Records are values: frozen, slotted, keyword-only, without behaviour, each kind with a name of its own."""

from datetime import UTC, datetime
from typing import Any, get_args

import msgspec
import pytest

from fieldlog.domain import records
from fieldlog.domain.records import Body, Draft, Hoist, Inspection, StruckOut
from tests.domain.build import SIZE, hoist

KINDS = get_args(Body)
VALUES = [
    thing
    for name in records.__all__
    if isinstance(thing := getattr(records, name), type) and issubclass(thing, msgspec.Struct)
]
# What the first edition of a record must say; every later field needs a default, or old lines would not open.
FIRST_FIELDS = {
    Hoist: {
        *("id", "maker", "model", "serial", "drive", "capacity_kg", "falls", "lift_mm", "chain"),
        *("site", "rulebook", "registered_on"),
    },
    Inspection: {"occasion", "done_on", "rulebook", "edition", "answers"},
    StruckOut: {"line", "why"},
}


@pytest.mark.parametrize("value", VALUES, ids=lambda value: value.__name__)
def test_a_record_is_frozen_slotted_and_named_by_keyword(value: Any) -> None:
    assert value.__struct_config__.frozen
    assert "__dict__" not in dir(value)
    assert value.__match_args__ == ()  # what can be given by position can be matched by position


@pytest.mark.parametrize("value", VALUES, ids=lambda value: value.__name__)
def test_a_record_has_no_behaviour(value: Any) -> None:
    own = {name for name, member in vars(value).items() if callable(member) or isinstance(member, property)}
    allowed = {"fresh"} if value is Draft else set()
    assert {name for name in own if not name.startswith("__")} <= allowed


def test_every_kind_of_record_is_given_out_at_the_one_door() -> None:
    assert set(KINDS) <= set(VALUES)
    assert list(records.__all__) == sorted(set(records.__all__))


def test_every_body_has_a_kind_of_its_own() -> None:
    names = [body.kind for body in KINDS]
    assert len(set(names)) == len(names)
    assert all(name == name.lower() and name for name in names)


@pytest.mark.parametrize(
    ("record", "names"), FIRST_FIELDS.items(), ids=lambda value: getattr(value, "__name__", "")
)
def test_only_the_first_fields_lack_a_default(record: Any, names: set[str]) -> None:
    without = {field.name for field in msgspec.structs.fields(record) if field.required}
    assert without == names


def test_equal_facts_are_equal_records_and_can_not_be_changed() -> None:
    assert hoist() == hoist()
    assert hash(SIZE) == hash(msgspec.structs.replace(SIZE))
    with pytest.raises(AttributeError):
        hoist().site = "workshop"  # type: ignore[misc]


def test_a_fresh_draft_holds_nothing_typed_and_no_draft_shares_what_another_holds() -> None:
    now = datetime(2026, 11, 25, 13, 5, tzinfo=UTC)
    one, other = (
        Draft.fresh(uid=uid, kind="inspection", about="SW-0007-X", by="Ada Fenn", now=now) for uid in "ab"
    )
    assert (one.begun, one.saved, one.head, one.fields) == (now, now, "", {})
    one.fields["done_on"] = "2026-11-25"
    assert other.fields == {}
