"""All facts of one hoist on a day, for the screen, the command line and JSON alike."""

from dataclasses import dataclass
from datetime import date, datetime

from fieldlog.domain.chain import allowance_for, elongation_rule, reference_for
from fieldlog.domain.criteria import Finding
from fieldlog.domain.logbook import ChainLife, DefectState
from fieldlog.domain.records import (
    Body,
    ChainFitted,
    Draft,
    Entry,
    Hoist,
    Inspection,
    LabelPrinted,
    LoadTest,
    Mending,
    ReturnToService,
    StruckOut,
    Unknown,
    Withdrawal,
)
from fieldlog.domain.verdict import Standing, Summary, fitness_on, summarise
from fieldlog.operations.drafting import gauge_of, kept_drafts
from fieldlog.operations.due import DueRow, due_row
from fieldlog.operations.shop import OpenHoist, Shop, book_for_chain, current_size, open_hoist, settings
from fieldlog.units import format_mass, format_mm


@dataclass(frozen=True, slots=True, kw_only=True)
class TimelineRow:
    """One sealed line for people: what it says in short, and whether it was struck out since."""

    number: int
    day: date
    at: datetime
    by: str
    kind: str
    says: str
    line: str
    struck: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class HoistPage:
    """A hoist on a day."""

    hoist: Hoist
    summary: Summary
    standing: Standing
    row: DueRow
    chain: ChainLife | None
    chain_rule: str
    findings: tuple[Finding, ...]
    defects: tuple[DefectState, ...]
    timeline: tuple[TimelineRow, ...]
    drafts: tuple[Draft, ...]
    head: str
    problem: str


def _inspection_says(body: Inspection) -> str:
    counts = f"{len(body.answers)} items, {len(body.readings)} readings"
    if body.defects:
        counts += f", {len(body.defects)} defect{'s' if len(body.defects) > 1 else ''}"
    return f"{body.occasion}: {counts}"


def says(body: Body) -> str:
    """A record in one short line."""
    match body:
        case Hoist():
            text = f"registered: {body.maker} {body.model}, {format_mass(body.capacity_kg)}, {body.site}"
        case Inspection():
            text = _inspection_says(body)
        case Withdrawal():
            text = f"withdrawn: {body.reason}"
        case ReturnToService():
            text = "returned to service"
        case Mending():
            text = f"mended {' '.join(body.defects)}: {body.work}"
        case ChainFitted():
            size = f"{format_mm(body.chain.dn_mm)} x {format_mm(body.chain.pn_mm)}"
            text = f"chain {size} fitted, certificate {body.certificate}"
        case LoadTest():
            result = "passed" if body.passed else "not passed"
            text = f"load test with {format_mass(body.reached_kg)}: {result}"
        case LabelPrinted():
            text = f"{body.label} printed: {body.says}"
        case StruckOut():
            text = f"strikes out {body.line[:10]}: {body.why}"
        case Unknown():
            text = f"a record of a kind this fieldlog does not know: {body.name}"
        case _:
            text = body.kind
    return text


def _day_of(entry: Entry) -> date:
    """The day of the work; for records that know none the day of sealing."""
    if isinstance(entry.body, Hoist):
        return entry.body.registered_on
    return getattr(entry.body, "done_on", None) or entry.at.date()


def _timeline(opened: OpenHoist) -> tuple[TimelineRow, ...]:
    return tuple(
        TimelineRow(
            number=entry.number,
            day=_day_of(entry),
            at=entry.at,
            by=entry.by,
            kind=entry.body.kind,
            says=says(entry.body),
            line=entry.line,
            struck=opened.history.struck.get(entry.line, ""),
        )
        for entry in opened.history.entries
    )


def chain_rule(opened: OpenHoist, *, stricter_rule_governs: bool = False) -> str:
    """The chain's reference and limit in one line, with the source; judged as an inspection would."""
    size, book = current_size(opened), book_for_chain(opened)
    links, basis = gauge_of(opened)
    baseline = None if opened.history.chain is None else opened.history.chain.baseline
    reference = reference_for(size, links, basis, book, baseline)
    allowed = allowance_for(
        size,
        reference,
        elongation_rule(opened.rulebook, opened.hoist.drive),
        book,
        stricter_rule_governs=stricter_rule_governs,
    )
    limit = format_mm(reference.length_mm + allowed.growth_mm)
    return (
        f"{links} links {basis}: {format_mm(reference.length_mm)} mm ({reference.origin}),"
        f" discard at {limit} mm ({allowed.rule}; {allowed.source})"
    )


def hoist_page(shop: Shop, hoist_id: str, day: date) -> HoistPage:
    """Everything about one hoist on a day; its whole logbook is checked on the way."""
    opened = open_hoist(shop, hoist_id)
    held = settings(shop)
    summary = summarise(opened.history, opened.rulebook)
    return HoistPage(
        hoist=opened.hoist,
        summary=summary,
        standing=fitness_on(summary, day),
        row=due_row(summary, opened.rulebook, day),
        chain=opened.history.chain,
        chain_rule=chain_rule(opened, stricter_rule_governs=held is not None and held.stricter_rule_governs),
        findings=tuple(opened.history.findings.values()),
        defects=opened.history.defects,
        timeline=_timeline(opened),
        drafts=tuple(kept_drafts(shop, about=hoist_id)),
        head=opened.head,
        problem=" ".join(filter(None, [opened.problem, *map(str, opened.history.problems)])),
    )
