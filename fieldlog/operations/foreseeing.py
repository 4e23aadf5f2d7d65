"""The wear trend of a hoist's chain, and readings to watch because of it."""

from collections.abc import Sequence
from datetime import date
from decimal import Decimal

from msgspec.structs import replace

from fieldlog.domain.chain import ChainVerdict
from fieldlog.domain.criteria import Verdict
from fieldlog.domain.history import ChainLife, History, WearPoint
from fieldlog.domain.records import InspectionKind
from fieldlog.domain.running import counter_on, periods_of
from fieldlog.domain.schedule import dues
from fieldlog.domain.trend import Trend, meets_before, trend_of
from fieldlog.errors import InputError
from fieldlog.operations.shop import OpenHoist

PERIODIC = InspectionKind.PERIODIC


def _counters(history: History, points: Sequence[WearPoint]) -> list[Decimal] | None:
    """Hours run by each day of a wear point; None where they are not logged over all of them."""
    if history.hoist is None or not history.hours:
        return None
    periods = periods_of(history.hours, history.hoist.registered_on)
    found = [counter_on(periods, point.day) for point in points]
    known = [hours for hours in found if hours is not None]
    return known if len(known) == len(found) else None


def trend_on(history: History, chain: ChainLife | None, today: WearPoint | None = None) -> Trend:
    """The trend of one chain since it was fitted, with today's worst reading where there is one.

    Against running hours where they are logged over all its inspections, else against days.
    """
    points = () if chain is None else chain.wear
    if today is not None:
        points = (*points, today)
    ordered = sorted(points, key=lambda point: point.day)
    try:
        return trend_of(ordered, hours=_counters(history, ordered))
    except InputError:
        return trend_of(ordered)  # hours that run backwards are told as a problem of the logbook


def next_periodic(opened: OpenHoist, occasion: InspectionKind, day: date) -> date | None:
    """When the periodic inspection after this one is due, as far as dates tell."""
    done = [(body.occasion, body.done_on) for _, body in opened.history.inspections]
    done = sorted([*done, (occasion, day)], key=lambda pair: pair[1])
    periods = periods_of(opened.history.hours, opened.hoist.registered_on)
    found = dues(opened.hoist, opened.rulebook, done, periods=periods)
    return next((due.due_on for due in found if due.inspection is PERIODIC), None)


def foresee(
    opened: OpenHoist, worst: ChainVerdict | None, occasion: InspectionKind, day: date
) -> tuple[Trend, ChainVerdict | None]:
    """The trend with today's worst reading, and that reading, to watch where the trend asks for it.

    Watch where the limit will be met before the next periodic inspection; a verdict never gets milder by it.
    """
    point = _point(worst, day)
    trend = trend_on(opened.history, opened.history.chain, point)
    until = next_periodic(opened, occasion, day) if trend.meets_on is not None else None
    if worst is None or until is None or not meets_before(trend, until):
        return trend, worst
    finding = worst.finding
    if finding.verdict not in (Verdict.KEEP, Verdict.WATCH):
        return trend, worst
    why = f"{finding.why}; {trend.words}, before the next periodic inspection on {until.isoformat()}"
    return trend, replace(worst, finding=replace(finding, verdict=Verdict.WATCH, why=why))


def _point(worst: ChainVerdict | None, day: date) -> WearPoint | None:
    if worst is None or worst.growth_mm is None or worst.allowance.growth_mm <= 0:
        return None
    return WearPoint(day=day, growth_mm=worst.growth_mm, allowed_mm=worst.allowance.growth_mm)
