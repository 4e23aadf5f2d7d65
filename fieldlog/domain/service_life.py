"""The used share of a powered hoist's design life from its logged hours, and what follows at its end.

At a share of 1 the hoist goes out of service until an expert's conditions are recorded.
Source: DGUV Vorschrift 54, 23(4) and 35a (published).
"""

from collections.abc import Sequence
from datetime import date, timedelta
from decimal import ROUND_FLOOR, Decimal

from msgspec import Struct

from fieldlog.domain.duty import LifeShare, Use, find_group, is_used_up, life_share
from fieldlog.domain.history import History, Stop
from fieldlog.domain.records import Drive, ExpertConditions, HoursLogged
from fieldlog.domain.rules import MechanismGroup, Rulebook
from fieldlog.domain.running import Period, periods_of
from fieldlog.errors import InputError

# Where the loads or the sureness of the hours are not told, the worst is taken: full load, unknown history.
FULL_LOAD = Decimal(1)


class ServiceLife(Struct, frozen=True, kw_only=True):
    """The used share, what it is worked out from, and the day of the log with which all was used, if any."""

    share: LifeShare
    group: MechanismGroup
    uses: tuple[Use, ...]
    used_up_on: date | None
    conditions: ExpertConditions | None


def load_factor(log: HoursLogged, rulebook: Rulebook) -> Decimal:
    """The load spectrum factor km of a log: as worked out, else the upper bound of its class, else 1."""
    if log.km is not None:
        return log.km
    known = {spectrum.id: spectrum.km_up_to for spectrum in rulebook.spectra}
    return known.get(log.spectrum, FULL_LOAD)


def sureness_factor(log: HoursLogged, rulebook: Rulebook) -> Decimal:
    """The factor f of a log by how its hours are known; the greatest where that is not told."""
    known = {factor.id: factor.factor for factor in rulebook.life_factors}
    return known.get(log.factor, max(known.values(), default=Decimal(1)))


def _use(period: Period, rulebook: Rulebook) -> Use:
    return Use(
        hours=period.hours,
        km=load_factor(period.log, rulebook),
        factor=sureness_factor(period.log, rulebook),
    )


def life_of(history: History, rulebook: Rulebook) -> ServiceLife | None:
    """The used share of the design life; None for a hand hoist, without a group or without logged hours."""
    hoist = history.hoist
    if hoist is None or hoist.drive is Drive.HAND or not hoist.group or not history.hours:
        return None
    try:
        group = find_group(hoist.group, rulebook.groups)
        periods = periods_of(history.hours, hoist.registered_on)
        uses = tuple(_use(period, rulebook) for period in periods)
        share = life_share(uses, group)
    except InputError:
        # A group or a factor that this edition does not know: the share is not worked out, and the item of
        # the checklist that asks for it is not answered by it.
        return None
    return ServiceLife(
        share=share,
        group=group,
        uses=uses,
        used_up_on=_used_up_on(periods, uses, group),
        conditions=history.conditions[-1] if history.conditions else None,
    )


def _used_up_on(periods: Sequence[Period], uses: Sequence[Use], group: MechanismGroup) -> date | None:
    for count, period in enumerate(periods, start=1):
        if is_used_up(life_share(uses[:count], group)):
            return period.end
    return None


def shown_percent(life: ServiceLife) -> Decimal:
    """The used share in percent to one decimal, rounded down: 100.0 is never shown before all is used."""
    return life.share.share_pct.quantize(Decimal("0.1"), rounding=ROUND_FLOOR)


def share_words(life: ServiceLife) -> str:
    """The used share for people: '103.1 % of the design life of M4 (1Am)'."""
    return f"{shown_percent(life)} % of the design life of {life.group.id} ({life.group.fem})"


def used_up(history: History, rulebook: Rulebook) -> tuple[str, ...]:
    """A sentence where all of the design life is used and no expert has set conditions; else nothing."""
    life = life_of(history, rulebook)
    if life is None or life.used_up_on is None or life.conditions is not None:
        return ()
    return (f"{share_words(life)} is used: out of service until an expert's conditions are recorded",)


def life_stops(history: History, rulebook: Rulebook) -> tuple[Stop, ...]:
    """The stop at the end of the design life; with conditions it comes after their last day, if any."""
    life = life_of(history, rulebook)
    if life is None or life.used_up_on is None:
        return ()
    if life.conditions is None:
        return tuple(
            Stop(from_on=life.used_up_on, reason=reason, entry=0) for reason in used_up(history, rulebook)
        )
    until = life.conditions.until
    if until is None:
        return ()
    reason = f"{share_words(life)} is used, and the expert's conditions ended on {until.isoformat()}"
    return (Stop(from_on=until + timedelta(days=1), reason=reason, entry=0),)


def life_conditions(history: History, rulebook: Rulebook) -> tuple[str, ...]:
    """The conditions under which the hoist runs on past its design life."""
    life = life_of(history, rulebook)
    if life is None or life.used_up_on is None or life.conditions is None:
        return ()
    held = life.conditions
    until = "" if held.until is None else f" until {held.until.isoformat()}"
    return (f"past its design life, runs on by conditions of {held.by_whom}{until}: {held.conditions}",)
