"""The work list for a visit to one site: what is due there, the tools, and the spare chain to take along."""

from collections.abc import Callable, Iterable, Iterator, Mapping
from datetime import date, timedelta
from decimal import Decimal

from msgspec import Struct

from fieldlog.domain.chain import ELONGATION, nominal_length
from fieldlog.domain.criteria import Verdict
from fieldlog.domain.history import open_defects
from fieldlog.domain.records import ChainSize
from fieldlog.domain.rules import InstrumentType
from fieldlog.domain.verdict import Fitness, summarise
from fieldlog.errors import InputError
from fieldlog.operations.drafting import gauge_of
from fieldlog.operations.due import ListedDue, due_row, in_time_until, is_retired
from fieldlog.operations.finding import site_named
from fieldlog.operations.instruments import instrument_state, instruments
from fieldlog.operations.shop import OpenHoist, Shop, current_size, damaged, open_hoist, summaries
from fieldlog.operations.telling import telling
from fieldlog.units import format_mm

DAYS = 30
SLACK_MM = Decimal(1000)
"""Chain beyond the working length: slack fall, links at stop and anchor (common practice, no source)."""


class VisitJob(Struct, frozen=True, kw_only=True):
    """One hoist of the visit: what is due there until the last day, its state, and open defects."""

    id: str
    name: str
    serial: str
    place: str
    fitness: Fitness
    dues: tuple[ListedDue, ...]
    overdue: bool
    defects: tuple[str, ...]
    needs_chain: bool


class ToolNeed(Struct, frozen=True, kw_only=True):
    """A gauge length that will be measured, for how many hoists, and the shop's tools that reach it."""

    size: str
    links: int
    basis: str
    length_mm: Decimal
    hoists: int
    tools: tuple[str, ...]


class ChainNeed(Struct, frozen=True, kw_only=True):
    """Spare chain of one size and grade: at least so much for those hoists, near or at their limit."""

    dn_mm: Decimal
    pn_mm: Decimal
    grade: str
    length_mm: Decimal
    hoists: tuple[str, ...]


class Visit(Struct, frozen=True, kw_only=True):
    """The whole work list.

    `distrusted` says by hoist why its record can not be trusted, of the whole shop: what is damaged may have
    told that a hoist hangs at this site now.
    """

    site: str
    day: date
    until: date
    jobs: tuple[VisitJob, ...]
    tools: tuple[ToolNeed, ...]
    chains: tuple[ChainNeed, ...]
    distrusted: Mapping[str, str] = {}


def plan_visit(
    shop: Shop,
    site: str,
    day: date,
    *,
    days: int = DAYS,
    progress: Callable[[int, int], None] | None = None,
) -> Visit:
    """What is due at the site within so many days, overdue work first; hoists out of service are in it too.

    The logbooks of the site are read; `progress` is told (done, all) after each and may raise to stop.
    InputError for no site or a time below 0 days, NotFoundError where `site_named` finds no such site.
    """
    if not site.strip() or days < 0:
        raise InputError("name the site, and a number of days that is not below 0")
    until = day + timedelta(days=days)
    every = summaries(shop)
    name = site_named(site, (summary.site for summary in every.values()))
    known = [key for key, summary in every.items() if summary.site == name and not is_retired(summary, day)]
    opened = [open_hoist(shop, key) for key in telling(known, progress)]
    jobs = [(each, job) for each in opened for job in [_job(each, day, until)] if job is not None]
    jobs.sort(
        key=lambda pair: (not pair[1].overdue, min((due.due_on for due in pair[1].dues), default=until))
    )
    return Visit(
        site=name,
        day=day,
        until=until,
        jobs=tuple(job for _, job in jobs),
        tools=_tools(shop, [each for each, _ in jobs], day),
        chains=_chains([each for each, job in jobs if job.needs_chain]),
        distrusted=damaged(shop),
    )


def _job(opened: OpenHoist, day: date, until: date) -> VisitJob | None:
    """The hoist's part of the visit; None where nothing is to be done there."""
    row = due_row(summarise(opened.history, opened.rulebook), opened.rulebook, day)
    dues = tuple(due for due in row.dues if due.due_on <= until)
    defects = tuple(
        f"{state.defect.id} {state.defect.grade}: {state.defect.what}"
        for state in open_defects(opened.history)
    )
    if not dues and not defects:
        return None
    return VisitJob(
        id=row.id,
        name=row.name,
        serial=row.serial,
        place=row.place,
        fitness=row.fitness,
        dues=dues,
        overdue=any(day > in_time_until(due, opened.rulebook) for due in dues),
        defects=defects,
        needs_chain=_needs_chain(opened),
    )


def _needs_chain(opened: OpenHoist) -> bool:
    """Whether the chain is discard, undecided, or has used so much that it is watched."""
    found = opened.history.findings.get(ELONGATION)
    if found is None:
        return False
    if found.verdict is not Verdict.KEEP:
        return True
    share = opened.rulebook.watch_share
    return found.value is not None and bool(found.limit) and found.value >= share * (found.limit or 1)


def _tools(shop: Shop, opened: Iterable[OpenHoist], day: date) -> tuple[ToolNeed, ...]:
    needs: dict[tuple[str, int, str, Decimal], int] = {}
    types: dict[str, InstrumentType] = {}
    for each in opened:
        size = current_size(each)
        links, basis = gauge_of(each)
        key = (_size(size), links, basis.value, nominal_length(size, links, basis))
        needs[key] = needs.get(key, 0) + 1
        types |= {known.id: known for known in each.rulebook.instruments}
    return tuple(
        ToolNeed(
            size=size,
            links=links,
            basis=basis,
            length_mm=length,
            hoists=count,
            tools=tuple(_reaching(shop, types, length, day)),
        )
        for (size, links, basis, length), count in sorted(needs.items(), key=lambda item: item[0][3])
    )


def _reaching(shop: Shop, types: dict[str, InstrumentType], length_mm: Decimal, day: date) -> Iterator[str]:
    """The shop's tools that reach the length, those in calibration first, with what the register says."""
    found = []
    for name, tool in instruments(shop).items():
        kind = types.get(tool.type)
        if kind is not None and kind.steps and length_mm <= kind.steps[-1].up_to_mm:
            state = instrument_state(tool, day)
            found.append((not state.startswith("in calibration"), f"{name} ({state})"))
    for _, words in sorted(found):
        yield words


def _chains(opened: Iterable[OpenHoist]) -> tuple[ChainNeed, ...]:
    lengths: dict[tuple[Decimal, Decimal, str], tuple[Decimal, tuple[str, ...]]] = {}
    for each in opened:
        size = current_size(each)
        key = (size.dn_mm, size.pn_mm, size.grade)
        length, names = lengths.get(key, (Decimal(0), ()))
        needed = each.hoist.lift_mm * each.hoist.falls + SLACK_MM
        lengths[key] = (length + needed, (*names, each.hoist.id))
    return tuple(
        ChainNeed(dn_mm=dn, pn_mm=pn, grade=grade, length_mm=length, hoists=names)
        for (dn, pn, grade), (length, names) in sorted(lengths.items())
    )


def _size(size: ChainSize) -> str:
    return f"{format_mm(size.dn_mm)} x {format_mm(size.pn_mm)}"
