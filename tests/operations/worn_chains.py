"""Hoists whose chain has grown by so much on these days, for what is drawn of them."""

from datetime import date, timedelta
from decimal import Decimal
from pathlib import Path

from fieldlog.domain.records import Basis, ChainFitted, ChainSize, InspectionKind
from fieldlog.operations.inspecting import seal_inspection
from fieldlog.operations.shop import Shop, append, open_hoist
from tests.operations.builder import ADA, at, begin, fill, inspect, ready_shop, register

START = date(2025, 1, 10)
ALLOWED = Decimal("2.475")  # 1.5 % of 165 mm, as DOE-STD-1090-96, chapter 8, allows
FIRST, FREQUENT = InspectionKind.FIRST_USE, InspectionKind.FREQUENT
STEADY = ((0, "0.3"), (90, "0.6"), (180, "0.9"))


def day_after(days: int) -> date:
    return START + timedelta(days=days)


def readings(grown: str) -> tuple[str, str, str]:
    """Usual working height, hook end and stop end of a 5x15 chain over 11 links, 165 mm as new."""
    return str(165 + Decimal(grown)), "165.2", "165.1"


def measure(shop: Shop, tag: str, days: int, grown: str) -> None:
    known = open_hoist(shop, tag).history.inspections
    kind = FREQUENT if known else FIRST
    inspect(shop, tag, kind, day=day_after(days), readings=readings(grown))


def worn_shop(root: Path, *grown: tuple[int, str]) -> tuple[Shop, str]:
    """A shop with one hoist, measured so many days after the start with so much growth [mm]."""
    shop = ready_shop(root)
    tag = register(shop, day=START).id
    for days, growth in grown:
        measure(shop, tag, days, growth)
    return shop, tag


def fit_chain(shop: Shop, tag: str, days: int) -> None:
    body = ChainFitted(done_on=day_after(days), chain=ChainSize(dn_mm=Decimal(5), pn_mm=Decimal(15)))
    append(shop, tag, body, by=ADA, now=at(day_after(days)), head=open_hoist(shop, tag).head)


def gauge(shop: Shop, tag: str, days: int) -> None:
    """An inspection with a go/no-go gauge, which shows a gap at every place."""
    opened, draft, content = begin(shop, tag, FIRST, day=day_after(days))
    fill(shop, opened, content, instrument="", readings=("", "", ""), day=day_after(days))
    content.basis = Basis.GAUGE
    for reading in content.readings:
        reading.touch = False
    seal_inspection(shop, draft, content, by=ADA, now=at(day_after(days)), today=day_after(days))
