"""A shop with one hoist, and inspections typed into it without sealing."""

from datetime import date
from pathlib import Path
from typing import Any

from msgspec import Struct

from fieldlog.domain.records import InspectionKind
from fieldlog.operations.assessing import Assessment, ReadingView, assess
from fieldlog.operations.drafting import InspectionDraft, ReadingDraft
from fieldlog.operations.shop import OpenHoist, Shop, open_hoist
from tests.operations.builder import CALIPER, TODAY, ready_shop, register

PERIODIC = InspectionKind.PERIODIC


class Bench(Struct, frozen=True):
    """A shop with one hoist, and an inspection typed into it."""

    shop: Shop
    opened: OpenHoist

    def assess(self, *readings: str, day: date = TODAY, **typed: Any) -> Assessment:
        content = InspectionDraft(occasion=PERIODIC, done_on=day.isoformat(), instrument=CALIPER)
        content.readings = [ReadingDraft(place=f"place {n}", text=text) for n, text in enumerate(readings)]
        for name, value in typed.items():
            setattr(content, name, value)
        return assess(self.shop, self.opened, content, today=TODAY)

    def view(self, text: str, **typed: Any) -> ReadingView:
        return self.assess(text, **typed).readings[0]


def bench(root: Path, **changes: Any) -> Bench:
    shop = ready_shop(root)
    return Bench(shop, open_hoist(shop, register(shop, **changes).id))
