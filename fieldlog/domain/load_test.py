"""The load test: which load the rulebook asks for, and what a load reached is worth."""

from decimal import Decimal

from msgspec import Struct

from fieldlog.domain.criteria import Finding, Source, Verdict, cite
from fieldlog.domain.records import Drive
from fieldlog.domain.rules import LoadTestRule, Rulebook
from fieldlog.errors import InputError
from fieldlog.units import format_mass, format_mm

LOAD_TEST = "load test"


class RequiredLoad(Struct, frozen=True, kw_only=True):
    """The stipulated load and what its weights may lie between, in kg, with the factor and its sources."""

    load_kg: Decimal
    low_kg: Decimal
    high_kg: Decimal
    factor: Decimal
    rule: str
    source: Source
    tolerance_source: Source | None


def load_test_rule(rulebook: Rulebook, drive: Drive) -> LoadTestRule:
    """The load test that a rulebook asks of this drive; InputError where it has none."""
    for rule in rulebook.load_tests:
        if drive in rule.drives:
            return rule
    raise InputError(f"rulebook {rulebook.name} has no load test for {drive} hoists")


def required_load(
    capacity_kg: Decimal, drive: Drive, rulebook: Rulebook, *, overload_device: bool = False
) -> RequiredLoad:
    """Static test load: the rated capacity times the rule's factor, with the tolerance of its weights.

    Where an overload device is fitted and the rule knows a factor for that, this one is taken, since the
    device would trip below the other. Raises InputError for a capacity that is not greater than 0.
    Source: 2006/42/EC, annex I, 4.1.2.3 (1.25 powered, 1.5 hand); DOE-STD-1090-96 ch. 8 (-5/+0 %).
    Example: 500 kg, powered, 1.25: 625 kg, weights from 593.75 to 625 kg.
    """
    if capacity_kg <= 0:
        raise InputError("a rated capacity is greater than 0")
    rule = load_test_rule(rulebook, drive)
    factor = rule.static_factor
    if overload_device and rule.with_overload_device is not None:
        factor = rule.with_overload_device
    load = capacity_kg * factor
    return RequiredLoad(
        load_kg=load,
        low_kg=load * (1 - rule.low_percent / 100),
        high_kg=load * (1 + rule.high_percent / 100),
        factor=factor,
        rule=rule.id,
        source=rule.source,
        tolerance_source=rule.tolerance_source,
    )


def judge_load_test(reached_kg: Decimal, *, held: bool, needed: RequiredLoad, rulebook: Rulebook) -> Finding:
    """The finding of a load test; its value, limit and margin are kg, the limit the least load that counts.

    Not held is discard. Held with less than the lowest load proves nothing: undecided. Held with more than
    the weights may be is watch: the hoist was overloaded, and is to be looked at for traces of it.
    """
    low, high = format_mass(needed.low_kg), format_mass(needed.high_kg)
    reached = format_mass(reached_kg)
    if not held:
        verdict, why = Verdict.DISCARD, f"{reached} was not held"
    elif reached_kg < needed.low_kg:
        verdict, why = Verdict.UNDECIDED, f"{reached} is less than the {low} that count: it proves nothing"
    elif reached_kg > needed.high_kg:
        verdict = Verdict.WATCH
        why = f"{reached} is more than the {high} allowed: look for traces of overload"
    else:
        verdict, why = Verdict.KEEP, f"{reached} was held, {low} to {high} asked for"
    return Finding(
        criterion=needed.rule,
        component=LOAD_TEST,
        verdict=verdict,
        value=reached_kg,
        limit=needed.low_kg,
        margin=reached_kg - needed.low_kg,
        unit="kg",
        why=why,
        source=cite(needed.source),
        certainty=needed.source.certainty,
        rulebook=rulebook.name,
        edition=rulebook.edition,
        steps=load_steps(needed),
    )


def load_steps(needed: RequiredLoad) -> tuple[str, ...]:
    """How the load comes about, with the numbers filled in."""
    rated = needed.load_kg / needed.factor
    steps = [f"{format_mm(needed.factor)} x {format_mass(rated)} = {format_mass(needed.load_kg)}"]
    span = f"the weights may lie from {format_mass(needed.low_kg)} to {format_mass(needed.high_kg)}"
    steps.append(span if needed.tolerance_source is None else f"{span} ({cite(needed.tolerance_source)})")
    return tuple(steps)
