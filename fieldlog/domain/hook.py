"""Hooks: throat opening, twist and cracks against the rule that holds."""

from decimal import Decimal

from msgspec import Struct

from fieldlog.domain.criteria import SEVERITY, Finding, Limit, Source, Verdict, cite, judge
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


def section_wear_percent(new_mm: Decimal, now_mm: Decimal) -> Decimal:
    """Height of the section lost in the saddle, in percent of the unworn height.

    Raises InputError for a height that is not greater than 0. Example: 20 worn to 18 mm is 10 %.
    """
    if min(new_mm, now_mm) <= 0:
        raise InputError("the heights of a hook's section are greater than 0")
    return (new_mm - now_mm) / new_mm * 100


class _Weighed(Struct, frozen=True, kw_only=True):
    """One thing looked at: its verdict and, where it is a figure, that figure beside its limit."""

    verdict: Verdict
    why: str
    source: Source
    value: Decimal | None = None
    limit: Decimal | None = None
    unit: str = ""
    steps: tuple[str, ...] = ()


def judge_hook(reading: HookReading, new_mm: Decimal | None, rule: HookRule, rulebook: Rulebook) -> Finding:
    """The gravest of crack, twist, throat and section wear; undecided where the as-new throat is not known.

    A throat as new that was typed with the reading goes before `new_mm`, the registered one. Value, limit
    and source are those of what governs: degrees for a twist, mm for the throat, percent for the section.
    The steps hold the arithmetic of all that was measured.
    """
    new = new_mm if reading.new_mm is None else reading.new_mm
    found = [_crack(reading, rule), _twist(reading, rule), _throat(reading, new, rule), _wear(reading, rule)]
    seen = [one for one in found if one is not None]
    governs = max(seen, key=lambda one: SEVERITY[one.verdict])
    return Finding(
        criterion=rule.id,
        component=f"{reading.which} {HOOK}",
        verdict=governs.verdict,
        value=governs.value,
        limit=governs.limit,
        margin=None if governs.value is None or governs.limit is None else governs.limit - governs.value,
        unit=governs.unit,
        why=governs.why,
        source=cite(governs.source),
        certainty=governs.source.certainty,
        rulebook=rulebook.name,
        edition=rulebook.edition,
        steps=tuple(step for one in seen for step in one.steps),
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
    verdict, steps = Verdict.UNDECIDED, list[str]()
    if new_mm is not None and limit is not None:
        steps.append(_limit_step(new_mm, limit, rule))
    if now is None:
        why = "throat not measured"
    elif limit is None or new_mm is None:
        why = "the throat as new is not known: enter it from the book or the plate"
    else:
        verdict = judge(now, Limit(value=limit, unit="mm", inclusive=rule.inclusive), Decimal(0))
        why = f"throat {format_mm(now)} mm, limit {format_mm(limit)} mm"
        opened = opening_percent(new_mm, now).quantize(Decimal("0.1"))
        steps.append(f"opened ({format_mm(now)} - {format_mm(new_mm)}) / {format_mm(new_mm)} = {opened} %")
    return _Weighed(
        verdict=verdict, why=why, source=rule.source, value=now, limit=limit, unit="mm", steps=tuple(steps)
    )


def _limit_step(new_mm: Decimal, limit: Decimal, rule: HookRule) -> str:
    capped = "" if rule.cap_mm is None else f", at most {format_mm(rule.cap_mm)} mm"
    return f"limit {format_mm(new_mm)} + {format_mm(rule.percent)} %{capped} = {format_mm(limit)} mm"


def _wear(reading: HookReading, rule: HookRule) -> _Weighed | None:
    """Section lost in the saddle; None where neither height was measured."""
    new, now = reading.section_new_mm, reading.section_mm
    if new is None and now is None:
        return None
    source = rule.wear_source or rule.source
    if new is None or now is None:
        why = "section wear: measure its height both unworn and where it is worn most"
        return _Weighed(verdict=Verdict.UNDECIDED, why=why, source=source)
    lost = section_wear_percent(new, now)
    said = lost.quantize(Decimal("0.1"))
    steps = (f"section ({format_mm(new)} - {format_mm(now)}) / {format_mm(new)} = {said} % lost",)
    if rule.wear_percent is None:
        why = f"{said} % of the section is lost; rule {rule.id} sets no limit: a competent person decides"
        return _Weighed(verdict=Verdict.UNDECIDED, why=why, source=source, value=lost, unit="%", steps=steps)
    limit = Limit(value=rule.wear_percent, unit="%", inclusive=rule.wear_inclusive)
    return _Weighed(
        verdict=judge(lost, limit, Decimal(0)),
        why=f"{said} % of the section is lost, limit {format_mm(rule.wear_percent)} %",
        source=source,
        value=lost,
        limit=rule.wear_percent,
        unit="%",
        steps=steps,
    )
