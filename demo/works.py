"""The shapes of the invented works, and the reading of works.toml and fleet/*.toml into them."""

import tomllib
from collections.abc import Mapping
from decimal import Decimal
from functools import cache
from pathlib import Path
from typing import Any

import msgspec
from msgspec import Struct, field

HERE = Path(__file__).parent


class Technician(Struct, frozen=True, kw_only=True):
    """Somebody of the works; `since` and `left` are days ago, `comma` says who types a decimal comma."""

    name: str
    login: str
    qualification: str
    since: int
    left: int = 0
    comma: bool = False


class Tool(Struct, frozen=True, kw_only=True):
    """A measuring tool; `calibrations` are days ago, `step_mm` is what it is read to."""

    name: str
    type: str
    interval_months: int
    calibrations: tuple[int, ...]
    step_mm: Decimal


class Machine(Struct, frozen=True, kw_only=True):
    """A hoist of the works. `age` is in years when it was taken on; `taken` and the visits are days ago.

    `periodic` and `frequent` are the last visits of their kind. `worn` and `opened` are percent of the
    allowed chain growth used, and of throat opening, when it was taken on and on the last day;
    `chain_changed` is days ago, and the wear of the last day is then that of the new chain. `last_tool`
    was used at the last inspection; one with `gauge` is checked with a go/no-go gauge. `story` names
    what is told with it (see stories.py).
    """

    key: str
    site: str
    place: str
    maker: str
    model: str
    serial: str
    drive: str
    capacity_kg: int
    chain: str
    grade: str
    falls: int = 1
    lift_m: int = 6
    age: int = 8
    throat_mm: int
    group: str = ""
    rulebook: str = "general"
    service: str = "normal"
    trolley: bool = False
    bought: bool = False
    book: Mapping[str, str] = field(default_factory=dict)
    taken: int
    periodic: int
    frequent: int
    worn: tuple[int, int]
    opened: tuple[float, float] = (0.5, 2.0)
    chain_changed: int = 0
    tool: str = "caliper 1"
    last_tool: str = ""
    gauge: bool = False
    story: str = ""


class Works(Struct, frozen=True, kw_only=True):
    """The whole invented works; `first_day` is days ago, `label_sheet` what it prints its labels on."""

    shop: str
    prefix: str
    rulebook: str
    first_day: int
    label_sheet: str
    address: str
    sites: tuple[str, ...]
    people: tuple[Technician, ...]
    tools: tuple[Tool, ...]
    fleet: tuple[Machine, ...]


def _table(path: Path) -> dict[str, Any]:
    return tomllib.loads(path.read_text(encoding="utf-8"))


def _hall(site: str) -> list[dict[str, Any]]:
    hall = _table(HERE / "fleet" / f"{site.replace(' ', '-')}.toml")
    return [{"site": hall["site"], **hoist} for hoist in hall["hoists"]]


@cache
def read_works() -> Works:
    """The works as its files say, hall by hall."""
    table = _table(HERE / "works.toml")
    fleet = [hoist for site in table["sites"] for hoist in _hall(site)]
    return msgspec.convert({**table, "fleet": fleet}, Works)
