"""All facts of one hoist on a day, for the screen, the command line and JSON alike."""

from datetime import date, datetime

from msgspec import Struct

from fieldlog.domain.chain import allowance_for, elongation_rule, reference_for
from fieldlog.domain.corrections import day_of_work
from fieldlog.domain.counting import counted
from fieldlog.domain.criteria import Finding
from fieldlog.domain.gauge_length import unused_for
from fieldlog.domain.logbook import ChainLife, DefectState
from fieldlog.domain.records import (
    Body,
    ChainFitted,
    Draft,
    ExpertConditions,
    Hoist,
    HoursLogged,
    Inspection,
    LabelPrinted,
    LoadTest,
    Mending,
    Notice,
    Retired,
    ReturnToService,
    SetIdle,
    Signature,
    StruckOut,
    TakenIn,
    TakenOver,
    Unknown,
    Withdrawal,
)
from fieldlog.domain.service_life import ServiceLife, life_of, share_words
from fieldlog.domain.trend import Trend
from fieldlog.domain.verdict import Standing, Summary, fitness_on, summarise
from fieldlog.operations.drafting import gauge_of, kept_drafts
from fieldlog.operations.due import DueRow, due_row
from fieldlog.operations.foreseeing import trend_on
from fieldlog.operations.shop import OpenHoist, Shop, book_for_chain, current_size, open_hoist, settings
from fieldlog.units import format_mass, format_mm


class TimelineRow(Struct, frozen=True, kw_only=True):
    """One sealed line for people: what it says in short, and whether it was struck out since."""

    number: int
    day: date
    at: datetime
    by: str
    kind: str
    says: str
    line: str
    struck: str = ""


class HoistPage(Struct, frozen=True, kw_only=True):
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
    trend: Trend | None = None
    life: ServiceLife | None = None
    notices: tuple[Notice, ...] = ()

    @property
    def trend_words(self) -> str:
        """How the chain wears, in words."""
        return "" if self.trend is None else self.trend.words

    @property
    def life_words(self) -> str:
        """The used share of the design life in words; empty where it is not known."""
        return "" if self.life is None else share_words(self.life)


def _inspection_says(body: Inspection) -> str:
    counts = f"{counted(len(body.answers), 'item')}, {counted(len(body.readings), 'reading')}"
    if body.defects:
        counts += f", {counted(len(body.defects), 'defect')}"
    return f"{body.occasion}: {counts}"


def _use_says(body: Body) -> str:
    """A record about how much the hoist runs, in one short line."""
    match body:
        case HoursLogged():
            hours = format_mm(body.hours)
            return f"counter reads {hours} h" if body.total else f"{hours} h run"
        case SetIdle():
            return f"out of use from {body.from_on.isoformat()}: {body.why}"
        case ExpertConditions():
            until = "" if body.until is None else f" until {body.until.isoformat()}"
            return f"runs on by conditions of {body.by_whom}{until}: {body.conditions}"
    return _fleet_says(body)


def _fleet_says(body: Body) -> str:
    """A record about the hoist as one of a fleet, in one short line."""
    match body:
        case TakenOver():
            return taken_over_words(body)
        case TakenIn():
            return f"taken in from {body.from_shop} with {body.lines} lines, head {body.head[:10]}"
        case Retired():
            return f"retired: {body.why}" + (f", went to {body.went_to}" if body.went_to else "")
        case Notice():
            return f"{' '.join(body.defects)} told to {body.whom}, {body.how}"
    return body.kind


def taken_over_words(body: TakenOver) -> str:
    """What older paper said, marked as such: it is no inspection by this shop."""
    parts = []
    if body.done_on is not None:
        parts.append(f"last {body.occasion or 'inspection'} {body.done_on.isoformat()}")
    if body.reading is not None and body.reading.value_mm is not None:
        parts.append(f"{body.reading.links} links {body.reading.basis} {format_mm(body.reading.value_mm)} mm")
    return f"taken over from paper ({body.source}): {', '.join(parts) or body.remark}"


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
        case Signature():
            text = f"{body.principal} signed line {body.line[:10]} with {body.key[:17]}"
        case Unknown():
            text = f"a record of a kind this fieldlog does not know: {body.name}"
        case _:
            text = _use_says(body)
    return text


def _timeline(opened: OpenHoist) -> tuple[TimelineRow, ...]:
    return tuple(
        TimelineRow(
            number=entry.number,
            day=day_of_work(entry),
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
    chain = opened.history.chain
    unused = None if chain is None else unused_for(links, chain.baseline, chain.unused)
    reference = reference_for(size, links, basis, book, unused)
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
        trend=trend_on(opened.history, opened.history.chain),
        life=life_of(opened.history, opened.rulebook),
        notices=tuple(body for _, body in opened.history.notices),
    )
