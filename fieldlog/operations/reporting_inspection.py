"""The report of one inspection: what the hoist's rulebook asks for, and all that was found."""

from collections.abc import Mapping

from fieldlog.domain.records import Inspection, InspectionKind
from fieldlog.domain.report_content import Block, Fact, Facts, Report, Section, Statement, Text, Words
from fieldlog.domain.retention import BETWEEN
from fieldlog.domain.schedule import interval_for
from fieldlog.domain.service_life import life_conditions, life_of, share_words
from fieldlog.domain.verdict import Fitness
from fieldlog.errors import Problem
from fieldlog.operations import reporting_particulars as asks
from fieldlog.operations.reporting_chain import reading_blocks, wear_plot
from fieldlog.operations.reporting_defects import defect_table, is_uk, rechecks
from fieldlog.operations.reporting_fitness import NOT_SAID, hindrances, positive_statement
from fieldlog.operations.reporting_looked_at import looked_at, measured_tables
from fieldlog.operations.reporting_results import (
    finding_blocks,
    index_blocks,
    next_due_blocks,
    test_blocks,
)
from fieldlog.operations.reporting_seal import seal_blocks
from fieldlog.operations.reporting_visit import FIRST_HERE, Visit, last_thorough, read_visit
from fieldlog.operations.reporting_words import (
    A_PERSON_DECIDES,
    FITNESS_WORDS,
    converted_note,
    fact,
    hoist_facts,
    present,
    recorded,
    reference_of,
    said,
    small,
    strong,
)
from fieldlog.operations.shop import Shop

Lacks = Mapping[str, Problem]
CHAIN = "Load chain"
ASKED = "What the rulebook asks, and where it stands"


def inspection_report(shop: Shop, hoist_id: str, line: int | None = None) -> Report:
    """The report of the inspection in that line of the logbook, or of the latest one.

    NotFoundError where there is none, InputError for a line that holds no inspection.
    """
    visit = read_visit(shop, hoist_id, line)
    lacks = asks.lacking(visit)
    day = visit.body.done_on
    return Report(
        title=_title(visit),
        about=visit.hoist.id,
        shop=visit.settings.shop,
        shop_address=visit.settings.address,
        subject=f"{_hoist_name(visit)}: {visit.body.occasion}, {day.isoformat()}",
        author=visit.entry.by,
        dated=visit.entry.at.date(),
        reference=reference_of(visit.opened, visit.settings, visit.entry),
        sections=_sections(visit, lacks),
        missing=tuple(lacks.values()),
    )


def _hoist_name(visit: Visit) -> str:
    return f"{visit.hoist.maker} {visit.hoist.model}"


def _title(visit: Visit) -> str:
    thorough = is_uk(visit.opened.rulebook) and visit.body.occasion not in BETWEEN
    return "Report of thorough examination" if thorough else "Inspection report"


def _sections(visit: Visit, lacks: Lacks) -> tuple[Section, ...]:
    return (
        Section(title=asks.RESULT, blocks=_result(visit)),
        Section(title=asks.FOR_WHOM, blocks=(Facts(rows=_for_whom(visit, lacks)),)),
        Section(
            title=asks.THE_HOIST,
            blocks=(
                Facts(rows=_the_hoist(visit, lacks), two_columns=True),
                *converted_note(visit.units),
            ),
        ),
        Section(title=asks.THIS_INSPECTION, blocks=(Facts(rows=_this_inspection(visit, lacks)),)),
        Section(title=asks.NEXT_DUE, blocks=next_due_blocks(visit)),
        Section(title=asks.DEFECTS, blocks=_defects(visit, lacks)),
        Section(title=asks.FINDINGS, blocks=finding_blocks(visit)),
        Section(title=CHAIN, blocks=_chain(visit)),
        Section(title=asks.TESTS, blocks=test_blocks(visit)),
        Section(title=asks.LOOKED_AT, blocks=looked_at(visit.body, visit.opened.rulebook)),
        Section(title=asks.SIGNATURES, blocks=seal_blocks(visit, lacks)),
        Section(title=ASKED, blocks=index_blocks(visit)),
    )


def _result(visit: Visit) -> tuple[Block, ...]:
    """Fitness, the positive statement where it is true and only there, and what must be looked at again."""
    if visit.struck:
        return (Statement(headline="STRUCK OUT", lines=_struck_lines(visit), grave=True),)
    safe = positive_statement(visit)
    statement = Statement(
        headline=FITNESS_WORDS[visit.standing.fitness],
        lines=hindrances(visit) or visit.standing.reasons,
        grave=visit.standing.fitness is Fitness.OUT_OF_SERVICE,
    )
    return (
        statement,
        Text(words=strong(safe) if safe else said(NOT_SAID)),
        Text(words=said(" ".join(rechecks(visit)))),
        small(A_PERSON_DECIDES),
    )


def _struck_lines(visit: Visit) -> tuple[str, ...]:
    return (
        f"This record does not hold: {visit.struck}",
        "Nothing is stated here on the use of the hoist; see the logbook for what stands in its place.",
    )


def _or_missing(label: str, text: str, key: str, lacks: Lacks) -> Fact | None:
    """A particular: as recorded, marked as missing where the rulebook asks for it, else left out."""
    if text:
        return fact(label, text)
    return Fact(label=label, words=recorded("")) if key in lacks else None


def _for_whom(visit: Visit, lacks: Lacks) -> tuple[Fact, ...]:
    site, hoist = visit.site, visit.hoist
    return present(
        (
            _or_missing("Owner or employer", "" if site is None else site.owner, "owner", lacks),
            _or_missing(
                "Owner's address", "" if site is None else site.owner_address, "owner-address", lacks
            ),
            _or_missing("Address of the premises", "" if site is None else site.address, "premises", lacks),
            fact("Place", f"{hoist.site}, {hoist.place}" if hoist.place else hoist.site),
        )
    )


def _the_hoist(visit: Visit, lacks: Lacks) -> tuple[Fact, ...]:
    keys = {"Year made": "year", "Group of mechanism": "group"}
    facts = [
        _or_missing(held.label, held.words.text, keys.get(held.label, ""), lacks)
        if not held.words.text
        else held
        for held in hoist_facts(visit.opened, visit.units)
        if held is not None
    ]
    if visit.hoist.year is None and "year" not in lacks:
        facts.append(fact("Year made", "not known"))
    if "grade" in lacks:
        facts.append(_or_missing("Chain grade", "", "grade", lacks))
    facts.append(_life(visit, lacks))
    return present(facts)


def _life(visit: Visit, lacks: Lacks) -> Fact | None:
    life = life_of(visit.opened.history, visit.opened.rulebook)
    if life is not None:
        conditions = life_conditions(visit.opened.history, visit.opened.rulebook)
        return fact("Used design life", "; ".join([share_words(life), *conditions]))
    if "used-life" not in lacks:
        return None
    notes = [answer.note for answer in visit.body.answers if answer.item == asks.LIFE_SHARE and answer.note]
    told = f"not recorded ({notes[0]})" if notes else "not recorded"
    return Fact(label="Used design life", words=Words(text=told, missing=True))


def _this_inspection(visit: Visit, lacks: Lacks) -> tuple[Fact, ...]:
    body, rulebook = visit.body, visit.opened.rulebook
    return present(
        (
            Fact(label="Kind and occasion", words=strong(body.occasion.value)),
            _first_here(visit),
            _basis(visit, lacks),
            Fact(label="Date of the inspection", words=strong(body.done_on.isoformat())),
            fact("Date of this report", visit.entry.at.date().isoformat()),
            *_before(visit, lacks),
            fact("Judged by", f"{rulebook.title}; edition {body.edition}"),
            fact("Remark", body.remark),
        )
    )


def _first_here(visit: Visit) -> Fact | None:
    says = {
        InspectionKind.FIRST_USE: "the first examination after installation, before first use",
        InspectionKind.AFTER_MOVE: "the first examination after assembly at a new place",
    }
    text = says.get(visit.body.occasion)
    return None if text is None else fact("First here", f"It is {text}.")


def _basis(visit: Visit, lacks: Lacks) -> Fact | None:
    """The case of LOLER Schedule 1, 7(a), where the rulebook asks for it."""
    if not is_uk(visit.opened.rulebook) or visit.body.occasion in FIRST_HERE:
        return None
    if "basis" in lacks:
        return Fact(label="Basis", words=recorded(""))
    if visit.body.occasion is InspectionKind.AFTER_EVENT:
        return fact("Basis", "after exceptional circumstances")
    if visit.body.occasion in BETWEEN:
        return fact("Basis", "an inspection between thorough examinations; none of their four cases")
    interval = interval_for(visit.hoist, InspectionKind.PERIODIC, visit.opened.rulebook)
    if interval is None:
        return Fact(label="Basis", words=recorded(""))
    span = f"{interval.days} days" if interval.months is None else f"{interval.months} months"
    return fact("Basis", f"within an interval of {span}")


def _before(visit: Visit, lacks: Lacks) -> tuple[Fact | None, ...]:
    thorough = last_thorough(visit)
    latest = visit.earlier[-1] if visit.earlier else None
    none = "none: this is the first" if visit.body.occasion is InspectionKind.FIRST_USE else ""
    return (
        _or_missing("Last thorough inspection", _told(thorough) or none, "last-examined", lacks),
        fact("Last inspection of any kind", "" if latest == thorough else _told(latest)),
    )


def _told(body: Inspection | None) -> str:
    return "" if body is None else f"{body.done_on.isoformat()} ({body.occasion})"


def _defects(visit: Visit, lacks: Lacks) -> tuple[Block, ...]:
    if not visit.defects:
        return (Text(words=said("No defect was found, and none from earlier is open.")),)
    table = defect_table(
        visit.defects, visit.opened.history, visit.opened.rulebook, dict(lacks), visit.notices
    )
    blocks: list[Block] = [table]
    if any(state.mended_on is not None for state in visit.defects):
        blocks.append(small("What was mended on the visit stays in this report."))
    if is_uk(visit.opened.rulebook) and any(state.defect.serious for state in visit.defects):
        copy = (
            "Risk of serious personal injury: a copy of this report goes to the enforcing authority as soon"
            " as is practicable, also where the defect was mended at once (LOLER reg. 10(1)(c))."
        )
        blocks.append(Text(words=strong(copy)))
    return tuple(blocks)


def _chain(visit: Visit) -> tuple[Block, ...]:
    blocks: list[Block] = [
        *reading_blocks(visit.body, visit.opened, visit.units),
        *measured_tables(visit.body, visit.hoist, visit.units),
    ]
    chain = visit.opened.history.chain
    plot = None if chain is None else wear_plot(chain.wear, visit.opened.rulebook.watch_share)
    return (*blocks, plot) if plot is not None else tuple(blocks)
