"""Hooks: throat opening, twist and cracks against the rule that holds."""

from dataclasses import dataclass
from decimal import Decimal

from fieldlog.domain.criteria import Finding, Limit, Source, Verdict, cite, judge
from fieldlog.domain.records import HookReading
from fieldlog.domain.rules import HookRule, Rulebook
from fieldlog.errors import InputError
from fieldlog.units import format_mm

HOOK = "hook"


def throat_limit(new_mm: Decimal, rule: HookRule) -> Decimal:
    """The throat opening [mm] at which the hook is discarded: as-new plus percent, capped where the rule is.

    Example: new 40 mm: 46 (15 %), 44 (10 %), 42 (5 %); new 150 mm under 5 % capped at 6.35: 156.35.
    """
    _check_new(new_mm)
    growth = new_mm * rule.percent / 100
    return new_mm + (growth if rule.cap_mm is None else min(growth, rule.cap_mm))


def opening_percent(new_mm: Decimal, now_mm: Decimal) -> Decimal:
    """Opening over the as-new throat in percent."""
    _check_new(new_mm)
    return (now_mm - new_mm) / new_mm * 100


def _check_new(new_mm: Decimal) -> None:
    if new_mm <= 0:
        raise InputError(f"a hook's throat as new is greater than 0, not {format_mm(new_mm)} mm")


@dataclass(frozen=True, slots=True, kw_only=True)
class _Weighed:
    """What governs: its verdict and, where it is a figure, that figure beside its limit."""

    verdict: Verdict
    why: str
    source: Source
    value: Decimal | None = None
    limit: Decimal | None = None
    unit: str = ""


def judge_hook(reading: HookReading, new_mm: Decimal | None, rule: HookRule, rulebook: Rulebook) -> Finding:
    """The gravest of crack, twist and throat; undecided where the as-new throat is not known.

    Value, limit and source are those of what governs: degrees for a twist, mm for the throat.
    """
    found = _crack(reading, rule) or _twist(reading, rule) or _throat(reading, new_mm, rule)
    return Finding(
        criterion=rule.id,
        component=f"{reading.which} {HOOK}",
        verdict=found.verdict,
        value=found.value,
        limit=found.limit,
        margin=None if found.value is None or found.limit is None else found.limit - found.value,
        unit=found.unit,
        why=found.why,
        source=cite(found.source),
        certainty=found.source.certainty,
        rulebook=rulebook.name,
        edition=rulebook.edition,
    )


def _crack(reading: HookReading, rule: HookRule) -> _Weighed | None:
    if not reading.crack:
        return None
    return _Weighed(verdict=Verdict.DISCARD, why="a crack: any crack is discard", source=rule.source)


def _twist(reading: HookReading, rule: HookRule) -> _Weighed | None:
    """A twist that is discard, to whichever side the hook is turned."""
    turned = abs(reading.twist_deg)
    limit = Limit(value=rule.twist_deg, unit="deg", inclusive=rule.twist_inclusive)
    if not turned or judge(turned, limit, Decimal(0)) is not Verdict.DISCARD:
        return None
    return _Weighed(
        verdict=Verdict.DISCARD,
        why=f"twisted {format_mm(turned)} degrees, limit {format_mm(limit.value)}",
        source=rule.twist_source or rule.source,
        value=turned,
        limit=limit.value,
        unit=limit.unit,
    )


def _throat(reading: HookReading, new_mm: Decimal | None, rule: HookRule) -> _Weighed:
    limit = None if new_mm is None else throat_limit(new_mm, rule)
    now = reading.throat_mm
    if now is not None and now <= 0:
        raise InputError(f"a hook's throat is greater than 0, not {format_mm(now)} mm")
    verdict = Verdict.UNDECIDED
    if now is None:
        why = "throat not measured"
    elif limit is None:
        why = "the throat as new is not known: enter it from the book or the plate"
    else:
        verdict = judge(now, Limit(value=limit, unit="mm", inclusive=rule.inclusive), Decimal(0))
        why = f"throat {format_mm(now)} mm, limit {format_mm(limit)} mm"
    return _Weighed(verdict=verdict, why=why, source=rule.source, value=now, limit=limit, unit="mm")
