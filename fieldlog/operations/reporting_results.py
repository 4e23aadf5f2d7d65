"""Tables of the inspection report: findings, next due dates, load tests, and what the rulebook asks."""

from decimal import Decimal

from fieldlog.domain.criteria import Certainty, Finding, governing
from fieldlog.domain.functions import item_of
from fieldlog.domain.paper_rules import Particular
from fieldlog.domain.records import InspectionKind
from fieldlog.domain.report_content import Block, Column, Table, Text, Words
from fieldlog.operations import reporting_particulars as asks
from fieldlog.operations.due import in_time_until
from fieldlog.operations.paper_units import PaperUnits, shop_length, shop_mass, stacked
from fieldlog.operations.reporting_fitness import hindrances
from fieldlog.operations.reporting_visit import Visit
from fieldlog.operations.reporting_words import (
    BOOK_GOVERNS,
    recorded,
    said,
    small,
    strong,
    verdict_words,
)
from fieldlog.units import format_mm

INDEX_COLUMNS = (
    Column(title="Asked for", share=40),
    Column(title="Stands under", share=17),
    Column(title="State", share=14),
    Column(title="Source", share=29),
)
FINDING_COLUMNS = (
    Column(title="Component", share=15),
    Column(title="Verdict", share=12),
    Column(title="Value", share=12, figures=True),
    Column(title="Limit", share=12, figures=True),
    Column(title="Left", share=12, figures=True),
    Column(title="Why, by which rule and source", share=37),
)
FUNCTION_COLUMNS = (
    Column(title="Function", share=25),
    Column(title="Verdict", share=11),
    Column(title="What it did", share=24),
    Column(title="Source", share=40),
)
DUE_COLUMNS = (
    Column(title="Inspection", share=14),
    Column(title="Latest date", share=13),
    Column(title="Counted", share=35),
    Column(title="Source", share=38),
)
TEST_COLUMNS = (
    Column(title="Load test", share=16),
    Column(title="Required", share=14, figures=True),
    Column(title="Reached", share=14, figures=True),
    Column(title="Result", share=14),
    Column(title="Remark, and who tested", share=42),
)


def _figure(value: Decimal | None, unit: str, units: PaperUnits) -> str:
    if value is None:
        return ""
    converted = {"mm": shop_length, "kg": shop_mass}.get(unit)
    return f"{format_mm(value)} {unit}".strip() if converted is None else stacked(converted(value, units))


def _finding_row(found: Finding, units: PaperUnits) -> tuple[Words, ...]:
    sure = "" if found.certainty is not Certainty.PUBLISHED else " (published)"
    return (
        said(found.component),
        verdict_words(found.verdict),
        said(_figure(found.value, found.unit, units)),
        said(_figure(found.limit, found.unit, units)),
        said(_figure(found.margin, found.unit, units)),
        said(f"{found.why}. Rule {found.criterion}: {found.source}{sure}"),
    )


def _worked_out(found: Finding) -> str:
    """The arithmetic behind a verdict, so that it can be done again by hand."""
    return f"Worked out, {found.component}: {'; '.join(found.steps)}."


def _function_row(found: Finding) -> tuple[Words, ...]:
    return said(found.component), verdict_words(found.verdict), said(found.why), said(found.source)


def finding_blocks(visit: Visit) -> tuple[Block, ...]:
    """The finding that governs each component, with value, limit, margin, rule and source."""
    found = governing(visit.body.findings).values()
    rows = tuple(_finding_row(finding, visit.units) for finding in found if not item_of(finding))
    tried = tuple(_function_row(finding) for finding in found if item_of(finding))
    if not rows and not tried:
        return (Text(words=said("Nothing was measured; what was seen stands under 'What was looked at'.")),)
    edition = f"Judged by rulebook {visit.body.rulebook}, edition {visit.body.edition}."
    return (
        Table(columns=FINDING_COLUMNS, rows=rows),
        small(f"The worst reading of each component. {edition} {BOOK_GOVERNS}"),
        small("\n".join(_worked_out(finding) for finding in found if not item_of(finding) and finding.steps)),
        Table(columns=FUNCTION_COLUMNS, rows=tried, dense=True),
    )


def next_due_blocks(visit: Visit) -> tuple[Block, ...]:
    """When each kind of inspection is due next, from what it is counted and by which source."""
    if visit.struck:
        return (Text(words=said("No date follows from a record that was struck out.")),)
    rulebook = visit.opened.rulebook
    rows = []
    thorough_first = sorted(visit.summary.dues, key=lambda due: due.inspection is InspectionKind.FREQUENT)
    for due in thorough_first:
        latest = in_time_until(due, rulebook)
        grace = f"; by that rule in time until {latest.isoformat()}" if latest > due.due_on else ""
        rows.append(
            (
                said(due.inspection.value),
                strong(due.due_on.isoformat()),
                said(f"{due.rule}{grace}"),
                said(due.source),
            )
        )
    if not rows:
        return (Text(words=recorded("")),)
    return (Table(columns=DUE_COLUMNS, rows=tuple(rows), dense=True),)


def test_blocks(visit: Visit) -> tuple[Block, ...]:
    """The load tests since the inspection before, with the loads required and reached."""
    if not visit.tests:
        return (Text(words=said("No load test was recorded with this inspection.")),)
    rows = tuple(
        (
            said(test.done_on.isoformat()),
            said(stacked(shop_mass(test.required_kg, visit.units))),
            said(stacked(shop_mass(test.reached_kg, visit.units))),
            said("passed") if test.passed else strong("NOT PASSED"),
            said(f"{test.remark + '; ' if test.remark else ''}tested by {entry.by}, line {entry.number}"),
        )
        for entry, test in visit.tests
    )
    return (Table(columns=TEST_COLUMNS, rows=rows),)


IF_SO = ("safe-to-use", "installed-correctly")
"""Particulars that are left out where they are not so."""


def _index_row(particular: Particular, visit: Visit) -> tuple[Words, ...]:
    lacks = asks.lacks_of(particular, visit)
    place = asks.PLACES.get(particular.field)
    state = said("given")
    if lacks:
        state = Words(text="not all recorded", missing=True)
    elif particular.field in IF_SO and hindrances(visit):
        state = said("left out: not so")
    source = particular.source
    where = ", ".join(part for part in (source.edition or source.title, source.clause) if part)
    sure = "" if source.certainty is Certainty.PUBLISHED else f" ({source.certainty})"
    return said(particular.says), said(place.section if place else ""), state, said(f"{where}{sure}")


def index_blocks(visit: Visit) -> tuple[Block, ...]:
    """Every particular that the rulebook asks of this report, where it stands, and whether it is there."""
    rows = tuple(_index_row(held, visit) for held in asks.asked(visit))
    return (Table(columns=INDEX_COLUMNS, rows=rows, dense=True),)
