"""The work list for a visit to one site, as a report to take along on paper."""

from collections.abc import Iterator

from fieldlog.domain.counting import counted
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
from fieldlog.domain.verdict import Fitness
from fieldlog.operations.paper_units import PaperUnits, shop_length, shop_long_length, units_of
from fieldlog.operations.reporting_words import (
    converted_note,
    fact,
    present,
    said,
    small,
    state_words,
    strong,
)
from fieldlog.operations.shop import Shop, distrusted_says, need_settings
from fieldlog.operations.visiting import ChainNeed, ToolNeed, Visit, VisitJob
from fieldlog.units import format_mm

WORK = (
    Column(title="Done", share=7),
    Column(title="Hoist", share=16),
    Column(title="Place, what it is", share=30),
    Column(title="To do", share=42),
    Column(title="State", share=20),
)
TOOLS = (
    Column(title="Length as new", share=24),
    Column(title="Over", share=20),
    Column(title="Chain", share=16),
    Column(title="Hoists", share=10, figures=True),
    Column(title="Tools of the shop that reach it", share=46),
)
CHAINS = (
    Column(title="Chain dn x pn", share=20),
    Column(title="Grade", share=16),
    Column(title="At least", share=18),
    Column(title="For", share=60),
)
NO_TOOL = "no tool of the shop reaches it"
LENGTHS = "Enough for the whole lift in every fall and 1 m over; the maker's book governs."


def work_list_report(shop: Shop, visit: Visit) -> Report:
    """What is to be done at the site, which tools to take, and how much spare chain."""
    settings = need_settings(shop)
    units = units_of(settings)
    return Report(
        title="Work list",
        about=visit.site,
        shop=settings.shop,
        shop_address=settings.address,
        subject=f"due until {visit.until.isoformat()}, as on {visit.day.isoformat()}",
        author=settings.shop,
        dated=visit.day,
        reference=f"{settings.shop}  |  work list {visit.site}, {visit.day.isoformat()}",
        sections=(
            Section(title="Hoists", blocks=(_facts(visit), *_distrusted(visit), *_work(visit))),
            Section(title="Tools to take", blocks=_tools(visit, units)),
            Section(title="Spare chain to take", blocks=(*_chains(visit, units), *converted_note(units))),
        ),
    )


def _facts(visit: Visit) -> Facts:
    late = sum(job.overdue for job in visit.jobs)
    out = sum(job.fitness is Fitness.OUT_OF_SERVICE for job in visit.jobs)
    told = f"{len(visit.jobs)}, of which {late} overdue and {out} out of service"
    return Facts(rows=present((fact("Site", visit.site), fact("Hoists", told))), two_columns=True)


def _distrusted(visit: Visit) -> tuple[Block, ...]:
    lines = tuple(distrusted_says(*held) for held in visit.distrusted.items())
    return (Statement(headline="X NOT ALL RECORDS CAN BE TRUSTED", lines=lines, grave=True),) if lines else ()


def _work(visit: Visit) -> tuple[Block, ...]:
    if not visit.jobs:
        return (Text(words=said("Nothing is due there, and no defect is open.")),)
    return (Table(columns=WORK, rows=tuple(_job(job) for job in visit.jobs)),)


def _job(job: VisitJob) -> tuple[Words, ...]:
    what = (
        f"{job.place}\n{job.name}, serial {job.serial}" if job.place else f"{job.name}, serial {job.serial}"
    )
    return (
        said("[   ]"),
        strong(job.id),
        said(what),
        Words(text="\n".join(_to_do(job)), strong=job.overdue),
        state_words(job.fitness, overdue=job.overdue),
    )


def _to_do(job: VisitJob) -> Iterator[str]:
    if job.overdue:
        yield "OVERDUE"
    dues = sorted(job.dues, key=lambda due: due.due_on)
    yield from (f"{due.due_on.isoformat()} {due.inspection}" for due in dues)
    yield from job.defects
    if job.needs_chain:
        yield "take spare chain along"


def _tools(visit: Visit, units: PaperUnits) -> tuple[Block, ...]:
    if not visit.tools:
        return (Text(words=said("None: nothing is measured there.")),)
    return (Table(columns=TOOLS, rows=tuple(_tool(need, units) for need in visit.tools)),)


def _tool(need: ToolNeed, units: PaperUnits) -> tuple[Words, ...]:
    return (
        said(shop_length(need.length_mm, units)),
        said(f"{counted(need.links, 'link')}, {need.basis}"),
        said(f"{need.size} mm"),
        said(str(need.hoists)),
        said("\n".join(need.tools)) if need.tools else strong(NO_TOOL),
    )


def _chains(visit: Visit, units: PaperUnits) -> tuple[Block, ...]:
    if not visit.chains:
        return (Text(words=said("None: no chain there is near or at its limit.")),)
    rows = tuple(_chain(need, units) for need in visit.chains)
    return (Table(columns=CHAINS, rows=rows), small(LENGTHS))


def _chain(need: ChainNeed, units: PaperUnits) -> tuple[Words, ...]:
    return (
        said(f"{format_mm(need.dn_mm)} x {format_mm(need.pn_mm)} mm"),
        said(need.grade) if need.grade else strong("not known"),
        said(shop_long_length(need.length_mm, units, "m")),
        said(", ".join(need.hoists)),
    )
