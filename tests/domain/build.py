"""Small values for the domain's tests: rules as the trade has them, a hoist, and a logbook of sealed entries.

The rules are written out by hand from their sources, so that no test of the domain needs rulebook files.
"""

from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from typing import Any

from msgspec.structs import replace

from fieldlog.domain.chain import ELONGATION
from fieldlog.domain.criteria import Certainty, Finding, Source, Verdict
from fieldlog.domain.records import (
    Answer,
    AnswerKind,
    Body,
    ChainFitted,
    ChainReading,
    ChainSize,
    Defect,
    DefectGrade,
    Drive,
    Entry,
    Hoist,
    Inspection,
    InspectionKind,
    ServiceClass,
    StruckOut,
)
from fieldlog.domain.rules import (
    ChecklistItem,
    DateRule,
    DiameterRule,
    ElongationRule,
    ErrorStep,
    HookRule,
    InstrumentType,
    Interval,
    Rulebook,
)

D = Decimal

DOE = Source(
    id="doe-8", title="DOE-STD-1090-96", edition="Rev. 1", clause="ch. 8", certainty=Certainty.PUBLISHED
)
DGUV = Source(id="dguv-209-021", title="DGUV Information 209-021", certainty=Certainty.PUBLISHED)
KOREA = Source(
    id="korea", title="Korea, OSH Standards Rule", clause="art. 96 no. 5", certainty=Certainty.PUBLISHED
)
OSHA = Source(id="osha", title="29 CFR 1910.179", clause="(j)(2)(iii)", certainty=Certainty.PUBLISHED)
WAC = Source(id="wac", title="WAC 296-155-55800", clause="table 12", certainty=Certainty.PUBLISHED)
UK_RULES = Source(id="si", title="SI 2016/1153", clause="sch. 1I para. 2", certainty=Certainty.PUBLISHED)
DIN_862 = Source(id="din-862", title="DIN 862", edition="1988", certainty=Certainty.PUBLISHED)
PRACTICE = Source(id="practice", title="usual in workshops", certainty=Certainty.PRACTICE)

POWERED = ElongationRule(
    id="elongation-powered", drives=(Drive.ELECTRIC, Drive.AIR), percent=D("1.5"), source=DOE
)
HAND = ElongationRule(id="elongation-hand", drives=(Drive.HAND,), percent=D("2.5"), source=DOE)

HOOKS = {
    "general": HookRule(
        id="general",
        percent=D(10),
        cap_mm=None,
        inclusive=True,
        twist_deg=D(10),
        twist_inclusive=False,
        source=KOREA,
        twist_source=OSHA,
    ),
    "us-osha": HookRule(
        id="us-osha",
        percent=D(15),
        cap_mm=None,
        inclusive=False,
        twist_deg=D(10),
        twist_inclusive=False,
        source=OSHA,
    ),
    "us-b30": HookRule(
        id="us-b30",
        percent=D(5),
        cap_mm=D("6.35"),
        inclusive=True,
        twist_deg=D(0),
        twist_inclusive=False,
        source=WAC,
    ),
}

RULE_II = InstrumentType(
    id="rule-ii",
    title="steel rule, class II",
    steps=(ErrorStep(up_to_mm=D(1000), mpe_mm=D("0.5")), ErrorStep(up_to_mm=D(2000), mpe_mm=D("0.7"))),
    inside_extra_mm=D(0),
    source=UK_RULES,
)
CALIPER = InstrumentType(
    id="caliper-0.05",
    title="caliper 0.05",
    steps=(ErrorStep(up_to_mm=D(300), mpe_mm=D("0.05")), ErrorStep(up_to_mm=D(400), mpe_mm=D("0.06"))),
    inside_extra_mm=D("0.02"),
    source=DIN_862,
)

ALL_DRIVES = tuple(Drive)
ALL_KINDS = tuple(InspectionKind)
SIZE = ChainSize(dn_mm=D(5), pn_mm=D(15), grade="T")


def item(name: str, **changes: Any) -> ChecklistItem:
    """A checklist item that affects safety and applies to every hoist, unless changed."""
    values: dict[str, Any] = {
        "id": name,
        "section": "chain",
        "title": name.capitalize(),
        "look_at": "look",
        "defect_when": "broken",
        "safety": True,
        "drives": ALL_DRIVES,
        "kinds": ALL_KINDS,
        "source": PRACTICE,
    }
    return ChecklistItem(**(values | changes))


def interval(kind: InspectionKind, service: ServiceClass = ServiceClass.NORMAL, **changes: Any) -> Interval:
    """An interval of a service class."""
    return Interval(id=f"{kind}-{service}", inspection=kind, service=service, source=DOE, **changes)


ITEMS = (item("brake"), item("chain"), item("label", section="tests", safety=False))


def rulebook(**changes: Any) -> Rulebook:
    """A rulebook of published figures: 1.5 % powered, 2.5 % hand, 0.9 dn, hook 10 %, yearly and monthly."""
    values: dict[str, Any] = {
        "name": "general",
        "title": "the strictest common figures",
        "edition": "2026-11",
        "elongation": (POWERED, HAND),
        "diameter": DiameterRule(id="diameter", share=D("0.9"), source=DGUV),
        "hook": HOOKS["general"],
        "load_tests": (),
        "intervals": (
            interval(InspectionKind.FREQUENT, months=1),
            interval(InspectionKind.PERIODIC, months=12),
        ),
        "idle": (),
        "date_rule": DateRule.CALENDAR,
        "date_rule_source": PRACTICE,
        "watch_share": D("0.8"),
        "reference_over_share": D("0.005"),
        "items": ITEMS,
        "instruments": (RULE_II, CALIPER),
        "chain_sizes": (),
        "groups": (),
        "sections": {"chain": "load chain", "tests": "tests and labels"},
    }
    return Rulebook(**(values | changes))


def hoist(**changes: Any) -> Hoist:
    """An electric 500 kg hoist on 5 x 15 chain in the filter house."""
    values: dict[str, Any] = {
        "id": "SW-0007-X",
        "maker": "Brine & Sons",
        "model": "K2",
        "serial": "4711",
        "drive": Drive.ELECTRIC,
        "capacity_kg": D(500),
        "falls": 1,
        "lift_mm": D(6000),
        "chain": SIZE,
        "site": "filter house",
        "rulebook": "general",
        "registered_on": date(2025, 1, 10),
    }
    return Hoist(**(values | changes))


def reading(value: str | Decimal | None, **changes: Any) -> ChainReading:
    """A gauge length over 11 links inside, at the hook."""
    values: dict[str, Any] = {
        "place": "hook",
        "links": 11,
        "value_mm": None if value is None else Decimal(value),
    }
    return ChainReading(**(values | changes))


def finding(verdict: Verdict, component: str = ELONGATION, **changes: Any) -> Finding:
    """A finding of this verdict without a figure."""
    values: dict[str, Any] = {"criterion": "c", "why": f"it is {verdict}", "source": "s"}
    return Finding(component=component, verdict=verdict, certainty=Certainty.PUBLISHED, **(values | changes))


def grown(growth: str, verdict: Verdict = Verdict.KEEP, allowed: str = "2.475", **changes: Any) -> Finding:
    """A finding on the chain's growth in mm."""
    left = D(allowed) - D(growth)
    return finding(verdict, value=D(growth), limit=D(allowed), margin=left, unit="mm", **changes)


def defect(grade: DefectGrade = DefectGrade.STOPS_NOW, name: str = "D1", **changes: Any) -> Defect:
    """A defect at the brake."""
    values: dict[str, Any] = {"item": "brake", "what": "brake slips"}
    return Defect(id=name, grade=grade, **(values | changes))


def inspection(day: date, kind: InspectionKind = InspectionKind.PERIODIC, **changes: Any) -> Inspection:
    """An inspection in which every item was found in order."""
    values: dict[str, Any] = {
        "rulebook": "general",
        "edition": "2026-11",
        "answers": tuple(Answer(item=thing.id, answer=AnswerKind.OK) for thing in ITEMS),
    }
    return Inspection(occasion=kind, done_on=day, **(values | changes))


def new_chain(day: date, **changes: Any) -> ChainFitted:
    """A chain set of the same size, with its baseline."""
    values: dict[str, Any] = {"chain": SIZE, "baseline_links": 11, "baseline_mm": D("165.1")}
    return ChainFitted(done_on=day, **(values | changes))


def line_of(number: int) -> str:
    """A stand-in for the SHA-256 of a line: 64 hex digits that differ by number."""
    return f"{number:064x}"


def sealed(*bodies: Body) -> tuple[Entry, ...]:
    """The bodies as entries of one logbook, in the order given, an hour apart."""
    start = datetime(2026, 1, 1, tzinfo=UTC)
    return tuple(
        Entry(
            number=number,
            line=line_of(number),
            prev=line_of(number - 1),
            v=1,
            uid=f"{number:032x}",
            by="Ada Fenn",
            at=start + timedelta(hours=number),
            body=body,
        )
        for number, body in enumerate(bodies, start=1)
    )


def strike(number: int) -> StruckOut:
    """A strike of the entry with this number."""
    return StruckOut(line=line_of(number), why="typed for the wrong hoist")


def with_service(thing: Hoist, service: ServiceClass) -> Hoist:
    """The same hoist in another service class."""
    return replace(thing, service=service)
