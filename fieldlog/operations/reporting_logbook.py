"""A hoist's whole logbook on paper: every line, those struck out too, with its seal."""

from fieldlog.domain.corrections import day_of_work
from fieldlog.domain.counting import counted
from fieldlog.domain.records import Entry, Inspection
from fieldlog.domain.report_content import Block, Facts, Report, Section, Statement
from fieldlog.domain.verdict import fitness_on, summarise
from fieldlog.operations.paper_units import PaperUnits, units_of
from fieldlog.operations.reporting_lines import line_facts
from fieldlog.operations.reporting_words import (
    A_PERSON_DECIDES,
    FITNESS_WORDS,
    fact,
    hoist_blocks,
    moment,
    reference_of,
    small,
)
from fieldlog.operations.shop import OpenHoist, Shop, need_settings, open_hoist

CHECK_BY_HAND = (
    "Below each line stands the SHA-256 of its exact bytes. 'sed -n 3p FILE | sha256sum' gives that of line"
    " 3; line 4 names it, and so on to the head, whose first ten digits stand at the foot of every page."
)


def logbook_report(shop: Shop, hoist_id: str) -> Report:
    """Everything in the hoist's logbook, in the order in which it was sealed.

    NotFoundError for a hoist that is not there; DamagedError where not even its registration can be read.
    """
    settings, opened = need_settings(shop), open_hoist(shop, hoist_id)
    last, units = opened.history.entries[-1], units_of(settings)
    lines = counted(len(opened.history.entries), "line")
    return Report(
        title="Logbook",
        about=hoist_id,
        shop=settings.shop,
        shop_address=settings.address,
        subject=f"{opened.hoist.maker} {opened.hoist.model}: all of it, {lines}",
        author=settings.shop,
        dated=last.at.date(),
        reference=reference_of(opened, settings, last),
        sections=(
            Section(title="The hoist", blocks=hoist_blocks(opened, units)),
            Section(title="As it stands", blocks=_standing(opened)),
            Section(title="Every line", blocks=(small(CHECK_BY_HAND),)),
            *(_line(entry, opened, units) for entry in opened.history.entries),
        ),
    )


def _standing(opened: OpenHoist) -> tuple[Block, ...]:
    """The state at the last day of work in the logbook: no other day is known here."""
    history = opened.history
    day = max(day_of_work(entry) for entry in history.entries)
    standing = fitness_on(summarise(history, opened.rulebook), day)
    last = history.entries[-1]
    state = Statement(
        headline=f"{FITNESS_WORDS[standing.fitness]} ON {day.isoformat()}", lines=standing.reasons
    )
    facts = (
        fact("Lines", str(len(history.entries))),
        fact("First sealed", f"{moment(history.entries[0].at)} by {history.entries[0].by}"),
        fact("Last sealed", f"{moment(last.at)} by {last.by}"),
        fact("Head of the logbook", last.line),
    )
    return (state, Facts(rows=facts), small(A_PERSON_DECIDES))


def _line(entry: Entry, opened: OpenHoist, units: PaperUnits) -> Section:
    why = opened.history.struck.get(entry.line, "")
    blocks: list[Block] = []
    if why:
        blocks.append(
            Statement(headline="STRUCK OUT", lines=(f"This line does not hold: {why}",), grave=True)
        )
    blocks.append(Facts(rows=line_facts(entry, opened.rulebook, units, opened.history.notices)))
    blocks.append(small(f"Sealed {moment(entry.at)} by {entry.by}. {entry.line}"))
    return Section(title=_title(entry), blocks=tuple(blocks), level=1)


def _title(entry: Entry) -> str:
    body = entry.body
    kind = f"inspection ({body.occasion})" if isinstance(body, Inspection) else body.kind
    return f"Line {entry.number}: {day_of_work(entry).isoformat()}, {kind}"
