"""Figures for the shop: load of work by month, overdue, worn chains, doubt, and how long chains last."""

from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Sequence
from datetime import date
from decimal import Decimal
from itertools import pairwise

from msgspec import Struct

from fieldlog.domain.chain import ELONGATION
from fieldlog.domain.criteria import Verdict
from fieldlog.domain.history import History
from fieldlog.domain.logbook import fold
from fieldlog.domain.records import ChainSize
from fieldlog.domain.verdict import Summary
from fieldlog.errors import FieldlogError
from fieldlog.operations.due import due_list, is_retired
from fieldlog.operations.finding import at_site
from fieldlog.operations.shop import Shop, summaries
from fieldlog.store.cores import spread
from fieldlog.units import format_mm

MOST_WORN = 10
MONTHS = 12


class MonthLoad(Struct, frozen=True, kw_only=True):
    """How many inspections are due in a month (year-month), by kind; those overdue are counted apart."""

    month: str
    inspections: int
    by_kind: dict[str, int]


class WornChain(Struct, frozen=True, kw_only=True):
    """A chain and how much of its allowed growth is used [%]."""

    id: str
    size: str
    site: str
    place: str
    used_pct: Decimal


class ChainLives(Struct, frozen=True, kw_only=True):
    """How long chains of one size and service class hung until they were replaced [days].

    `from_registration` of the lives began before the shop knew the hoist, and count from its registration:
    they are at least so long.
    """

    size: str
    service: str
    lives: int
    mean_days: int
    from_registration: int


class ShopFigures(Struct, frozen=True, kw_only=True):
    """All figures on a day. `undecided_pct` is None where no gauge length was ever judged.

    `skipped` names the logbooks that do not read and are left out, whatever site was asked for.
    """

    day: date
    hoists: int
    out_of_service: int
    overdue: int
    load: tuple[MonthLoad, ...]
    later: int
    worn: tuple[WornChain, ...]
    readings: int
    undecided: int
    undecided_pct: Decimal | None
    chain_lives: tuple[ChainLives, ...]
    skipped: tuple[str, ...] = ()


class _Told(Struct, frozen=True, kw_only=True):
    """What one logbook tells; a chain life is its size, service class, days, and whether it was the first."""

    judged: int = 0
    undecided: int = 0
    lives: tuple[tuple[str, str, int, bool], ...] = ()
    name: str = ""
    readable: bool = True


def _size_words(dn_mm: Decimal, pn_mm: Decimal) -> str:
    return f"{format_mm(dn_mm)} x {format_mm(pn_mm)}"


def size_of(words: str) -> ChainSize:
    """The size that a figure names, as '5 x 15' [mm]; its grade is not told."""
    dn, pn = words.split(" x ")
    return ChainSize(dn_mm=Decimal(dn), pn_mm=Decimal(pn))


def shop_figures(
    shop: Shop, day: date, *, site: str = "", progress: Callable[[int, int], None] | None = None
) -> ShopFigures:
    """The figures of the shop, or of one site. Every logbook is read, on all cores.

    NotFoundError where `site_named` finds no such site.
    """
    every = summaries(shop)
    known = {name: s for name, s in at_site(every, site).items() if not is_retired(s, day)}
    told = [
        one
        for batch in spread(lambda names: [_told(shop, name) for name in names], sorted(known), progress)
        for one in batch
    ]
    rows = due_list(shop, day, site=site)
    load, later = _load(known.values(), day)
    judged, undecided = sum(one.judged for one in told), sum(one.undecided for one in told)
    return ShopFigures(
        day=day,
        hoists=len(known),
        out_of_service=sum(row.fitness.value == "out of service" for row in rows),
        overdue=sum(row.overdue for row in rows),
        load=load,
        later=later,
        worn=_worn(known.values()),
        readings=judged,
        undecided=undecided,
        undecided_pct=(Decimal(undecided * 100) / judged).quantize(Decimal("0.1")) if judged else None,
        chain_lives=_mean_lives(told),
        skipped=_skipped(told, set(shop.logbooks.hoist_names()) - every.keys()),
    )


def _skipped(told: Sequence[_Told], nameless: Iterable[str]) -> tuple[str, ...]:
    """Logbooks that do not read; those that do not even tell their hoist may hang at any site."""
    return tuple(sorted([*(one.name for one in told if not one.readable), *nameless]))


def _told(shop: Shop, name: str) -> _Told:
    try:
        history = fold(shop.logbooks.read(name).entries)
    except FieldlogError:
        return _Told(name=name, readable=False)
    verdicts = [
        finding.verdict
        for _, body in history.inspections
        for finding in body.findings
        if finding.component == ELONGATION
    ]
    return _Told(
        name=name,
        judged=len(verdicts),
        undecided=verdicts.count(Verdict.UNDECIDED),
        lives=tuple(_lives(history)),
    )


def _lives(history: History) -> Iterator[tuple[str, str, int, bool]]:
    """Each chain that was replaced, from its fitting to the fitting of the next one."""
    if history.hoist is None or history.chain is None:
        return
    chains = (*history.earlier_chains, history.chain)
    for chain, after in pairwise(chains):
        size = _size_words(chain.size.dn_mm, chain.size.pn_mm)
        days = (after.fitted_on - chain.fitted_on).days
        yield size, history.hoist.service.value, days, chain.number == 1


def _load(known: Iterable[Summary], day: date) -> tuple[tuple[MonthLoad, ...], int]:
    """The next twelve months, this one first; what is due before this day stands in none of them."""
    months = [_month(day, ahead) for ahead in range(MONTHS)]
    counts: dict[str, Counter[str]] = {month: Counter() for month in months}
    later = 0
    for due in (due for summary in known for due in summary.dues if due.due_on >= day):
        month = f"{due.due_on:%Y-%m}"
        if month in counts:
            counts[month][due.inspection.value] += 1
        else:
            later += 1
    load = tuple(
        MonthLoad(month=month, inspections=sum(kinds.values()), by_kind=dict(sorted(kinds.items())))
        for month, kinds in counts.items()
    )
    return load, later


def _month(day: date, ahead: int) -> str:
    years, month = divmod(day.month - 1 + ahead, 12)
    return f"{day.year + years:04}-{month + 1:02}"


def _worn(known: Iterable[Summary]) -> tuple[WornChain, ...]:
    found = [
        WornChain(
            id=s.id,
            size=_size_words(s.dn_mm, s.pn_mm),
            site=s.site,
            place=s.place,
            used_pct=s.used_pct,
        )
        for s in known
        if s.used_pct is not None
    ]
    return tuple(sorted(found, key=lambda chain: (-chain.used_pct, chain.id))[:MOST_WORN])


def _mean_lives(told: Sequence[_Told]) -> tuple[ChainLives, ...]:
    grouped: dict[tuple[str, str], list[tuple[int, bool]]] = {}
    for size, service, days, first in (life for one in told for life in one.lives):
        grouped.setdefault((size, service), []).append((days, first))
    return tuple(
        ChainLives(
            size=size,
            service=service,
            lives=len(lives),
            mean_days=round(sum(days for days, _ in lives) / len(lives)),
            from_registration=sum(first for _, first in lives),
        )
        for (size, service), lives in sorted(grouped.items())
    )
