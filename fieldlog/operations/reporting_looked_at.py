"""What an inspection looked at: the checklist by section, what was not seen, and what else was measured."""

from collections.abc import Iterable, Iterator, Mapping

from fieldlog.domain.chain import DIAMETER, mean_diameter
from fieldlog.domain.counting import counted
from fieldlog.domain.criteria import Finding
from fieldlog.domain.hook import HOOK, opening_percent
from fieldlog.domain.records import Answer, AnswerKind, Hoist, Inspection
from fieldlog.domain.report_content import Block, Column, Table, Text, Words
from fieldlog.domain.rules import ChecklistItem, Rulebook
from fieldlog.domain.wire import PITCH
from fieldlog.operations.paper_units import METRIC, PaperUnits, figure_cell, figure_unit, shop_length, stacked
from fieldlog.operations.reporting_measured import section_words, seen_words
from fieldlog.operations.reporting_words import (
    percent,
    said,
    small,
    strong,
    verdict_words,
)
from fieldlog.units import format_mm

SCOPE = (Column(title="Section", share=20), Column(title="Answer", share=14), Column(title="Items", share=66))
HOOKS = (
    Column(title="Hook", share=16),
    Column(title="Throat as new", share=18, figures=True),
    Column(title="Throat now", share=16, figures=True),
    Column(title="Opened", share=12, figures=True),
    Column(title="Twist", share=12, figures=True),
    Column(title="Crack", share=12),
    Column(title="Verdict", share=14),
)
# What must not be passed over stands first.
ORDER = (AnswerKind.DEFECT, AnswerKind.NOT_SEEN, AnswerKind.OK, AnswerKind.NOT_APPLICABLE)
ELSEWHERE = "Items of another edition"


def _diameter_columns(units: PaperUnits) -> tuple[Column, ...]:
    unit = figure_unit(units)
    return (
        Column(title="Wire diameter at", share=30),
        Column(title=f"d1, {unit}", share=14, figures=True),
        Column(title=f"d2, {unit}", share=14, figures=True),
        Column(title=f"Mean, {unit}", share=14, figures=True),
        Column(title=f"Discard at, {unit}", share=16, figures=True),
        Column(title="Verdict", share=14),
    )


def _pitch_columns(units: PaperUnits) -> tuple[Column, ...]:
    unit = figure_unit(units)
    return (
        Column(title="Single link at", share=34),
        Column(title=f"Pitch, {unit}", share=17, figures=True),
        Column(title=f"Wire, {unit}", share=17, figures=True),
        Column(title=f"Discard above, {unit}", share=18, figures=True),
        Column(title="Verdict", share=14),
    )


def _item_words(answer: Answer, known: Mapping[str, ChecklistItem]) -> str:
    title = known[answer.item].title if answer.item in known else answer.item
    return f"{title} ({answer.note})" if answer.note else title


def scope_table(answers: Iterable[Answer], rulebook: Rulebook) -> Table:
    """Every item with its answer and note, by section of the checklist; answers alike share a row."""
    known = {item.id: item for item in rulebook.items}
    grouped: dict[tuple[str, AnswerKind], list[str]] = {}
    for answer in answers:
        section = known[answer.item].section if answer.item in known else ""
        grouped.setdefault((section, answer.answer), []).append(_item_words(answer, known))
    rows: list[tuple[Words, ...]] = []
    for section in (*rulebook.sections, ""):
        title = rulebook.sections.get(section, ELSEWHERE)
        for kind in ORDER:
            if (section, kind) in grouped:
                items = grouped[section, kind]
                rows.append((said(title), _answer_words(kind), said("; ".join(items))))
                title = ""
    return Table(columns=SCOPE, rows=tuple(rows))


def _answer_words(kind: AnswerKind) -> Words:
    return strong(kind.value) if kind in (AnswerKind.DEFECT, AnswerKind.NOT_SEEN) else said(kind.value)


def looked_at(body: Inspection, rulebook: Rulebook) -> tuple[Block, ...]:
    """The scope of the inspection, with what was not seen told first: it is never a pass."""
    if not body.answers:
        return (Text(words=said("No checklist was answered at this inspection.")),)
    titles = {item.id: item.title for item in rulebook.items}
    unseen = [
        titles.get(answer.item, answer.item) + (f" ({answer.note})" if answer.note else "")
        for answer in body.answers
        if answer.answer is AnswerKind.NOT_SEEN
    ]
    first = (
        strong(f"Not seen, and so not passed: {'; '.join(unseen)}.")
        if unseen
        else said("Nothing that applies to this hoist was left unseen.")
    )
    told = small(f"{counted(len(body.answers), 'item')} of the checklist for this kind of inspection.")
    return (Text(words=first), scope_table(body.answers, rulebook), told)


def _of(component: str, findings: Iterable[Finding]) -> list[Finding]:
    return [found for found in findings if found.component == component]


def _verdict_of(found: Finding | None) -> Words:
    return said("") if found is None else verdict_words(found.verdict)


def _beside(found: list[Finding], count: int) -> list[Finding | None]:
    """The findings of a component beside its readings, where there is one for each."""
    return list(found) if len(found) == count else [None] * count


def measured_tables(body: Inspection, hoist: Hoist, units: PaperUnits = METRIC) -> tuple[Block, ...]:
    """Wire diameters and hooks as measured; empty where they were not."""
    tables: list[Block] = []
    if body.diameters:
        tables.append(Table(columns=_diameter_columns(units), rows=tuple(_diameter_rows(body, "", units))))
    if body.pitches:
        tables.append(_pitches(body, units))
    if body.hooks:
        tables.append(_hooks(body, hoist, units))
    saddles = [(hook.which, section_words(hook, units)) for hook in body.hooks]
    sections = [f"{which} hook{words}" for which, words in saddles if words]
    read = seen_words(body, units)
    seen = f"Read on the hoist: {read}." if read else ""
    told = " ".join(filter(None, [*(f"Saddle: {words}." for words in sections), seen]))
    return (*tables, small(told)) if told else tuple(tables)


def _pitches(body: Inspection, units: PaperUnits) -> Table:
    findings = [found for found in body.findings if found.component == PITCH]
    found = _beside(findings, len(body.pitches))
    return Table(
        columns=_pitch_columns(units),
        rows=tuple(
            (
                said(reading.place + (f", {reading.instrument}" if reading.instrument else "")),
                said(figure_cell(reading.pitch_mm, units)),
                said(figure_cell(reading.diameter_mm, units)),
                said(figure_cell(None if finding is None else finding.limit, units)),
                _verdict_of(finding),
            )
            for reading, finding in zip(body.pitches, found, strict=True)
        ),
    )


def diameter_history(bodies: Iterable[Inspection], units: PaperUnits = METRIC) -> Table:
    """The wire diameters of several inspections, each with its day."""
    rows = [row for body in bodies for row in _diameter_rows(body, f"{body.done_on.isoformat()}, ", units)]
    return Table(columns=_diameter_columns(units), rows=tuple(rows))


def _diameter_rows(body: Inspection, before: str, units: PaperUnits) -> Iterator[tuple[Words, ...]]:
    found = _beside(_of(DIAMETER, body.findings), len(body.diameters))
    for reading, finding in zip(body.diameters, found, strict=True):
        tool = f", {reading.instrument}" if reading.instrument else ""
        yield (
            said(f"{before}{reading.place}{tool}"),
            said(figure_cell(reading.d1_mm, units)),
            said(figure_cell(reading.d2_mm, units)),
            said(figure_cell(mean_diameter(reading.d1_mm, reading.d2_mm), units)),
            said(figure_cell(None if finding is None else finding.limit, units)),
            _verdict_of(finding),
        )


def _hooks(body: Inspection, hoist: Hoist, units: PaperUnits) -> Table:
    hooks = [found for found in body.findings if found.component.endswith(HOOK)]
    found = _beside(hooks, len(body.hooks))
    # The as-new throat on the nameplate is the lower hook's.
    new = hoist.hook_throat_mm
    rows = []
    for reading, finding in zip(body.hooks, found, strict=True):
        as_new = reading.new_mm or (new if reading.which == "lower" else None)
        opened = (
            None if reading.throat_mm is None or not as_new else opening_percent(as_new, reading.throat_mm)
        )
        rows.append(
            (
                said(reading.which),
                said(stacked(shop_length(as_new, units)) or "not known"),
                said(stacked(shop_length(reading.throat_mm, units)) or "not measured"),
                said(percent(opened)),
                said(f"{format_mm(reading.twist_deg)}°"),
                strong("CRACK") if reading.crack else said("none seen"),
                _verdict_of(finding),
            )
        )
    return Table(columns=HOOKS, rows=tuple(rows))
