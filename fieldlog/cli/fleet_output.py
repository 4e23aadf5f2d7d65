"""Work list and figures as lines for people, at most 80 columns where the names allow."""

from collections.abc import Iterator

from fieldlog.cli.output import damage_lines
from fieldlog.domain.counting import counted
from fieldlog.operations.figures import ShopFigures
from fieldlog.operations.visiting import Visit, VisitJob
from fieldlog.units import format_length, format_mm

BAR = 30


def visit_lines(visit: Visit) -> list[str]:
    """The work list, to be taken along on paper."""
    head = f"Work list for {visit.site}, {visit.day.isoformat()} to {visit.until.isoformat()}"
    told = damage_lines(visit.distrusted)
    if not visit.jobs:
        return [head, "nothing is due there and no defect is open", *told]
    lines = [head, counted(len(visit.jobs), "hoist"), *told, ""]
    for job in visit.jobs:
        lines += [*_job_lines(job), ""]
    lines += ["Tools: chain lengths as new to be measured"]
    for tool in visit.tools:
        length = f"{format_mm(tool.length_mm)} mm over {tool.links} links {tool.basis}"
        lines.append(f"  chain {tool.size}: {length}, {counted(tool.hoists, 'hoist')}")
        lines += [f"    {name}" for name in tool.tools] or ["    no tool of the shop reaches that"]
    lines += ["", "Spare chain, for chains near or at their limit:"]
    lines += [
        f"  {format_mm(need.dn_mm)} x {format_mm(need.pn_mm)} {need.grade or 'grade not known'}:"
        f" {format_length(need.length_mm, 'm')} for {', '.join(need.hoists)}"
        for need in visit.chains
    ] or ["  none"]
    return lines


def _job_lines(job: VisitJob) -> Iterator[str]:
    mark = "!" if job.overdue else " "
    yield f"[ ]{mark}{job.id}  {job.place or '-'}  {job.name}, serial {job.serial}: {job.fitness}"
    for due in job.dues:
        yield f"      {due.due_on.isoformat()} {due.inspection}"
    for defect in job.defects:
        yield f"      {defect}"
    if job.needs_chain:
        yield "      take spare chain along"


def figure_lines(figures: ShopFigures) -> list[str]:
    """The figures, with a bar for each month."""
    lines = [
        f"{figures.hoists} hoists on {figures.day.isoformat()}: {figures.out_of_service} out of service,"
        f" {figures.overdue} overdue",
        "due by month:",
    ]
    most = max((month.inspections for month in figures.load), default=0)
    for month in figures.load:
        bar = "#" * (BAR * month.inspections // most if most else 0)
        lines.append(f"  {month.month} {month.inspections:>5} {bar}".rstrip())
    lines.append(f"  later   {figures.later:>5}")
    lines.append("most worn chains, of the allowed growth:")
    lines += [
        f"  {format_mm(chain.used_pct):>6} %  {chain.id:<12} {chain.size}  {chain.site}"
        + (f", {chain.place}" if chain.place else "")
        for chain in figures.worn
    ] or ["  none measured yet"]
    if figures.undecided_pct is not None:
        lines.append(
            f"undecided: {figures.undecided} of {figures.readings} lengths judged"
            f" ({format_mm(figures.undecided_pct)} %)"
        )
    lines.append("chain lives until replaced:")
    lines += [
        f"  {life.size} {life.service}: {life.mean_days} days, mean of {life.lives}"
        + (f", {life.from_registration} at least so long" if life.from_registration else "")
        for life in figures.chain_lives
    ] or ["  none replaced yet"]
    lines += [f"not read: {name}" for name in figures.skipped]
    return lines
