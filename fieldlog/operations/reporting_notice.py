"""The notice of defects to the owner: what is wrong, what it means for use, what is to be done."""

from datetime import date

from fieldlog.domain.counting import counted
from fieldlog.domain.history import DefectState
from fieldlog.domain.records import DefectGrade, Entry
from fieldlog.domain.report_content import (
    Block,
    Fact,
    Facts,
    Report,
    Section,
    SignatureLine,
    Signatures,
    Statement,
    Text,
)
from fieldlog.errors import NotFoundError, Problem
from fieldlog.operations.paper_units import PaperUnits, units_of
from fieldlog.operations.reporting_defects import defect_table, is_uk
from fieldlog.operations.reporting_fleet import told_words
from fieldlog.operations.reporting_visit import site_of
from fieldlog.operations.reporting_words import (
    A_PERSON_DECIDES,
    converted_note,
    fact,
    falls_words,
    moment,
    present,
    recorded,
    reference_of,
    short,
    small,
    strong,
)
from fieldlog.operations.shop import OpenHoist, Shop, need_settings, open_hoist

STOP = "X DO NOT USE"
AUTHORITY = (
    "There is an existing or imminent risk of serious personal injury. A copy of the report goes to the"
    " enforcing authority as soon as is practicable, also where the defect is mended at once"
    " (LOLER reg. 10(1)(c))."
)


def notice_report(shop: Shop, hoist_id: str, defect: str = "") -> Report:
    """The notice of one defect, or of all that are open.

    NotFoundError where the hoist has no such defect, or none that is open.
    """
    settings, opened = need_settings(shop), open_hoist(shop, hoist_id)
    states = _chosen(opened, defect)
    entries = _sealed_in(opened, states)
    lacks = _lacks(shop, opened, states)
    last = opened.history.entries[-1]
    return Report(
        title="Notice of defects",
        about=hoist_id,
        shop=settings.shop,
        shop_address=settings.address,
        subject=f"{opened.hoist.maker} {opened.hoist.model}: {counted(len(states), 'defect')}",
        author=entries[-1].by,
        dated=max(entry.at.date() for entry in entries),
        reference=reference_of(opened, settings, last),
        sections=(
            Section(title="To the owner", blocks=_to(shop, opened, units_of(settings))),
            Section(title="What it means", blocks=_meaning(states)),
            Section(title="The defects", blocks=_table(opened, states, lacks)),
            Section(title="Seen and sealed", blocks=(Facts(rows=_seals(states, entries)),)),
            Section(title="Received", blocks=_received(shop, opened)),
        ),
        missing=tuple(lacks.values()),
    )


def _chosen(opened: OpenHoist, wanted: str) -> tuple[DefectState, ...]:
    known = opened.history.defects
    if not wanted:
        found = tuple(state for state in known if state.mended_on is None)
        if not found:
            raise NotFoundError(f"{opened.hoist.id} has no open defect: there is nothing to give notice of")
        return found
    found = tuple(state for state in known if state.defect.id.casefold() == wanted.strip().casefold())
    if not found:
        names = ", ".join(state.defect.id for state in known) or "none"
        raise NotFoundError(f"{opened.hoist.id} has no defect {wanted[:20]}: known are {names}")
    return found


def _sealed_in(opened: OpenHoist, states: tuple[DefectState, ...]) -> list[Entry]:
    """The lines in which the defects were reported, in their order."""
    numbers = {state.entry for state in states}
    return [entry for entry in opened.history.entries if entry.number in numbers]


def _lacks(shop: Shop, opened: OpenHoist, states: tuple[DefectState, ...]) -> dict[str, Problem]:
    site = site_of(shop, opened.hoist.site)
    at = f"Record it with the site '{opened.hoist.site}'."
    lacks = {}
    if site is None or not site.owner:
        lacks["owner"] = Problem(place="owner", wrong="the name of the owner is not recorded.", todo=at)
    if site is None or not site.owner_address:
        lacks["owner-address"] = Problem(place="owner", wrong="the owner's address is not recorded.", todo=at)
    for state in states:
        place = f"defect {state.defect.id}"
        if not state.defect.remedy and state.mended_on is None:
            lacks[f"{state.defect.id}-remedy"] = Problem(
                place=place, wrong="no remedy is recorded.", todo="Say what it needs."
            )
        if not told_words(state, opened.history.notices):
            lacks[f"{state.defect.id}-told"] = Problem(
                place=place, wrong="nobody is recorded as told.", todo="Tell the owner, and record it."
            )
    return lacks


def _to(shop: Shop, opened: OpenHoist, units: PaperUnits) -> tuple[Block, ...]:
    site, hoist = site_of(shop, opened.hoist.site), opened.hoist
    facts: tuple[Fact | None, ...] = (
        Fact(label="Owner or employer", words=recorded("" if site is None else site.owner)),
        Fact(label="Address", words=recorded("" if site is None else site.owner_address)),
        fact("Premises", "" if site is None else site.address),
        Fact(label="Hoist", words=strong(f"{hoist.id}: {hoist.maker} {hoist.model}, serial {hoist.serial}")),
        fact("Rated capacity", falls_words(hoist, units)),
        fact("Hangs at", f"{hoist.site}, {hoist.place}" if hoist.place else hoist.site),
    )
    return (Facts(rows=present(facts)), *converted_note(units))


def _meaning(states: tuple[DefectState, ...]) -> tuple[Block, ...]:
    still = [state for state in states if state.mended_on is None]
    now = [state for state in still if state.defect.grade is DefectGrade.STOPS_NOW]
    dated = sorted(d for state in still if (d := _stops_on(state)) is not None)
    if now:
        ids = ", ".join(state.defect.id for state in now)
        line = f"Because of {ids}: not before it is mended, checked and returned to service."
        return (Statement(headline=STOP, lines=(line,), grave=True),)
    if dated:
        day = dated[0].isoformat()
        line = f"From {day} on the hoist must not be used, unless the defect is mended and checked before."
        return (Statement(headline=f"! NO USE FROM {day} ON", lines=(line,)),)
    if still:
        return (Statement(headline="! WATCH", lines=("Use is not stopped; see the remedy below.",)),)
    return (Statement(headline="+ MENDED", lines=("The defect is mended; this notice is for the record.",)),)


def _stops_on(state: DefectState) -> date | None:
    return state.defect.stops_on if state.defect.grade is DefectGrade.STOPS_FROM else None


def _table(
    opened: OpenHoist, states: tuple[DefectState, ...], lacks: dict[str, Problem]
) -> tuple[Block, ...]:
    blocks: list[Block] = [
        defect_table(states, opened.history, opened.rulebook, lacks, opened.history.notices)
    ]
    if is_uk(opened.rulebook) and any(state.defect.serious for state in states):
        blocks.append(Text(words=strong(AUTHORITY)))
    return tuple(blocks)


def _seals(states: tuple[DefectState, ...], entries: list[Entry]) -> tuple[Fact, ...]:
    rows = []
    for entry in entries:
        ids = ", ".join(state.defect.id for state in states if state.entry == entry.number)
        text = f"line {entry.number}, {moment(entry.at)} by {entry.by}, {short(entry.line)}"
        rows.append(fact(ids, text))
    return tuple(rows)


def _received(shop: Shop, opened: OpenHoist) -> tuple[Block, ...]:
    site = site_of(shop, opened.hoist.site)
    owner = SignatureLine(
        role="For the owner",
        name="" if site is None else site.owner,
        says="I know of these defects and will have them mended before use, or by the date given.",
    )
    giver = SignatureLine(role="Handed over by", says="Day and hour; by word, on paper or by mail.")
    return (Signatures(lines=(giver, owner)), small(A_PERSON_DECIDES))
