"""The due list on paper: by site and month, with the load of work that it means."""

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from datetime import date

from msgspec import Struct

from fieldlog.domain.counting import counted
from fieldlog.domain.due_dates import month_end
from fieldlog.domain.records import InspectionKind
from fieldlog.domain.report_content import (
    Block,
    Column,
    Facts,
    Report,
    Section,
    Statement,
    Table,
    Text,
    Words,
)
from fieldlog.domain.schedule import Due
from fieldlog.domain.verdict import Fitness, Summary, fitness_on
from fieldlog.errors import InputError
from fieldlog.operations.due import in_time_until
from fieldlog.operations.finding import at_site
from fieldlog.operations.paper_units import PaperUnits, shop_mass, units_of
from fieldlog.operations.reporting_words import (
    converted_note,
    fact,
    present,
    said,
    small,
    state_words,
    strong,
)
from fieldlog.operations.shop import Shop, damaged, need_settings, rulebook_named, summaries

ROWS = (
    Column(title="Month", share=11),
    Column(title="Latest date", share=14),
    Column(title="Inspection", share=14),
    Column(title="Hoist", share=15),
    Column(title="What it is", share=27),
    Column(title="Place", share=20),
    Column(title="State", share=19),
    Column(title="Done", share=7),
)
LOAD = (
    Column(title="Month", share=22),
    Column(title="Thorough", share=14, figures=True),
    Column(title="Frequent", share=14, figures=True),
    Column(title="Together", share=14, figures=True),
    Column(title="Hoists", share=14, figures=True),
    Column(title="Of these out of service", share=22, figures=True),
)
OVERDUE = "Overdue"
NEXT_ONLY = (
    "Counted and listed is the next inspection of each kind. A check that comes every month comes again in"
    " each month after; a thorough inspection counts as the frequent one of its month."
)


class _Job(Struct, frozen=True, kw_only=True):
    """One inspection that is due: for which hoist, until when, and whether that is past.

    `any_overdue` is of all inspections of the hoist: none of its rows may read as if all were well.
    """

    hoist: Summary
    due: Due
    latest: date
    overdue: bool
    any_overdue: bool
    fitness: Fitness

    @property
    def month(self) -> str:
        """The month in which it is due, or that it is overdue."""
        return OVERDUE if self.overdue else f"{self.due.due_on:%Y-%m}"


def due_report(shop: Shop, day: date, *, site: str = "", until: date | None = None) -> Report:
    """What is due on a day and after it, by site and month; `until` is any day of the last month listed.

    NotFoundError where `site_named` finds no such site, InputError where `until` lies before the day.
    """
    settings = need_settings(shop)
    if until is not None and month_end(until) < day:
        raise InputError(
            f"the list would end in {until:%Y-%m}, before its day {day.isoformat()}: name a later month"
        )
    known = summaries(shop)
    hoists = list(at_site(known, site).values())
    jobs = sorted(_jobs(shop, hoists, day, until), key=lambda job: (job.due.due_on, job.hoist.id))
    sites = sorted({held.site for held in hoists})
    where = sites[0] if len(sites) == 1 else "all sites"
    return Report(
        title="Inspections due",
        about=where,
        shop=settings.shop,
        shop_address=settings.address,
        subject=f"as on {day.isoformat()}" + (f", until the end of {until:%Y-%m}" if until else ""),
        author=settings.shop,
        dated=day,
        reference=f"{settings.shop}  |  due list of {day.isoformat()}",
        sections=(
            Section(
                title="The load of work",
                blocks=(
                    *_lost(shop, known),
                    *_load(jobs, hoists, day, until),
                    *converted_note(units_of(settings)),
                ),
            ),
            *(_site(name, jobs, units_of(settings)) for name in sites),
        ),
    )


def _lost(shop: Shop, known: Mapping[str, Summary]) -> tuple[Block, ...]:
    """Hoists whose records do not even tell where they hang: they stand in no table."""
    told = tuple(problem for name, problem in damaged(shop).items() if name not in known)
    return (Statement(headline="X NOT ALL HOISTS ARE LISTED", lines=told, grave=True),) if told else ()


def _jobs(shop: Shop, hoists: Iterable[Summary], day: date, until: date | None) -> list[_Job]:
    return [
        _job(shop, hoist, due, day)
        for hoist in hoists
        for due in hoist.dues
        if until is None or due.due_on <= month_end(until)
    ]


def _job(shop: Shop, hoist: Summary, due: Due, day: date) -> _Job:
    rulebook = rulebook_named(hoist.rulebook, shop)
    latest = in_time_until(due, rulebook)
    return _Job(
        hoist=hoist,
        due=due,
        latest=latest,
        overdue=day > latest,
        any_overdue=any(day > in_time_until(each, rulebook) for each in hoist.dues),
        fitness=fitness_on(hoist, day).fitness,
    )


def _by_month(jobs: Iterable[_Job]) -> Mapping[str, list[_Job]]:
    """The jobs by month, the overdue ones before all."""
    months: dict[str, list[_Job]] = {}
    for job in jobs:
        months.setdefault(job.month, []).append(job)
    return dict(sorted(months.items(), key=lambda pair: (pair[0] != OVERDUE, pair[0])))


def _load(
    jobs: Sequence[_Job], hoists: Sequence[Summary], day: date, until: date | None
) -> tuple[Block, ...]:
    late = sum(job.overdue for job in jobs)
    facts = present(
        (
            fact("As on", day.isoformat()),
            fact("Until", f"the end of {until:%Y-%m}" if until is not None else "all that is known"),
            fact("Hoists", f"{len(hoists)} at {counted(len({held.site for held in hoists}), 'site')}"),
            fact("Inspections", f"{len(jobs)}, of which {late} overdue"),
        )
    )
    if not jobs:
        return (Facts(rows=facts), Text(words=said("Nothing is due.")))
    table = Table(columns=LOAD, rows=tuple(_load_row(month, held) for month, held in _by_month(jobs).items()))
    return (Facts(rows=facts, two_columns=True), table, small(NEXT_ONLY))


def _load_row(month: str, jobs: Sequence[_Job]) -> tuple[Words, ...]:
    kinds = Counter(job.due.inspection is InspectionKind.FREQUENT for job in jobs)
    hoists = {job.hoist.id for job in jobs}
    out = {job.hoist.id for job in jobs if job.fitness is Fitness.OUT_OF_SERVICE}
    return (
        strong(month) if month == OVERDUE else said(month),
        said(str(kinds[False])),
        said(str(kinds[True])),
        said(str(len(jobs))),
        said(str(len(hoists))),
        said(str(len(out))),
    )


def _site(name: str, jobs: Sequence[_Job], units: PaperUnits) -> Section:
    """The work at one site, month by month; a month is named where it begins."""
    here = [job for job in jobs if job.hoist.site == name]
    hoists = {job.hoist.id for job in here}
    words = f"{counted(len(here), 'inspection')} of {counted(len(hoists), 'hoist')}."
    rows = tuple(
        _row(job, month if first else "", units)
        for month, held in _by_month(here).items()
        for job, first in zip(held, [True] + [False] * len(held), strict=False)
    )
    return Section(title=name, blocks=(Text(words=said(words)), Table(columns=ROWS, rows=rows, dense=True)))


def _row(job: _Job, month: str, units: PaperUnits) -> tuple[Words, ...]:
    hoist, latest = job.hoist, job.due.due_on.isoformat()
    if job.latest > job.due.due_on:
        latest += f", in time until {job.latest.isoformat()}"
    state = state_words(job.fitness, overdue=job.any_overdue)
    open_defects = f", {counted(hoist.open_defects, 'defect')} open" if hoist.open_defects else ""
    return (
        strong(month),
        Words(text=latest, strong=job.overdue),
        said(job.due.inspection.value),
        strong(hoist.id),
        said(f"{hoist.maker} {hoist.model}, {hoist.drive}, {shop_mass(hoist.capacity_kg, units)}"),
        said(hoist.place),
        Words(text=f"{state.text}{open_defects}", strong=state.strong),
        said("[   ]"),
    )
