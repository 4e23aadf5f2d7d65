"""A ready shop of the invented Saltmarsh Hoist Service and short ways to do a day's work in it."""

from collections.abc import Mapping
from datetime import UTC, date, datetime
from pathlib import Path
from typing import Any

from fieldlog.domain.criteria import Verdict
from fieldlog.domain.records import (
    AnswerKind,
    Draft,
    Entry,
    Hoist,
    Inspection,
    InspectionKind,
    Instrument,
    Person,
    ShopSettings,
)
from fieldlog.operations.assessing import assess
from fieldlog.operations.drafting import (
    AnswerDraft,
    DefectDraft,
    InspectionDraft,
    begin_inspection,
)
from fieldlog.operations.inspecting import seal_inspection
from fieldlog.operations.registering import register_hoist
from fieldlog.operations.setting_up import add_instrument, add_person, set_up
from fieldlog.operations.shop import OpenHoist, Shop, append_to_shop, new_uid, open_hoist, open_shop

ADA, BEN = "Ada Fenn", "Ben Sorrel"
TODAY = date(2026, 11, 25)
CALIPER = "caliper-0.05"
RULE = "rule-ii"
# 5x15 over 11 links is 165 mm inside when new; these have grown by 0.4, 1.1 and 0.9 of 2.475 mm.
GOOD_READINGS = ("165.4", "166.1", "165.9")

FIRST_START = {
    "shop": "Saltmarsh Hoist Service",
    "prefix": "sw",
    "rulebook": "general",
    "person": ADA,
    "qualification": "hoist fitter",
}
REGISTRATION = {
    "maker": "Fenwright",
    "model": "LC 500",
    "serial": "4711",
    "year": "2019",
    "drive": "electric",
    "capacity": "500",
    "falls": "1",
    "lift": "6",
    "chain": "5x15",
    "grade": "T",
    "hook_throat": "30",
    "limit_switches": "yes",
    "container": "yes",
    "overload_device": "yes",
    "trolley": "no",
    "lifts_persons": "no",
    "site": "intake hall",
    "place": "bay 2",
    "service": "normal",
}


def at(day: date, hour: int = 12) -> datetime:
    return datetime(day.year, day.month, day.day, hour, tzinfo=UTC)


NOW = at(TODAY)


def ready_shop(root: Path, **first_start: str) -> Shop:
    shop = open_shop(root)
    set_up(shop, FIRST_START | first_start, login="ada", now=at(date(2020, 1, 2)))
    return shop


def with_ben(shop: Shop, **changes: Any) -> None:
    """A second technician; `changes` are fields of his record."""
    add_person(shop, Person(name=BEN, login="ben", **changes), by=ADA, now=NOW)


def with_instrument(shop: Shop, name: str, kind: str = CALIPER, **changes: Any) -> None:
    add_instrument(shop, Instrument(name=name, type=kind, **changes), by=ADA, now=NOW)


def with_stricter_rule(shop: Shop) -> None:
    """The shop's choice that a stricter rule goes before the maker's book."""
    body = ShopSettings(
        shop="Saltmarsh Hoist Service", prefix="SW", rulebook="general", stricter_rule_governs=True
    )
    append_to_shop(shop, "settings", body, by=ADA, now=NOW)


def register(shop: Shop, *, day: date = TODAY, by: str = ADA, uid: str = "", **changes: Any) -> Hoist:
    texts = REGISTRATION | changes
    return register_hoist(shop, texts, by=by, now=at(day), today=day, uid=uid or new_uid())


def begin(
    shop: Shop,
    hoist_id: str,
    occasion: InspectionKind = InspectionKind.PERIODIC,
    *,
    day: date = TODAY,
    by: str = ADA,
) -> tuple[OpenHoist, Draft, InspectionDraft]:
    opened = open_hoist(shop, hoist_id)
    draft, content = begin_inspection(shop, opened, occasion, by=by, now=at(day), today=day)
    return opened, draft, content


def fill(
    shop: Shop,
    opened: OpenHoist,
    content: InspectionDraft,
    *,
    readings: tuple[str, ...] = GOOD_READINGS,
    instrument: str = CALIPER,
    answers: Mapping[str, AnswerKind] | None = None,
    defects: Mapping[str, DefectDraft] | None = None,
    day: date = TODAY,
) -> None:
    """Type readings, diameters and hook, and answer every other item with ok unless it is named."""
    content.instrument = instrument
    for draft, text in zip(content.readings, readings, strict=True):
        draft.text = text
    content.d1, content.d2, content.hook.throat = "4.9", "5", "30.5"
    content.defects.update(defects or {})
    given = dict(answers or {}) | dict.fromkeys(defects or {}, AnswerKind.DEFECT)
    for item in assess(shop, opened, content, today=day).items:
        if item.id in given or not item.measure:
            content.answers[item.id] = AnswerDraft(answer=given.get(item.id, AnswerKind.OK))


def inspect(
    shop: Shop,
    hoist_id: str,
    occasion: InspectionKind = InspectionKind.FIRST_USE,
    *,
    day: date = TODAY,
    by: str = ADA,
    **typed: Any,
) -> Entry:
    """A whole inspection, sealed. `typed` goes to `fill`."""
    opened, draft, content = begin(shop, hoist_id, occasion, day=day, by=by)
    fill(shop, opened, content, day=day, **typed)
    return seal_inspection(shop, draft, content, by=by, now=at(day), today=day)


def body_of(entry: Entry) -> Inspection:
    assert isinstance(entry.body, Inspection)
    return entry.body


def verdicts(body: Inspection, component: str) -> list[Verdict]:
    return [finding.verdict for finding in body.findings if finding.component == component]
